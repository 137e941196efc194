"""A run of the simulation told as the record would tell it, event by event.

The rows of a run say how many; a record says which. Told so, every body, chassis and unit has a
serial, every position a number, every test item a reading, and the fold takes it with all checks.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from heapq import heappop, heappush
from itertools import count
from random import Random

from pacewright.events.codes import Code
from pacewright.events.gate import OdometerRead
from pacewright.events.things import Event
from pacewright.fleet.tables import Reading
from pacewright.simulate.run import Events, Run
from pacewright.simulate.table import FlowTable
from pacewright.simulate.told_gate import GateTold
from pacewright.simulate.told_ground import Ground
from pacewright.simulate.told_here import NOWHERE, Here
from pacewright.simulate.told_stages import StagesTold
from pacewright.simulate.told_units import UnitsTold
from pacewright.works import Works

_LISTED_AT_ONCE = 50_000
# Minute of the day at which depots read odometers.
_READ_AT = 300


class NotFromEmptyError(ValueError):
    """A run told from the middle would begin with events nobody saw."""

    def __init__(self) -> None:
        super().__init__(
            "told: the run has vehicles inside at its start, or kept no rows. A record begins with "
            "an empty works. Compile it with inside_now=False and run it with events=True."
        )


@dataclass(frozen=True)
class Telling:
    """What is told beside the rows.

    Parameters
    ----------
    readings : odometer readings that depots send in, any order.
    at_arrival : vehicle index -> its odometer at the gate; left out: not read.
    inspected_at : assembly -> stage at whose end its scope is agreed; left out: its first.
    unit_shares : operation on a unit -> how often it is needed in truth; left out: as the works
        says.
    until : minute of the run after which nothing is told; None: its end.
    """

    readings: Sequence[Reading] = ()
    at_arrival: Mapping[int, float] = field(default_factory=dict)
    inspected_at: Mapping[str, str] = field(default_factory=dict)
    unit_shares: Mapping[str, float] = field(default_factory=dict)
    until: int | None = None


def told(
    table: FlowTable, run: Run, works: Works, telling: Telling | None = None
) -> Iterator[Event]:
    """The events of a run, in order of time and, within a minute, of the rows.

    Parameters
    ----------
    table : compiled from a works from empty (``inside_now=False``).
    run : of the table, with its rows.
    works : in whose words it is told; the table may come from a works of the same rows whose
        shares and hours differ: the truth behind these.
    telling : what is told beside the rows; None: nothing.

    Raises
    ------
    NotFromEmptyError : vehicles inside at the start, or no rows.
    """
    if run.events is None or table.vehicles.inside.any():
        raise NotFromEmptyError
    return _Teller(Ground(table, run, works, (telling or Telling()).inspected_at), telling).tell()


class _Teller:
    """Goes through the rows, and through what is due between them."""

    def __init__(self, ground: Ground, telling: Telling | None) -> None:
        self._ground, self._telling = ground, telling or Telling()
        self._told: list[Event] = []
        self._now = ground.table.days.start
        self._agenda: list[tuple[int, int, Callable[[], None]]] = []
        self._serial = count()
        chance = Random(ground.run.seed * 1000 + ground.run.replication)
        tell = self._told.append
        self._units = UnitsTold(ground, tell, self._later, chance)
        self._units.true_shares(dict(self._telling.unit_shares))
        self._stages = StagesTold(ground, tell, self._later, chance, self._units)
        self._gate = GateTold(ground, tell, self._stages, self._telling.at_arrival)
        self._draw_up()

    def _later(self, minutes: int, what: Callable[[], None]) -> None:
        due = self._ground.clock.end_of_work(0, self._now, minutes)
        heappush(self._agenda, (due, next(self._serial), what))

    def _at(self, minute: int, what: Callable[[], None]) -> None:
        heappush(self._agenda, (max(minute, self._now), next(self._serial), what))

    def _set_now(self, minute: int) -> None:
        if minute != self._now:
            self._now = minute
            moment = self._ground.moment(minute)
            self._units.at = self._stages.at = self._gate.at = moment
            self._stages.now = minute

    def tell(self) -> Iterator[Event]:
        """All events."""
        ground, rows = self._ground, self._ground.run.events
        if rows is None:
            return
        until = ground.table.days.end if self._telling.until is None else self._telling.until
        self._begin()
        yield from self._handed_over()
        for minute, code, v, place, amount, follower in _listed(rows):
            if minute > until:
                break
            if minute != self._now:
                self._due_before(minute)
                yield from self._handed_over()
                self._set_now(minute)
            self._row(code, v, place, amount, follower)
        self._due_before(until + 1)
        yield from self._handed_over()

    def _handed_over(self) -> list[Event]:
        events = self._told.copy()
        self._told.clear()
        return events

    def _due_before(self, minute: int) -> None:
        while self._agenda and self._agenda[0][0] < minute:
            due, _, what = heappop(self._agenda)
            self._set_now(due)
            what()

    def _begin(self) -> None:
        ground = self._ground
        start = ground.table.days.start
        self._now = -1
        self._set_now(start)
        self._units.begin()
        for minute, call in self._gate.calls():
            self._at(minute, call)
        for one in self._telling.readings:
            self._at(ground.minute(one.read_on) + _READ_AT, partial(self._read, one))
        self._attend(ground.clock.next_day(start))

    def _read(self, one: Reading) -> None:
        self._told.append(OdometerRead(self._gate.at, one.vehicle_id, one.odometer))

    def _attend(self, i: int) -> None:
        """The roll of a working day is told when the last shop of it has closed."""
        clock = self._ground.clock
        if i < len(clock.workday):
            closing = clock.opening(i) + max(clock.minutes)
            self._at(closing, partial(self._attended, i))

    def _attended(self, i: int) -> None:
        self._gate.attended(i)
        self._attend(i + 1)

    # -- rows --------------------------------------------------------------------------------

    def _row(self, code: int, v: int, place: int, amount: int, follower: int) -> None:
        stages = self._stages
        if code in self._of_pieces:
            self._of_pieces[code](stages.here[v, amount])
        elif code in self._at_places:
            self._at_places[code](stages.here[v, amount], place)
        elif code in self._of_kinds:
            self._of_kinds[code](place)
        elif code in self._of_vehicles:
            self._of_vehicles[code](v)
        else:
            self._row_of_several(code, v, place, amount, follower)

    def _row_of_several(self, code: int, v: int, place: int, amount: int, follower: int) -> None:
        stages, units = self._stages, self._units
        match code:
            case Code.MARRIED:
                stages.married(v, amount)
            case Code.REMOVED:
                units.removed(stages.last, stages.whole(v), place, amount)
            case Code.SENT:
                units.sent(place, amount)
            case Code.FITTED:
                units.given(v, place, amount)
            case Code.ROBBED:
                units.robbed(stages.of_vehicle(v), place, amount, follower)

    def _draw_up(self) -> None:
        """Code -> what tells a row of it, by what the row names."""
        stages, units, gate = self._stages, self._units, self._gate
        self._of_pieces: dict[int, Callable[[Here], None]] = {
            Code.SUPPLIED: stages.supplied,
            Code.BATCHED: stages.batched,
            Code.FINISHED: stages.finished,
            Code.FAILED: stages.failed,
            Code.REDONE: stages.redone,
            Code.STORED: stages.stored,
        }
        self._at_places: dict[int, Callable[[Here, int], None]] = {
            Code.READY: stages.ready,
            Code.POSITIONED: stages.positioned,
            Code.STARTED: stages.started,
            Code.ENDED: stages.ended,
        }
        self._of_kinds: dict[int, Callable[[int], None]] = {
            Code.SCRAPPED: units.scrapped,
            Code.BOUGHT: units.bought,
            Code.SERVICEABLE: units.made_good,
            Code.SITE_DRAWN: units.site_drawn,
            Code.UPSET: stages.upset,
            Code.MENDED: stages.mended,
        }
        self._of_vehicles: dict[int, Callable[[int], None]] = {
            Code.ARRIVED: gate.arrived,
            Code.ADMITTED: gate.admitted,
            Code.PARTED: stages.parted,
            Code.RELEASED: gate.released,
        }


def _listed(rows: Events) -> Iterator[tuple[int, int, int, int, int, int]]:
    """Minute, code, vehicle, place and amount of each row, and the vehicle of the row after it."""
    columns = (rows.time, rows.code, rows.vehicle, rows.place, rows.amount)
    count = len(rows.time)
    # Lists of a whole run would fill the memory; one row at a time would be slow.
    for low in range(0, count, _LISTED_AT_ONCE):
        high = low + _LISTED_AT_ONCE
        followers = [*rows.vehicle[low + 1 : high + 1].tolist(), NOWHERE][: min(high, count) - low]
        yield from zip(*(one[low:high].tolist() for one in columns), followers, strict=True)
