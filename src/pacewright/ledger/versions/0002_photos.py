"""Photos, named by events through their SHA-256; like events they can only be added to."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

KEPT = "a photo is kept for good; take another and record a finding of its own"


def upgrade() -> None:
    """Make the table and what guards it."""
    op.create_table(
        "photos",
        sa.Column("digest", sa.String(64), primary_key=True),
        sa.Column("content", sa.LargeBinary, nullable=False),
    )
    for statement in _POSTGRESQL if op.get_bind().dialect.name == "postgresql" else _SQLITE:
        op.execute(statement)


# INSERT OR REPLACE deletes without asking the delete trigger, so the insert trigger asks as well.
_SQLITE = [
    f"""CREATE TRIGGER photos_once BEFORE INSERT ON photos WHEN
    EXISTS (SELECT 1 FROM photos WHERE digest = NEW.digest)
    BEGIN SELECT RAISE(ABORT, '{KEPT}'); END""",
    *(
        f"""CREATE TRIGGER photos_{what.lower()} BEFORE {what} ON photos
        BEGIN SELECT RAISE(ABORT, '{KEPT}'); END"""
        for what in ("UPDATE", "DELETE")
    ),
]

_POSTGRESQL = [
    """CREATE TRIGGER photos_kept BEFORE UPDATE OR DELETE OR TRUNCATE ON photos
    FOR EACH STATEMENT EXECUTE FUNCTION record_is_kept()""",
]
