"""Accounts, sessions, tokens, failed tries, and what was done about access."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "account",
        sa.Column("name", sa.String(40), primary_key=True),
        sa.Column("shown", sa.String(120), nullable=False),
        sa.Column("role", sa.String(40), nullable=False),
        sa.Column("password_hash", sa.String(200), nullable=False),
        sa.Column("badge_hash", sa.String(64), nullable=False),
        sa.Column("secret_hash", sa.String(200), nullable=False),
        sa.Column("open", sa.Boolean, nullable=False),
    )
    op.create_index("account_badge", "account", ["badge_hash"])
    op.create_table(
        "session",
        sa.Column("key_hash", sa.String(64), primary_key=True),
        sa.Column("name", sa.String(40), nullable=False, index=True),
        sa.Column("by_badge", sa.Boolean, nullable=False),
        sa.Column("seen_at", sa.DateTime, nullable=False),
        sa.Column("ends_at", sa.DateTime, nullable=False),
    )
    op.create_table(
        "token",
        sa.Column("key_hash", sa.String(64), primary_key=True),
        sa.Column("name", sa.String(40), nullable=False),
        sa.Column("note", sa.String(200), nullable=False),
        sa.Column("rights", sa.String(1000), nullable=False),
        sa.Column("ends_at", sa.DateTime, nullable=False),
    )
    op.create_table(
        "failed_try",
        sa.Column("number", sa.Integer, primary_key=True),
        sa.Column("who", sa.String(120), nullable=False),
        sa.Column("at", sa.DateTime, nullable=False),
    )
    op.create_index("failed_try_who", "failed_try", ["who", "at"])
    op.create_table(
        "access_log",
        sa.Column("number", sa.Integer, primary_key=True),
        sa.Column("at", sa.DateTime, nullable=False),
        sa.Column("name", sa.String(40), nullable=False),
        sa.Column("what", sa.String(400), nullable=False),
        sa.Column("device", sa.String(120), nullable=False),
    )
