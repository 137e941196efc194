"""Accounts, sessions, tokens and failed tries, kept in the database beside the record."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    Boolean,
    Column,
    DateTime,
    Engine,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    delete,
    func,
    insert,
    select,
    update,
)
from sqlalchemy.engine import Row

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


@dataclass(frozen=True, slots=True)
class Account:
    """A person known to the works.

    Parameters
    ----------
    name : to sign in with; unique, written into the record with what the person books.
    shown : name as people read it.
    role : what the person is in the works.
    password_hash, secret_hash : slow hashes; the second of the short secret beside the badge.
    badge_hash : SHA-256 of the badge's code; empty: no badge.
    open : False: closed, may not sign in.
    """

    name: str
    shown: str
    role: str
    password_hash: str
    badge_hash: str = ""
    secret_hash: str = ""
    open: bool = True


@dataclass(frozen=True, slots=True)
class Session:
    """A person at a page; only the hash of its key is kept.

    Parameters
    ----------
    key_hash : SHA-256 of the random key in the cookie, hexadecimal.
    by_badge : signed in by badge on a shared tablet.
    seen_at, ends_at : last asked; over at the latest; UTC.
    """

    key_hash: str
    name: str
    by_badge: bool
    seen_at: datetime
    ends_at: datetime


@dataclass(frozen=True, slots=True)
class Token:
    """A key for programs, for some rights of its person only; ``ends_at`` in UTC."""

    key_hash: str
    name: str
    note: str
    rights: frozenset[str]
    ends_at: datetime


@dataclass(frozen=True, slots=True)
class Access:
    """Something done about access: who, when (UTC), what, from where."""

    at: datetime
    name: str
    what: str
    device: str


class People:
    """The store of accounts and what belongs to them.

    Parameters
    ----------
    engine : of the database that holds the record; its tables are made by the ledger's versions.
    """

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    def account(self, name: str) -> Account | None:
        """The account of a name; None: there is none."""
        row = self._one(select(ACCOUNT).where(ACCOUNT.c.name == name))
        return Account(**row._mapping) if row is not None else None

    def of_badge(self, badge_hash: str) -> Account | None:
        """The account a badge belongs to; None: nobody's."""
        row = self._one(
            select(ACCOUNT).where(ACCOUNT.c.badge_hash == badge_hash, ACCOUNT.c.badge_hash != "")
        )
        return Account(**row._mapping) if row is not None else None

    def all(self) -> tuple[Account, ...]:
        """Every account, by name."""
        return tuple(
            Account(**row._mapping) for row in self._rows(select(ACCOUNT).order_by(ACCOUNT.c.name))
        )

    def keep(self, account: Account) -> None:
        """Add an account, or put it in the place of the one of its name."""
        values = asdict(account)
        with self._engine.begin() as connection:
            changed = connection.execute(
                update(ACCOUNT).where(ACCOUNT.c.name == account.name).values(values)
            )
            if changed.rowcount == 0:
                connection.execute(insert(ACCOUNT).values(values))

    def session(self, key_hash: str) -> Session | None:
        """A session by the hash of its key; None: there is none."""
        row = self._one(select(SESSION).where(SESSION.c.key_hash == key_hash))
        return Session(**_aware(row)) if row is not None else None

    def keep_session(self, session: Session) -> None:
        """Begin a session."""
        self._do(insert(SESSION).values(_naive(asdict(session))))

    def seen(self, key_hash: str, at: datetime) -> None:
        """A session was used at ``at``; one that has ended meanwhile stays ended."""
        self._do(
            update(SESSION).where(SESSION.c.key_hash == key_hash).values(_naive({"seen_at": at}))
        )

    def end_session(self, key_hash: str) -> None:
        """End one session."""
        self._do(delete(SESSION).where(SESSION.c.key_hash == key_hash))

    def end_sessions_of(self, name: str) -> None:
        """End every session of a person."""
        self._do(delete(SESSION).where(SESSION.c.name == name))

    def token(self, key_hash: str) -> Token | None:
        """A token by the hash of its key; None: there is none."""
        row = self._one(select(TOKEN).where(TOKEN.c.key_hash == key_hash))
        return _token(row) if row is not None else None

    def tokens(self) -> tuple[Token, ...]:
        """Every token, by person and note."""
        return tuple(map(_token, self._rows(select(TOKEN).order_by(TOKEN.c.name, TOKEN.c.note))))

    def keep_token(self, token: Token) -> None:
        """Add a token."""
        values = asdict(token) | {"rights": " ".join(sorted(token.rights))}
        self._do(insert(TOKEN).values(_naive(values)))

    def end_token(self, key_hash: str) -> None:
        """Take a token away."""
        self._do(delete(TOKEN).where(TOKEN.c.key_hash == key_hash))

    def failed(self, who: str, at: datetime) -> None:
        """Somebody tried to sign in as ``who`` (or from there) and failed."""
        self._do(insert(FAILURE).values(_naive({"who": who[:120], "at": at})))

    def failures(self, who: str, since: datetime) -> int:
        """How often that happened since."""
        row = self._one(
            select(func.count())
            .select_from(FAILURE)
            .where(FAILURE.c.who == who[:120], FAILURE.c.at >= _plain(since))
        )
        return int(row[0]) if row is not None else 0

    def forgive(self, who: str) -> None:
        """Forget the failed tries of a person who has signed in."""
        self._do(delete(FAILURE).where(FAILURE.c.who == who[:120]))

    def log(self, entry: Access) -> None:
        """Write down what was done about access."""
        values = asdict(entry) | {"what": entry.what[:400], "device": entry.device[:120]}
        self._do(insert(ACCESS_LOG).values(_naive(values)))

    def logged(self, limit: int = 200) -> tuple[Access, ...]:
        """What was done about access, the newest first."""
        rows = self._rows(select(ACCESS_LOG).order_by(ACCESS_LOG.c.number.desc()).limit(limit))
        return tuple(
            Access(row.at.replace(tzinfo=UTC), row.name, row.what, row.device) for row in rows
        )

    def _one(self, statement: Any) -> "Row[Any] | None":
        with self._engine.connect() as connection:
            return connection.execute(statement).first()

    def _rows(self, statement: Any) -> "Sequence[Row[Any]]":
        with self._engine.connect() as connection:
            return connection.execute(statement).all()

    def _do(self, statement: Any) -> None:
        with self._engine.begin() as connection:
            connection.execute(statement)


def _plain(moment: datetime) -> datetime:
    # SQLite keeps no zone: every moment of these tables is UTC and kept without one.
    return moment.astimezone(UTC).replace(tzinfo=None)


def _naive(values: dict[str, Any]) -> dict[str, Any]:
    return {
        name: _plain(value) if isinstance(value, datetime) else value
        for name, value in values.items()
    }


def _aware(row: "Row[Any]") -> dict[str, Any]:
    return {
        name: value.replace(tzinfo=UTC) if isinstance(value, datetime) else value
        for name, value in row._mapping.items()
    }


def _token(row: "Row[Any]") -> Token:
    values = _aware(row)
    return Token(**values | {"rights": frozenset(str(values["rights"]).split())})
