"""Sign-in and sessions: who is at the page, and what that person may do."""

import hashlib
import secrets
import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from argon2 import PasswordHasher
from argon2.exceptions import VerificationError

from pacewright.ledger.people.store import Access as Logged
from pacewright.ledger.people.store import Account, People, Session, Token
from pacewright.office.account_rules import badge_faults, name_faults, password_faults
from pacewright.office.errors import CallError
from pacewright.office.rights import RIGHTS, Right, Role, may

SESSION_HOURS = 12
"""Length of a session: one shift and its change-over."""

IDLE_MINUTES = 60
"""A session ends when nothing was asked for so long."""

BADGE_IDLE_MINUTES = 10
"""The same on a shared floor tablet, where the next person stands behind."""

TRIES, TRY_MINUTES = 5, 10
"""Failed tries of one name, or of one address times four, before the door stays shut a while."""


class NoEntryError(Exception):
    """Signing in failed; the message never says which half was wrong."""


@dataclass(frozen=True, slots=True)
class Person:
    """Who asks, for pages and REST.

    Parameters
    ----------
    rights : what the person may do here: of the role, or the part of them a token was given.
    key_hash : of the session; empty with a token.
    """

    name: str
    shown: str
    role: Role
    rights: frozenset[Right]
    key_hash: str = ""

    def may(self, right: Right) -> bool:
        """Whether the person may do it here."""
        return right in self.rights


def hash_of(key: str) -> str:
    """SHA-256 of a random key, hexadecimal; such a key needs no slow hash."""
    return hashlib.sha256(key.encode()).hexdigest()


class Access:
    """Signs people in and out and says who asks.

    Parameters
    ----------
    people : where accounts are kept.
    now : clock, UTC; for tests.

    Attributes
    ----------
    turn : held by whoever reads accounts in order to change one, so that nothing another changed
        in between is put back.
    """

    def __init__(self, people: People, now: Callable[[], datetime] | None = None) -> None:
        self.people, self.turn = people, threading.RLock()
        self._now = now or (lambda: datetime.now(UTC))
        self._hasher = PasswordHasher()
        self._nobody = self._hasher.hash(secrets.token_hex(8))

    def open_account(
        self, name: str, shown: str, role: Role, password: str, by: str = ""
    ) -> Account:
        """Make an account.

        Raises
        ------
        CallError : the name is taken or badly formed, or the password too short.
        """
        with self.turn:
            taken = self.people.account(name) is not None
            faults = [*name_faults(name, taken), *password_faults(password, name)]
            if faults:
                raise CallError("\n".join(faults))
            account = Account(name, shown.strip() or name, role.value, self._hasher.hash(password))
            self.people.keep(account)
        self._log(by or name, f"opened account {name} as {role.value}")
        return account

    def sign_in(self, name: str, password: str, address: str) -> str:
        """Sign in by name and password; the key for the cookie.

        Raises
        ------
        NoEntryError : wrong, closed, or too many tries.
        """
        self._not_too_often(name, address)
        account = self.people.account(name)
        # A name nobody has costs the same time as a wrong password, so names cannot be told apart.
        right = self._fits(account.password_hash if account else self._nobody, password)
        return self._enter(account if right else None, name, address, False)

    def sign_in_by_badge(self, badge: str, secret: str, address: str) -> str:
        """Sign in on a shared tablet by the badge's code and a short secret.

        Raises
        ------
        NoEntryError : wrong, closed, or too many tries.
        """
        badge_hash = hash_of(badge.strip())
        who = f"badge {badge_hash[:16]}"
        self._not_too_often(who, address)
        account = self.people.of_badge(badge_hash)
        kept = account.secret_hash if account and account.secret_hash else self._nobody
        return self._enter(account if self._fits(kept, secret) else None, who, address, True)

    def person(self, key: str, *, at_work: bool = True) -> Person | None:
        """Who has this session key; None: nobody, or the session is over.

        Parameters
        ----------
        at_work : the person asks for something; False: only a page left open looks.
        """
        if not key:
            return None
        now = self._now()
        session = self.people.session(hash_of(key))
        if session is None:
            return None
        idle = BADGE_IDLE_MINUTES if session.by_badge else IDLE_MINUTES
        account = self.people.account(session.name)
        over = now >= session.ends_at or now - session.seen_at >= timedelta(minutes=idle)
        if over or account is None or not account.open:
            self.people.end_session(session.key_hash)
            return None
        if at_work and now - session.seen_at >= timedelta(seconds=30):
            self.people.seen(session.key_hash, now)
        return _person(account, session.key_hash)

    def person_of_token(self, key: str) -> Person | None:
        """Who a program acts for, with the rights its token was given; None: nobody."""
        token = self.people.token(hash_of(key))
        if token is None or self._now() >= token.ends_at:
            return None
        account = self.people.account(token.name)
        if account is None or not account.open:
            return None
        role = Role(account.role)
        rights = frozenset(one for one in RIGHTS[role] if one.name in token.rights)
        return Person(account.name, account.shown, role, rights)

    def sign_out(self, key: str) -> None:
        """End the session; its key opens nothing any more."""
        self.people.end_session(hash_of(key))

    def change(self, account: Account, by: str, what: str, password: str = "") -> None:
        """Keep a changed account; its sessions end, so that a lost right is lost at once.

        Raises
        ------
        CallError : the new password is too short; nobody could open accounts any more.
        """
        faults = password_faults(password, account.name) if password else []
        others = [one for one in self.people.all() if one.name != account.name]
        if not any(one.open and may(Role(one.role), Right.PEOPLE) for one in [*others, account]):
            faults.append(
                f"account {account.name}: it is the last open administrator. "
                "One must stay. Open another first."
            )
        if faults:
            raise CallError("\n".join(faults))
        if password:
            account = replace(account, password_hash=self._hasher.hash(password))
        self.people.keep(account)
        self.people.end_sessions_of(account.name)
        self._log(by, f"{what} of account {account.name}")

    def give_badge(self, account: Account, by: str, badge: str, secret: str) -> None:
        """Give a person a badge code and the short secret that goes with it.

        Raises
        ------
        CallError : the badge is another's; the secret is too short.
        """
        badge_hash = hash_of(badge.strip())
        owner = self.people.of_badge(badge_hash)
        faults = badge_faults(badge, secret, owner is not None and owner.name != account.name)
        if faults:
            raise CallError("\n".join(faults))
        badged = replace(account, badge_hash=badge_hash, secret_hash=self._hasher.hash(secret))
        self.change(badged, by, "changed the badge")

    def new_token(self, person: Person, note: str, rights: frozenset[Right], days: int) -> str:
        """A key for a program, shown once.

        Raises
        ------
        CallError : a right the person does not have, or no right at all.
        """
        lacking = sorted(one.value for one in rights if not person.may(one))
        if lacking or not rights:
            raise CallError(
                f"token: {'; '.join(lacking) or 'no right'} asked. A token has rights of its "
                "person, at least one. Choose among your own."
            )
        key = secrets.token_urlsafe(32)
        ends = self._now() + timedelta(days=days)
        names = frozenset(one.name for one in rights)
        self.people.keep_token(Token(hash_of(key), person.name, note[:200], names, ends))
        self._log(person.name, f"made a token for {note}")
        return key

    def tokens_of(self, person: Person) -> tuple[Token, ...]:
        """The tokens of a person; who keeps the accounts has everybody's in sight."""
        everybody = person.may(Right.PEOPLE)
        return tuple(one for one in self.people.tokens() if everybody or one.name == person.name)

    def end_token(self, person: Person, mark: str) -> str:
        """Take a token away that the person has in sight; its key opens nothing any more.

        Parameters
        ----------
        mark : the first 16 signs of the hash of its key.

        Returns
        -------
        What it was for.

        Raises
        ------
        CallError : there is no such token in sight.
        """
        for one in self.tokens_of(person):
            if one.key_hash[:16] == mark:
                self.people.end_token(one.key_hash)
                self._log(person.name, f"ended the token of {one.name} for {one.note}")
                return one.note
        raise CallError("token: there is none such of yours. Look at the list.")

    def _enter(self, account: Account | None, who: str, address: str, by_badge: bool) -> str:
        now = self._now()
        if account is None or not account.open:
            self.people.failed(who, now)
            self.people.failed(f"address {address}", now)
            raise NoEntryError(
                "That did not fit. Check both fields; after some wrong tries the door stays shut "
                f"for {TRY_MINUTES} minutes."
            )
        self.people.forgive(who)
        key = secrets.token_urlsafe(32)
        ends = now + timedelta(hours=SESSION_HOURS)
        self.people.keep_session(Session(hash_of(key), account.name, by_badge, now, ends))
        self._log(account.name, "signed in" + " by badge" * by_badge, address)
        return key

    def _fits(self, kept: str, said: str) -> bool:
        try:
            return self._hasher.verify(kept, said)
        except VerificationError:
            return False

    def _log(self, name: str, what: str, device: str = "") -> None:
        self.people.log(Logged(self._now(), name, what, device))

    def _not_too_often(self, who: str, address: str) -> None:
        since = self._now() - timedelta(minutes=TRY_MINUTES)
        tries = self.people.failures(who, since)
        if tries >= TRIES or self.people.failures(f"address {address}", since) >= 4 * TRIES:
            raise NoEntryError(
                f"Too many wrong tries. Wait {TRY_MINUTES} minutes, or ask an administrator."
            )


def _person(account: Account, key_hash: str) -> Person:
    role = Role(account.role)
    return Person(account.name, account.shown, role, RIGHTS[role], key_hash)
