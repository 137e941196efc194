"""What all parts of the plain engine share: the moment, the agenda, what must be looked at."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import IntEnum
from heapq import heappop, heappush

from pacewright.events.codes import Code
from pacewright.simulate.calendars import Clock
from pacewright.simulate.chance import Stream, base_of, draw, quantile, whole_minutes
from pacewright.simulate.diary import Diary
from pacewright.simulate.table import FAR, FlowTable


class Rank(IntEnum):
    """What comes first of the things that happen in the same minute."""

    MORNING = 0
    UPSET_END = 1
    UPSET = 2
    BOUGHT_IN = 3
    MADE_GOOD = 4
    BENCH_END = 5
    BENCH_READY = 6
    LOT_LEAVES = 7
    SITE_DRAW = 8
    SITE_BACK = 9
    WORK_END = 10
    VEHICLE_ARRIVES = 11
    CREW_FREE = 12


TOGETHER = -2
"""``held`` of the pieces of a vehicle that has parted and still stands on one position."""


class Phase(IntEnum):
    """What is looked at, in this order, until nothing changes any more."""

    GATE = 0
    MARRIAGE = 1
    POSITION = 2
    SUPPLY = 3
    CHARGE = 4
    CREW = 5


@dataclass(slots=True)
class Piece:
    """A whole vehicle, or what it parts into, on its way.

    Parameters
    ----------
    index, vehicle, number : p; v; its number within the vehicle, 0 the leading piece.
    place : which of its assembly it is.
    step : where it is or is going to.
    finished : minute at which the stage before was finished.
    since : worked minute from which the present wait counts.
    attempt : times it failed the test of this step.
    minutes, redo : work to do; the part of it done again for a missed window.
    parts, begun : crews whose part is not done; whether the first of them has begun.
    robbing : minutes that robbing adds to its work here.
    left, more : minutes of its next work where the record knows them, 0: as drawn; minutes added to
        that at its next position.
    failed : worked minute of its first failure here; -1: none.
    held : stage whose position it holds; -1: none; TOGETHER: with the others, just parted.
    positioned : minute at which it was given its position.
    asked, owed : unit kind -> units asked for here; those not yet given (kinds complete left out).
    known : unit kind -> units it asks for on its further way, where that is no chance any more:
        they came off before the run began.
    late, was_late : unit kind -> units it asks for on its next position though their stage is
        behind it; the kinds of which it did.
    """

    index: int
    vehicle: int
    number: int
    place: int
    step: int = -1
    finished: int = 0
    since: int = 0
    attempt: int = 0
    minutes: int = 0
    redo: int = 0
    parts: int = 0
    begun: bool = False
    robbing: int = 0
    left: int = 0
    more: int = 0
    failed: int = -1
    held: int = -1
    positioned: int = 0
    asked: dict[int, int] = field(default_factory=dict)
    owed: dict[int, int] = field(default_factory=dict)
    known: dict[int, int] = field(default_factory=dict)
    late: dict[int, int] = field(default_factory=dict)
    was_late: set[int] = field(default_factory=set)

    @property
    def leads(self) -> bool:
        """True for the piece that carries the vehicle's number."""
        return self.number == 0


class FlowState:
    """The moment of a run, and what is due.

    Parameters
    ----------
    table : the works.
    seed, replication : of the chance.
    events : whether rows of events are kept.
    """

    def __init__(self, table: FlowTable, seed: int, replication: int, events: bool) -> None:
        self.table = table
        self.clock = Clock.of(table.days)
        self.diary = Diary(table, events)
        self.pieces = _pieces(table)
        self.now = 0
        self.worked = 0
        self.measured = 0
        self._base = base_of(seed, replication)
        self._measure_from = self.clock.worked(table.days.measure_from)
        self._agenda: list[tuple[int, int, int, int]] = []
        self._serial = 0
        self._dirty: tuple[set[int], ...] = tuple(set() for _ in Phase)
        self.stage_of: list[int] = table.steps.stage.tolist()
        self.vehicle_key: list[int] = table.vehicles.key.tolist()
        self.stage_key: list[int] = table.stages.key.tolist()
        self.kind_key: list[int] = table.kinds.key.tolist()

    def set_now(self, minute: int) -> None:
        """It is now ``minute``."""
        self.now = minute
        self.worked = self.clock.worked(minute)
        self.measured = max(self.worked, self._measure_from)

    @property
    def measuring(self) -> bool:
        """True from the minute on from which sums count."""
        return self.now >= self.table.days.measure_from

    # -- what is due -------------------------------------------------------------------------

    def push(self, minute: int, rank: Rank, a: int, b: int) -> None:
        """Something is due; ``a`` and ``b`` say what, and order what falls together."""
        if minute < FAR:
            heappush(self._agenda, (minute, rank, a, b))

    def serial(self) -> int:
        """The next number for things of units, which have none of their own."""
        self._serial += 1
        return self._serial - 1

    def pop(self) -> tuple[int, Rank, int, int] | None:
        """What is due next, before the end of the run."""
        if not self._agenda or self._agenda[0][0] >= self.table.days.end:
            return None
        minute, rank, a, b = heappop(self._agenda)
        return minute, Rank(rank), a, b

    # -- what must be looked at --------------------------------------------------------------

    def look(self, phase: Phase, place: int = 0) -> None:
        """Something at ``place`` may be able to go on."""
        self._dirty[phase].add(place)

    def next_look(self) -> tuple[Phase, int] | None:
        """The lowest place of the lowest phase; it is taken off the list."""
        for phase in Phase:
            if places := self._dirty[phase]:
                place = min(places)
                places.remove(place)
                return phase, place
        return None

    # -- chance ------------------------------------------------------------------------------

    def chance(self, stream: Stream, a: int, b: int, c: int) -> float:
        """A number between 0 and 1 for the keys."""
        return draw(self._base, stream, a, b, c)

    def exponential(self, mean: float, u: float) -> float:
        """A value of the exponential law."""
        return mean * quantile(self.table.exponential, u)

    def exponential_minutes(self, mean: float, u: float) -> int:
        """Whole minutes of the exponential law."""
        return whole_minutes(self.exponential(mean, u))

    def removed(self, vehicle: int, kind: int, units: Iterable[int]) -> list[int]:
        """Which of a vehicle's units of a kind come off it (and are asked for again)."""
        share = float(self.table.kinds.removal_share[kind])
        key, own = self.vehicle_key[vehicle], self.kind_key[kind]
        return [j for j in units if self.chance(Stream.REMOVED, key, own, j) < share]

    def wanted(self, piece: Piece, kind: int, units: Iterable[int]) -> int:
        """How many of these units of its vehicle a piece asks for."""
        if kind in piece.known:
            return piece.known[kind]
        return len(self.removed(piece.vehicle, kind, units))

    # -- the diary ---------------------------------------------------------------------------

    def note(self, code: Code, vehicle: int, place: int, amount: int) -> None:
        """It happened now."""
        self.diary.row(self.now, code, vehicle, place, amount)

    def wait(self, piece: Piece, cause: int) -> None:
        """What the piece waited for ends now; only the way of the leading piece is kept."""
        if piece.leads:
            self.diary.wait(piece.vehicle, cause, self.worked - piece.since)
        piece.since = self.worked


def _pieces(table: FlowTable) -> list[Piece]:
    rows = table.pieces
    first = table.vehicles.piece.tolist()
    return [
        Piece(index=p, vehicle=v, number=p - first[v], place=place)
        for p, (v, place) in enumerate(zip(rows.vehicle.tolist(), rows.place.tolist(), strict=True))
    ]
