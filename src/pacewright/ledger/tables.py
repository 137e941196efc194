"""The tables of a record; how they come about stands in ``versions``."""

from sqlalchemy import (
    BigInteger,
    Column,
    DateTime,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
)

VERSIONS = ("0001", "0002")
"""Versions of the tables, oldest first; the last is what this Pacewright writes."""

VERSION_TABLE = "record_version"

METADATA = MetaData()

PLACE = BigInteger().with_variant(Integer, "sqlite")
# To SQLite only INTEGER is the number of the row itself.

EVENTS = Table(
    "events",
    METADATA,
    Column("place", PLACE, primary_key=True, autoincrement=False),
    Column("event_id", String(80), nullable=False, unique=True),
    Column("kind", String(40), nullable=False),
    Column("version", Integer, nullable=False),
    Column("at", DateTime, nullable=False),
    Column("recorded_at", DateTime, nullable=False),
    Column("clock_behind_seconds", Integer, nullable=False),
    Column("recorded_by", String(120), nullable=False),
    Column("device", String(400), nullable=False),
    Column("reference", String(400), nullable=False),
    Column("body", Text, nullable=False),
    Column("before", LargeBinary, nullable=False),
    Column("digest", LargeBinary, nullable=False),
    Index("events_kind", "kind", "place"),
    Index("events_at", "at"),
)
"""What was recorded: only ever added to. ``recorded_at`` is UTC, ``at`` the works clock."""

SUBJECTS = Table(
    "subjects",
    METADATA,
    Column("about", String(90), primary_key=True),
    Column("place", PLACE, primary_key=True),
    sqlite_with_rowid=False,
)
"""What each event is about, so that the history of one thing is found at once."""

PHOTOS = Table(
    "photos",
    METADATA,
    Column("digest", String(64), primary_key=True),
    Column("content", LargeBinary, nullable=False),
)
"""Photos that events name by their SHA-256: only ever added to, each kept once."""

SNAPSHOTS = Table(
    "snapshots",
    METADATA,
    Column("place", PLACE, primary_key=True, autoincrement=False),
    Column("digest", LargeBinary, nullable=False),
    Column("latest_at", DateTime, nullable=False),
    Column("form", Integer, nullable=False),
    Column("content", LargeBinary, nullable=False),
    Column("seal", LargeBinary, nullable=False),
)
"""Standings after some places, to save folding: a cache that may be deleted at any time."""
