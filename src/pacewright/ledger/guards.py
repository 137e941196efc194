"""What keeps a record from being changed behind its back, and whether it is still there."""

from functools import cache

from sqlalchemy import Connection, create_engine, text
from sqlalchemy.pool import StaticPool

from pacewright.ledger.errors import READS_WRONG
from pacewright.ledger.schema import upgrade

_MADE = text(
    "SELECT name, type || ' on ' || tbl_name || ': ' || sql || ' ' || typeof(type) || typeof(name) "
    "|| typeof(tbl_name) || typeof(sql) FROM sqlite_master "
    "WHERE name NOT LIKE 'sqlite_%'"
)
_MOMENTS = text(
    "SELECT place FROM events WHERE substr(CAST(at AS BLOB), 11, 1) IS NOT x'20' "
    "OR substr(CAST(recorded_at AS BLOB), 11, 1) IS NOT x'20' UNION "
    "SELECT place FROM snapshots WHERE substr(CAST(latest_at AS BLOB), 11, 1) IS NOT x'20'"
)
_PG_TRIGGERS = text(
    "SELECT tgname || ' on ' || tgrelid::regclass FROM pg_trigger "
    "WHERE NOT tgisinternal AND tgenabled IN ('O', 'A') "
    "AND tgrelid IN (to_regclass('events'), to_regclass('subjects'), to_regclass('photos'))"
)
_PG_WANTED = (
    "events_follow on events",
    "events_kept on events",
    "photos_kept on photos",
    "subjects_kept on subjects",
)


def guard_faults(link: Connection) -> list[str]:
    """Each table, index or trigger that is not as a fresh record has it."""
    if link.dialect.name == "postgresql":
        at_work = set(link.execute(_PG_TRIGGERS).scalars())
        return [f"{one}: no such trigger at work" for one in _PG_WANTED if one not in at_work]
    wanted, there = _fresh(), _made(link)
    return [
        f"{name}: not defined as it should be"
        for name in sorted(wanted.keys() | there.keys())
        if wanted.get(name) != there.get(name)
    ]


def file_faults(link: Connection) -> list[str]:
    """What SQLite itself finds wrong with the file; nothing on PostgreSQL, which sees to it."""
    if link.dialect.name == "postgresql":
        return []
    found = [str(one) for one in link.execute(text("PRAGMA integrity_check")).scalars()]
    return [] if found == ["ok"] else found


def moment_faults(link: Connection) -> list[int]:
    """Places where SQLite holds a moment that reads alike but is not written as it was kept.

    A reader of moments takes any byte between day and hour; PostgreSQL keeps moments as such.
    """
    if link.dialect.name == "postgresql":
        return []
    try:
        return [int(one) for one in link.execute(_MOMENTS).scalars()]
    except READS_WRONG:
        # What cannot be read at all is told when it is reached.
        return []


@cache
def _fresh() -> dict[str, str]:
    engine = create_engine("sqlite://", poolclass=StaticPool)
    with engine.connect() as link:
        upgrade(link)
        made = _made(link)
    engine.dispose()
    return made


def _made(link: Connection) -> dict[str, str]:
    return {str(name): str(sql) for name, sql in link.execute(_MADE)}
