"""What keeps a record from being changed behind its back, and whether it is still there."""

from functools import cache

from sqlalchemy import Connection, create_engine, text
from sqlalchemy.pool import StaticPool

from pacewright.ledger.schema import upgrade

_MADE = text(
    "SELECT name, type || ' on ' || tbl_name || ': ' || sql FROM sqlite_master "
    "WHERE name NOT LIKE 'sqlite_%'"
)
_PG_TRIGGERS = text(
    "SELECT tgname || ' on ' || tgrelid::regclass FROM pg_trigger "
    "WHERE NOT tgisinternal AND tgenabled IN ('O', 'A') "
    "AND tgrelid IN (to_regclass('events'), to_regclass('subjects'))"
)
_PG_WANTED = ("events_follow on events", "events_kept on events", "subjects_kept on subjects")


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
