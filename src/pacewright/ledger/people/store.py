"""Accounts, sessions, tokens and failed tries, kept in the database beside the record."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, delete, func, insert, inspect, select, text, update
from sqlalchemy.engine import Row

from pacewright.ledger.database import Database
from pacewright.ledger.errors import RecordError, plainly
from pacewright.ledger.people.tables import (
    ACCESS_LOG,
    ACCOUNT,
    FAILURE,
    SESSION,
    TOKEN,
    VERSION,
    VERSION_TABLE,
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
    address : path of an SQLite file, or a database URL; the tables are made when missing.

    Raises
    ------
    RecordError : it cannot be opened, or is of a newer Pacewright.
    """

    def __init__(self, address: str | Path) -> None:
        self._database = Database(address, read_only=False, patience_seconds=10.0)
        try:
            with plainly(self._database.name, ""), self._database.writing() as link:
                _bring_up(link, self._database.name)
                link.commit()
        except BaseException:
            self._database.close()
            raise

    def close(self) -> None:
        """Give the database back."""
        self._database.close()

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
        with plainly(self._database.name, ""), self._writing() as link:
            changed = link.execute(
                update(ACCOUNT).where(ACCOUNT.c.name == account.name).values(values)
            )
            if changed.rowcount == 0:
                link.execute(insert(ACCOUNT).values(values))
            link.commit()

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
        with plainly(self._database.name, ""), self._database.reading() as link:
            return link.execute(statement).first()

    def _rows(self, statement: Any) -> "Sequence[Row[Any]]":
        with plainly(self._database.name, ""), self._database.reading() as link:
            return link.execute(statement).all()

    def _do(self, statement: Any) -> None:
        with plainly(self._database.name, ""), self._writing() as link:
            link.execute(statement)
            link.commit()

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        # Not the record's turn: sessions must not wait for those who write events.
        with self._database.engine.connect() as link:
            yield link.execution_options(writing=True)


def _bring_up(link: Connection, name: str) -> None:
    found = None
    if inspect(link).has_table(VERSION_TABLE):
        found = link.execute(text(f"SELECT version_num FROM {VERSION_TABLE}")).scalar()
    if found == VERSION:
        return
    if found is not None and found > VERSION:
        raise RecordError(
            f"{name}: its tables of accounts are of version {found}, this Pacewright knows up to "
            f"{VERSION}. What is newer is not touched. Use the newer Pacewright."
        )
    # The migration library is slow to load and needed once in the life of the accounts.
    from alembic import command  # noqa: PLC0415
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    config.attributes["connection"] = link
    command.upgrade(config, "head")


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
