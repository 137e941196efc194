"""What has happened and is not written down yet: the clerks lag behind."""

from collections.abc import Iterator
from dataclasses import fields
from datetime import datetime

from pacewright.events.stages import Moved, Stored
from pacewright.events.things import WHOLE, Event, Piece, Unit
from pacewright.events.units import Fitted, Issued

_LAGGING = (Moved, Stored, Issued, Fitted)

Thing = Piece | Unit


class NotYetWritten:
    """Holds back the last moves, issues and fittings, and whatever follows on the same things.

    So a record that ends in the middle of a day has moves to be made and units to be given out, as
    a real one has at any moment.

    Parameters
    ----------
    since : from this moment on they are held back; None: never.
    """

    def __init__(self, since: datetime | None) -> None:
        self._since = since
        self._behind: set[Thing] = set()

    def holds_back(self, event: Event) -> bool:
        """Whether an event is not written yet; to be asked of each in order of time."""
        if self._since is None or event.at < self._since:
            return False
        things = set(_things_of(event))
        if not isinstance(event, _LAGGING) and self._behind.isdisjoint(things):
            return False
        self._behind |= things
        return True


def _things_of(event: Event) -> Iterator[Thing]:
    """Vehicles, assemblies and units that an event names."""
    for one in fields(event):
        value = getattr(event, one.name)
        if one.name == "vehicle_id":
            yield Piece(WHOLE, value)
        elif isinstance(value, Piece | Unit):
            yield value
        elif isinstance(value, tuple):
            yield from (part for part in value if isinstance(part, Piece))
