"""What was looked at and waits for the word to do it: the last look of each person."""

import secrets
import threading
import time
from typing import Generic, TypeVar

from pacewright.office.access import Person

WAIT_MINUTES = 30

Looked = TypeVar("Looked")


class Waiting(Generic[Looked]):
    """Things that were looked at, each kept for its person and gone after half an hour.

    Parameters
    ----------
    most : how many are kept for all persons together; the oldest goes first.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._guard = threading.Lock()
        self._kept: dict[str, tuple[str, float, Looked]] = {}

    def put(self, person: Person, looked: Looked) -> str:
        """Keep it for the person; the key by which it is taken."""
        key = secrets.token_urlsafe(16)
        with self._guard:
            before = time.monotonic() - WAIT_MINUTES * 60
            young = {
                one: kept
                for one, kept in self._kept.items()
                if kept[1] > before and kept[0] != person.name
            }
            latest = list(young.items())[-(self._most - 1) :]
            self._kept = dict(latest) | {key: (person.name, time.monotonic(), looked)}
        return key

    def take(self, person: Person, key: str) -> Looked | None:
        """It, once, for the person it was kept for; None: it is not there."""
        with self._guard:
            kept = self._kept.get(key)
            if kept is None or kept[0] != person.name:
                return None
            del self._kept[key]
            return kept[2]
