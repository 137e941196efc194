"""A connection is kept as long as the other side, when it is its turn, moves enough bytes."""

import asyncio

from uvicorn.protocols.http.h11_impl import H11Protocol

PATIENCE_SECONDS = 20.0
"""So long the other side may take before it is looked at how much it has moved."""

LEAST_BYTES_A_SECOND = 500
"""On average, once patience is over; the worst network of a works hall gives many times that."""

LOOK_SECONDS = 5.0

OWING = ("IDLE", "SEND_BODY")
"""States in which the other side is to send: a request, or the rest of its body."""


class PatientConnection(H11Protocol):
    """A connection that is cut when the other side sends its request, or reads the answer, so
    slowly that it may only want to keep a place occupied (slow readers and slow writers).

    Live pages are safe: while the server has nothing to say, the other side owes nothing.
    """

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to look how much moves."""
        super().connection_made(transport)
        self._begin()
        self._looking = self.loop.call_later(LOOK_SECONDS, self._look)

    def connection_lost(self, exc: Exception | None) -> None:
        """Stop looking."""
        self._looking.cancel()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Count what came."""
        self._came += len(data)
        super().data_received(data)

    def on_response_complete(self) -> None:
        """All is written; now the other side is to read it and may ask again."""
        self._begin()
        super().on_response_complete()

    def _begin(self) -> None:
        self._since, self._came = self.loop.time(), 0
        self._unread = self.transport.get_write_buffer_size()

    def _look(self) -> None:
        left = self.transport.get_write_buffer_size()
        owes = repr(self.conn.their_state) in OWING and not self.flow.read_paused
        if left > self._unread or (self._unread and not left) or not (left or owes):
            self._begin()
        seconds = self.loop.time() - self._since
        moved = self._unread - left if self._unread else self._came
        if seconds > PATIENCE_SECONDS and moved < LEAST_BYTES_A_SECOND * seconds:
            self.transport.abort()
        else:
            self._looking = self.loop.call_later(LOOK_SECONDS, self._look)
