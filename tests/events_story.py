"""A story told event by event, a minute after each other, for the tests of events."""

from datetime import datetime, timedelta
from typing import Any

from pacewright.events.fold import take, why_not
from pacewright.events.gate import Admitted, Arrived
from pacewright.events.identity import Parted
from pacewright.events.stages import Moved
from pacewright.events.standing import Standing
from pacewright.events.things import WHOLE, Event, Piece, Unit
from pacewright.events.units import Fitted, Purchased, Removed

START = datetime(2026, 3, 2, 7, 0)
BODY, FRAME = Piece("body", "B-11"), Piece("frame", "F-11")
MOTOR, OTHER_MOTOR = Unit("motor", "M-1"), Unit("motor", "M-2")


def vehicle(number: str) -> Piece:
    """A vehicle as a piece."""
    return Piece(WHOLE, number)


class Story:
    """Events told one after another; a standing that follows them."""

    def __init__(self) -> None:
        self.now = Standing()
        self.told: list[Event] = []
        self.minute = 0

    def at(self) -> datetime:
        """The moment of the last event told."""
        return START + timedelta(minutes=self.minute)

    def tell(self, model: type[Event], *fields: Any, **named: Any) -> Event:
        """It happened, a minute later."""
        self.minute += 1
        event = model(self.at(), *fields, **named)
        take(self.now, event)
        self.told.append(event)
        return event

    def refused(self, model: type[Event], *fields: Any, **named: Any) -> str:
        """It cannot have happened a minute later; why."""
        event = model(START + timedelta(minutes=self.minute + 1), *fields, **named)
        reason = why_not(self.now, event)
        assert reason is not None, f"{event} was not refused"
        return reason

    def let_in(self, number: str = "11", stage: str = "strip", position: int = 1) -> None:
        """A vehicle comes in and stands on a position."""
        self.tell(Arrived, number, "T1", "east")
        self.tell(Admitted, number)
        self.tell(Moved, vehicle(number), stage, position)

    def take_apart(self, number: str = "11") -> tuple[Piece, Piece]:
        """A vehicle inside is parted into a body and a frame of its number."""
        pieces = (Piece("body", f"B-{number}"), Piece("frame", f"F-{number}"))
        self.tell(Parted, number, pieces)
        return pieces

    def fit_new(self, number: str = "11", serial: str = "M-new") -> Unit:
        """A motor comes off a vehicle and a new one goes on."""
        self.tell(Removed, Unit("motor", f"{serial}-old"), vehicle(number))
        unit = Unit("motor", serial)
        self.tell(Purchased, unit, "store")
        self.tell(Fitted, unit, vehicle(number))
        return unit
