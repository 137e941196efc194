"""A small works told event by event, and all that control sees in it, for the tests of control."""

from datetime import datetime, timedelta

from events_story import START, Story, vehicle
from pacewright.control.ahead import Ahead, ahead
from pacewright.control.needs import Need, needs
from pacewright.control.pool import Pool, pools
from pacewright.control.to_come_off import tell_to_come_off
from pacewright.control.turn_left import turn_times
from pacewright.events.gate import Admitted, Arrived, Promised
from pacewright.events.identity import Married, Parted
from pacewright.events.stages import Moved, StageFinished, Stored, WorkEnded, WorkStarted
from pacewright.events.standing import Standing
from pacewright.events.things import Piece, Unit
from pacewright.events.units import Purchased, Removed
from pacewright.works import Works
from small_works import small_works


class Case(Story):
    """A story whose vehicles go through the stages of the small works."""

    def __init__(self, works: Works | None = None) -> None:
        super().__init__()
        self.works = works or small_works()

    def day(self, moment: datetime) -> None:
        """What is told next happens a minute after ``moment``."""
        self.minute = int((moment - START).total_seconds() // 60)

    def let_in_type(
        self, number: str, type_id: str = "solo", promise: datetime | None = None
    ) -> Piece:
        """A vehicle of a type is let in and stands nowhere yet."""
        self.tell(Arrived, number, type_id, "north")
        self.tell(Admitted, number)
        if promise:
            self.tell(Promised, number, promise.date())
        return vehicle(number)

    def put(self, piece: Piece, stage_id: str, position: int = 1) -> None:
        """A piece is put on a position."""
        self.tell(Moved, piece, stage_id, position)

    def work(self, piece: Piece, stage_id: str, trade_id: str = "fitter") -> None:
        """A trade works on a piece for a minute."""
        self.tell(WorkStarted, piece, stage_id, trade_id)
        self.tell(WorkEnded, piece, stage_id, trade_id)

    def passes(self, piece: Piece, stage_id: str, position: int = 1) -> None:
        """A piece is put on a position, and its stage is finished there."""
        self.put(piece, stage_id, position)
        self.tell(StageFinished, piece, stage_id)

    def parted(self, number: str, type_id: str = "solo") -> tuple[Piece, Piece]:
        """A vehicle passes the strip and is parted; body and chassis are put on the floor."""
        whole = self.let_in_type(number, type_id)
        self.passes(whole, "strip")
        pieces = (Piece("body", f"B-{number}"), Piece("chassis", f"C-{number}"))
        self.tell(Parted, number, pieces)
        for piece in pieces:
            self.tell(Stored, piece, "floor")
        return pieces

    def married(self, number: str, type_id: str = "solo") -> Piece:
        """A vehicle comes in, goes all the way to marriage and is whole again."""
        body, chassis = self.parted(number, type_id)
        self.passes(chassis, "chstrip")
        self.passes(body, "body")
        self.passes(chassis, "chbuild")
        self.passes(body, "bpaint")
        self.tell(Married, number, (body, chassis))
        return vehicle(number)

    def in_store(self, kind_id: str, *serials: str) -> None:
        """New units come into the store."""
        for serial in serials:
            self.tell(Purchased, Unit(kind_id, serial), "store")

    def off(self, piece: Piece, kind_id: str, *serials: str) -> None:
        """Units come off a piece."""
        for serial in serials:
            self.tell(Removed, Unit(kind_id, serial), piece)

    def seen(self, now: datetime | None = None) -> tuple[Ahead, tuple[Need, ...], dict[str, Pool]]:
        """What lies ahead, the needs and the pools at a moment."""
        return look(self.works, self.now, now or self.at())


def look(
    works: Works, standing: Standing, now: datetime
) -> tuple[Ahead, tuple[Need, ...], dict[str, Pool]]:
    """What lies ahead, the needs and the pools of a standing."""
    seen = ahead(works, standing, now)
    wanted = needs(works, standing, seen)
    pool = pools(works, standing, seen.clock, now, turn_times(works))
    tell_to_come_off(seen, wanted, pool)
    return seen, wanted, pool


def days(count: float) -> timedelta:
    """Calendar days."""
    return timedelta(days=count)
