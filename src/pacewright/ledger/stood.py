"""A standing and the place of the record after which it held."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from pacewright.events.kinds import RULES_AND_CHANGES
from pacewright.events.standing import Standing
from pacewright.events.things import Event
from pacewright.ledger.chain import START, Row


@dataclass(slots=True)
class Stood:
    """A standing and the place of the record after which it held.

    Parameters
    ----------
    digest : of the event at ``place``.
    recorded_at : when that event was recorded, UTC without a zone.
    latest_at : latest moment told by any event so far, works clock.
    """

    standing: Standing = field(default_factory=Standing)
    place: int = 0
    digest: bytes = START
    recorded_at: datetime | None = None
    latest_at: datetime = datetime.min

    def copy(self) -> "Stood":
        """One that changes nothing in this one when it changes."""
        return Stood(
            self.standing.copy(), self.place, self.digest, self.recorded_at, self.latest_at
        )

    def follow(self, events: Iterable[Event]) -> None:
        """Let events change the standing that were checked when they were recorded."""
        now = self.standing
        for event in events:
            subject, change, _ = RULES_AND_CHANGES[type(event)]
            change(now, event, subject(now, event))
            now.events += 1
            self.latest_at = max(self.latest_at, event.at)

    def step(self, row: Row) -> None:
        """The place after ``row``."""
        self.place, self.digest, self.recorded_at = row.place, row.digest, row.recorded_at
