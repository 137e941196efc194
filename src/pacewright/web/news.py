"""One look at the record for all pages that listen, however many there are."""

import asyncio
from contextlib import suppress

from starlette.concurrency import run_in_threadpool

from pacewright.office.desk import Desk
from pacewright.office.errors import CallError

LOOK_SECONDS = 1.0


class News:
    """Tells listeners how far the record goes.

    Parameters
    ----------
    desk : whose record is looked at, once a second for as long as anybody listens.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._listeners = 0
        self._looking: asyncio.Task[None] | None = None
        self._place = 0

    async def __aenter__(self) -> "News":
        """Begin to listen."""
        self._listeners += 1
        if self._looking is None or self._looking.done():
            self._looking = asyncio.create_task(self._look_on())
        return self

    async def __aexit__(self, *_: object) -> None:
        """Listen no more."""
        self._listeners -= 1

    @property
    def place(self) -> int:
        """Place of the last event of the record, about a second old; 0 before the first look."""
        return self._place

    async def _look_on(self) -> None:
        while self._listeners and not self._desk.closing:
            # The database may be away for a moment; what came meanwhile is told when it is back.
            with suppress(CallError):
                self._place = max(self._place, await run_in_threadpool(self._desk.head_place))
            await asyncio.sleep(LOOK_SECONDS)
