"""Tables of accounts and what belongs to them; how they come about stands in ``versions``."""

from sqlalchemy import Boolean, Column, DateTime, Index, Integer, MetaData, String, Table

VERSION = "0001"
VERSION_TABLE = "people_version"

PEOPLE = MetaData()

ACCOUNT = Table(
    "account",
    PEOPLE,
    Column("name", String(40), primary_key=True),
    Column("shown", String(120), nullable=False),
    Column("role", String(40), nullable=False),
    Column("password_hash", String(200), nullable=False),
    Column("badge_hash", String(64), nullable=False),
    Column("secret_hash", String(200), nullable=False),
    Column("open", Boolean, nullable=False),
    Index("account_badge", "badge_hash"),
)
SESSION = Table(
    "session",
    PEOPLE,
    Column("key_hash", String(64), primary_key=True),
    Column("name", String(40), nullable=False, index=True),
    Column("by_badge", Boolean, nullable=False),
    Column("seen_at", DateTime, nullable=False),
    Column("ends_at", DateTime, nullable=False),
)
TOKEN = Table(
    "token",
    PEOPLE,
    Column("key_hash", String(64), primary_key=True),
    Column("name", String(40), nullable=False),
    Column("note", String(200), nullable=False),
    Column("rights", String(1000), nullable=False),
    Column("ends_at", DateTime, nullable=False),
)
FAILURE = Table(
    "failed_try",
    PEOPLE,
    Column("number", Integer, primary_key=True),
    Column("who", String(120), nullable=False),
    Column("at", DateTime, nullable=False),
    Index("failed_try_who", "who", "at"),
)
ACCESS_LOG = Table(
    "access_log",
    PEOPLE,
    Column("number", Integer, primary_key=True),
    Column("at", DateTime, nullable=False),
    Column("name", String(40), nullable=False),
    Column("what", String(400), nullable=False),
    Column("device", String(120), nullable=False),
)
