"""Writes over REST done once, however often they are sent with the same key."""

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from hashlib import sha256
from typing import Annotated
from weakref import WeakKeyDictionary

from fastapi import Header
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from pacewright.office.access import Person
from pacewright.office.desk import Desk
from pacewright.web.who import desk_of

MOST_KEPT = 2000
KEPT_SECONDS = 24 * 3600.0
"""An answer is given again for a day, while the server runs."""

Key = Annotated[
    str,
    Header(
        alias="Idempotency-Key",
        max_length=60,
        pattern=r"^[\x21-\x7e]*$",
        description="the same key with the same body is done once and answered alike for a day",
    ),
]


@dataclass
class _Kept:
    mark: str
    since: float
    answer: Response | None = None


class Once:
    """What was answered to whom under which key."""

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._kept: dict[tuple[str, str], _Kept] = {}

    def answer(self, who: str, key: str, mark: str, act: Callable[[], Response]) -> Response:
        """What the act answers, or answered before; what it refused may be sent again.

        Parameters
        ----------
        mark : of what is asked; another under the same key is refused.

        Raises
        ------
        HTTPException : 422, the key was used for something else; 409, it is being done.
        """
        with self._turn:
            self._forget()
            known = self._kept.get((who, key))
            if known is not None and known.mark != mark:
                raise HTTPException(
                    422,
                    f"Idempotency-Key: {key} was sent with something else before. One key is for "
                    "one write. Take a new key.",
                )
            if known is not None and known.answer is None:
                raise HTTPException(
                    409, f"Idempotency-Key: {key} is being done now. Send it again in a moment."
                )
            if known is not None and known.answer is not None:
                return known.answer
            kept = self._kept[who, key] = _Kept(mark, time.monotonic())
        try:
            made = act()
            if made.status_code < 300:
                kept.answer = made
            return made
        finally:
            if kept.answer is None:
                with self._turn:
                    self._kept.pop((who, key), None)

    def _forget(self) -> None:
        before = time.monotonic() - KEPT_SECONDS
        over = [key for key, one in self._kept.items() if one.since < before]
        over += list(self._kept)[: max(0, len(self._kept) - len(over) - MOST_KEPT)]
        for key in over:
            self._kept.pop(key, None)


_OF: WeakKeyDictionary[Desk, Once] = WeakKeyDictionary()
_OPENING = threading.Lock()


def once(
    request: Request, person: Person, key: str, sent: str | bytes, act: Callable[[], Response]
) -> Response:
    """Do a write once under its key; without a key each sending is a write of its own.

    Parameters
    ----------
    sent : the body, by which a second sending is known to be the same.
    """
    if not key:
        return act()
    with _OPENING:
        kept = _OF.setdefault(desk_of(request), Once())
    body = sent.encode() if isinstance(sent, str) else sent
    mark = sha256(f"{request.method} {request.url} ".encode() + body).hexdigest()
    return kept.answer(person.name, key, mark, act)
