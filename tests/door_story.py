"""A visit of the small works told event by event through the door, for tests of what it refuses."""

from datetime import datetime, timedelta
from typing import Any

from pacewright.control.door import door_of
from pacewright.events.fold import refusals, take
from pacewright.events.gate import Admitted, Arrived, OdometerRead, Released
from pacewright.events.identity import Married, Parted
from pacewright.events.stages import Moved, StageFinished, Tested, WorkEnded, WorkStarted
from pacewright.events.standing import Standing
from pacewright.events.things import WHOLE, Event, Piece, Unit
from pacewright.events.units import Fitted, Purchased, Removed
from pacewright.works import Works
from small_works import small_works

START = datetime(2026, 3, 2, 7, 0)
CHASSIS_STAGES = ("chstrip", "chbuild")
BODY_STAGES = ("body", "bpaint")
LATE_STAGES = ("marry", "fitout", "test")


def whole(number: str) -> Piece:
    """A vehicle as a piece."""
    return Piece(WHOLE, number)


class Visit:
    """Events told one after another, a minute apart, each past the door and into the standing."""

    def __init__(self, works: Works | None = None) -> None:
        self.now = Standing()
        self.works = works or small_works()
        self.door = door_of(self.works)
        self.told: list[Event] = []
        self.minute = 0

    def at(self) -> datetime:
        """The moment of the last event told."""
        return START + timedelta(minutes=self.minute)

    def tell(self, model: type[Event], *fields: Any, **named: Any) -> Event:
        """It happened, a minute later."""
        self.minute += 1
        event = model(self.at(), *fields, **named)
        assert self.door(self.now, event) == (), event
        take(self.now, event)
        self.told.append(event)
        return event

    def refused(self, model: type[Event], *fields: Any, **named: Any) -> str:
        """The door does not let it in, though events of any works would; why."""
        event = model(START + timedelta(minutes=self.minute + 1), *fields, **named)
        assert refusals(self.now, event) == ()
        reasons = self.door(self.now, event)
        assert reasons, f"{event} was not refused"
        for one in reasons:
            assert one.where
            assert one.rule.endswith(".")
            assert one.remedy.endswith((".", "?"))
        return "\n".join(map(str, reasons))

    def passes(self, piece: Piece, *stages: str, position: int = 1) -> None:
        """A piece goes through stages, one after another."""
        for stage in stages:
            self.tell(Moved, piece, stage, position)
            self.tell(WorkStarted, piece, stage, "fitter")
            self.tell(WorkEnded, piece, stage, "fitter", 1.0)
            self.tell(StageFinished, piece, stage)

    def arrive(self, number: str = "101", type_id: str = "solo") -> None:
        """A vehicle comes in, has its odometer read and passes the strip stage."""
        self.tell(Arrived, number, type_id, "north")
        self.tell(Admitted, number)
        self.tell(OdometerRead, number, 400_000.0 + self.minute // 100)
        self.passes(whole(number), "strip")

    def part(self, number: str = "101") -> tuple[Piece, Piece]:
        """Its valves come off; it is parted."""
        known = [one for one in self.now.units_on(number) if one.unit_kind_id == "valve"]
        for place in range(4):
            old = known[place] if known else Unit("valve", f"old-{number}-{place}")
            self.tell(Removed, old, whole(number))
        pieces = (Piece("body", f"B-{number}"), Piece("chassis", f"C-{number}"))
        self.tell(Parted, number, pieces)
        return pieces

    def marry(self, number: str = "101") -> tuple[Piece, Piece]:
        """Both pieces pass their stages and are married."""
        pieces = self.part(number)
        self.passes(pieces[1], *CHASSIS_STAGES)
        self.passes(pieces[0], *BODY_STAGES)
        self.tell(Married, number, pieces)
        return pieces

    def valves(self, number: str = "101", count: int = 4) -> None:
        """New valves are fitted."""
        for place in range(count):
            unit = Unit("valve", f"new-{number}-{self.minute}-{place}")
            self.tell(Purchased, unit, "store")
            self.tell(Fitted, unit, whole(number))

    def tests(self, number: str = "101", leave_out: str = "") -> None:
        """Every test item is passed, but the one left out."""
        piece = whole(number)
        if leave_out != "brake":
            self.tell(Tested, piece, "brake", True, 5.1, "m/s2")
        if leave_out != "insul":
            self.tell(Tested, piece, "insul", True, 12.0, "MOhm")
        if leave_out != "doors":
            self.tell(Tested, piece, "doors", True)

    def overhaul(self, number: str = "101") -> None:
        """A whole visit, from arrival to release."""
        self.arrive(number)
        self.marry(number)
        self.passes(whole(number), "marry", "fitout")
        self.valves(number)
        self.passes(whole(number), "test")
        self.tests(number)
        self.tell(Released, number, "I. Inspector")
