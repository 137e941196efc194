"""Events, subjects and snapshots; what is recorded can only be added to."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

PLACE = sa.BigInteger().with_variant(sa.Integer, "sqlite")
KEPT = "what is recorded is kept for good; mend it by a correcting event"
FOLLOWS = "an event follows the last one of the record; hand it in through Pacewright"


def upgrade() -> None:
    """Make the tables and what guards them."""
    op.create_table(
        "events",
        sa.Column("place", PLACE, primary_key=True, autoincrement=False),
        sa.Column("event_id", sa.String(80), nullable=False, unique=True),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("at", sa.DateTime, nullable=False),
        sa.Column("recorded_at", sa.DateTime, nullable=False),
        sa.Column("clock_behind_seconds", sa.Integer, nullable=False),
        sa.Column("recorded_by", sa.String(120), nullable=False),
        sa.Column("device", sa.String(400), nullable=False),
        sa.Column("reference", sa.String(400), nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.Column("before", sa.LargeBinary, nullable=False),
        sa.Column("digest", sa.LargeBinary, nullable=False),
    )
    op.create_index("events_kind", "events", ["kind", "place"])
    op.create_index("events_at", "events", ["at"])
    op.create_table(
        "subjects",
        sa.Column("about", sa.String(90), primary_key=True),
        sa.Column("place", PLACE, primary_key=True),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "snapshots",
        sa.Column("place", PLACE, primary_key=True, autoincrement=False),
        sa.Column("digest", sa.LargeBinary, nullable=False),
        sa.Column("latest_at", sa.DateTime, nullable=False),
        sa.Column("form", sa.Integer, nullable=False),
        sa.Column("content", sa.LargeBinary, nullable=False),
        sa.Column("seal", sa.LargeBinary, nullable=False),
    )
    for statement in _POSTGRESQL if op.get_bind().dialect.name == "postgresql" else _SQLITE:
        op.execute(statement)


# INSERT OR REPLACE deletes without asking the delete trigger, so the insert trigger asks as well.
_SQLITE = [
    f"""CREATE TRIGGER events_follow BEFORE INSERT ON events WHEN
    NEW.place IS NOT (SELECT coalesce(max(place), 0) + 1 FROM events)
    OR NEW.before IS NOT coalesce(
        (SELECT digest FROM events ORDER BY place DESC LIMIT 1), zeroblob(32))
    OR EXISTS (SELECT 1 FROM events WHERE event_id = NEW.event_id)
    BEGIN SELECT RAISE(ABORT, '{FOLLOWS}'); END""",
    *(
        f"""CREATE TRIGGER {table}_{what.lower()} BEFORE {what} ON {table}
        BEGIN SELECT RAISE(ABORT, '{KEPT}'); END"""
        for table in ("events", "subjects")
        for what in ("UPDATE", "DELETE")
    ),
]

_POSTGRESQL = [
    f"""CREATE FUNCTION record_is_kept() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION '{KEPT}'; END $$""",
    f"""CREATE FUNCTION record_follows() RETURNS trigger LANGUAGE plpgsql AS $$
    DECLARE last record;
    BEGIN
        SELECT place, digest INTO last FROM events ORDER BY place DESC LIMIT 1;
        IF NEW.place <> coalesce(last.place, 0) + 1
        OR NEW.before <> coalesce(last.digest, decode(repeat('00', 32), 'hex')) THEN
            RAISE EXCEPTION '{FOLLOWS}';
        END IF;
        RETURN NEW;
    END $$""",
    """CREATE TRIGGER events_follow BEFORE INSERT ON events
    FOR EACH ROW EXECUTE FUNCTION record_follows()""",
    *(
        f"""CREATE TRIGGER {table}_kept BEFORE UPDATE OR DELETE OR TRUNCATE ON {table}
        FOR EACH STATEMENT EXECUTE FUNCTION record_is_kept()"""
        for table in ("events", "subjects")
    ),
]
