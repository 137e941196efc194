"""Rows of the record and the digests that chain them."""

from datetime import UTC, datetime
from hashlib import sha256
from typing import NamedTuple

from pacewright.events.written import from_json
from pacewright.ledger.entry import Entry, Kept

START = bytes(32)
"""What the first event has as the digest before it."""


class Row(NamedTuple):
    """One event as the table of events keeps it, in the order of its columns.

    Parameters
    ----------
    at : when it happened, works clock.
    recorded_at : when the record took it, UTC without a zone.
    clock_behind_seconds : how far the clock of the writer lay behind the last recorded moment.
    body : the event as JSON.
    before, digest : digest of the event before this one, and of this one.
    """

    place: int
    event_id: str
    kind: str
    version: int
    at: datetime
    recorded_at: datetime
    clock_behind_seconds: int
    recorded_by: str
    device: str
    reference: str
    body: str
    before: bytes
    digest: bytes

    def digest_due(self) -> bytes:
        """The digest this row must have.

        Equations
        ---------
        d_n = SHA-256(d_{n-1} + the fields of event n as UTF-8 text, one a line). No field holds a
        line end when it is taken in, so two different rows never give the same text.
        """
        told = (
            str(self.place),
            self.event_id,
            self.kind,
            str(self.version),
            self.at.isoformat(),
            self.recorded_at.isoformat(),
            str(self.clock_behind_seconds),
            self.recorded_by,
            self.device,
            self.reference,
            self.body,
        )
        return sha256(self.before + "\n".join(told).encode()).digest()

    def sealed(self) -> "Row":
        """The same row with its digest."""
        return self._replace(digest=self.digest_due())

    def kept(self) -> Kept:
        """The row as those outside the ledger see it."""
        entry = Entry(
            self.event_id, from_json(self.body), self.recorded_by, self.device, self.reference
        )
        at = self.recorded_at.replace(tzinfo=UTC)
        return Kept(self.place, entry, at, self.digest.hex(), self.body)
