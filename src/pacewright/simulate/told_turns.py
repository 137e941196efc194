"""Which unit a row of a run means: when each one is made good, reckoned by the draws of the run.

A run's rows say how many units are made good, not which. Its draws are pure functions of the unit,
so what befalls each one can be reckoned beside the rows, and every unit of the record has its own
turn time.
"""

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field
from heapq import heappop, heappush
from typing import Generic, TypeVar

from pacewright.simulate.chance import Stream, draw, quantile, whole_minutes
from pacewright.simulate.told_ground import Ground
from pacewright.simulate.told_here import Here

Origin = tuple[int, int]
"""Key of the vehicle, second site or float a unit came from in the run, and its number there."""

NOBODY: Origin = (0, -1)
"""Origin of a unit that stood in its shop before anything was told."""

Named = TypeVar("Named")


@dataclass(slots=True)
class _Line(Generic[Named]):
    """Units of one kind in their shop.

    Parameters
    ----------
    due : (minute, number, unit) : the end of its turn, or of its time on the bench.
    before : (minute, number, unit, minutes) : its time before the bench is over; that on it.
    queue : waits for a bench: unit, minutes on it.
    out : benches out of use.
    """

    due: list[tuple[int, int, Named]] = field(default_factory=list)
    before: list[tuple[int, int, Named, int]] = field(default_factory=list)
    queue: deque[tuple[Named, int]] = field(default_factory=deque)
    out: int = 0


class Turns(Generic[Named]):
    """Follows every unit from the minute it leaves for its shop.

    Parameters
    ----------
    ground : table and draws of the run.
    """

    def __init__(self, ground: Ground) -> None:
        self._ground, self._kinds = ground, ground.table.kinds
        self._keys: list[int] = self._kinds.key.tolist()
        self._benches: list[int] = self._kinds.benches.tolist()
        self._lines: list[_Line[Named]] = [_Line() for _ in self._keys]
        self._number = 0

    # -- chance ------------------------------------------------------------------------------

    def _chance(self, stream: Stream, k: int, origin: Origin) -> float:
        return draw(self._ground.base, stream, origin[0], self._keys[k], origin[1])

    def came_off(self, here: Here, k: int) -> list[Origin]:
        """The units of a kind that come off a piece at the end of its step."""
        table, vehicle_key = self._ground.table, self._ground.vehicle_keys[here.v]
        place = int(table.pieces.place[int(table.vehicles.piece[here.v]) + here.n])
        units = dict(self._ground.strips[here.step])[k]
        share = float(self._kinds.removal_share[k])
        numbers = range(place, units, int(table.steps.pieces[here.step]))
        every = [(vehicle_key, number) for number in numbers]
        return [one for one in every if self._chance(Stream.REMOVED, k, one) < share]

    def back_from_site(self, k: int) -> Iterator[tuple[int, Origin]]:
        """Minute at which each unit that the second site gave up is here."""
        ground, clock = self._ground, self._ground.clock
        gap, key = float(self._kinds.site_gap[k]), int(self._kinds.site_key[k])
        minute, n = ground.table.days.start, 0
        while gap > 0 and minute < ground.table.days.end:
            u = draw(ground.base, Stream.SITE, self._keys[k], 0, n)
            minute = clock.end_of_work(0, minute, self._exponential(gap, u))
            yield clock.end_of_work(0, minute, int(self._kinds.transit_minutes[k])), (key, n)
            n += 1

    def cannot_be_made_good(self, k: int, origin: Origin) -> bool:
        """True when a unit is scrapped as its lot leaves."""
        return self._chance(Stream.SCRAP, k, origin) < float(self._kinds.scrap_share[k])

    def _exponential(self, mean: float, u: float) -> int:
        return whole_minutes(mean * quantile(self._ground.table.exponential, u))

    # -- into the shop -----------------------------------------------------------------------

    def leaves(self, k: int, minute: int, origin: Origin, unit: Named) -> None:
        """A unit that can be made good leaves for its shop."""
        self._is_away(k, minute, self._turn(k, origin), origin, unit)

    def is_there(self, k: int, n: int, unit: Named) -> None:
        """Unit ``n`` of those of the float in their shop at the start, its turn partly over."""
        origin = int(self._kinds.float_key[k]), n
        left = self._turn(k, origin) * self._chance(Stream.RESIDUAL, k, origin)
        self._is_away(k, self._ground.table.days.start, left, origin, unit)

    def _turn(self, k: int, origin: Origin) -> float:
        return quantile(self._kinds.turn[k], self._chance(Stream.TURN, k, origin))

    def _is_away(self, k: int, minute: int, left: float, origin: Origin, unit: Named) -> None:
        if self._benches[k]:
            self._to_bench(k, minute, origin, unit, int(left + 0.5))
        else:
            self._due(k, 0, minute, whole_minutes(left), unit)

    def _due(self, k: int, calendar: int, minute: int, minutes: int, unit: Named) -> None:
        self._number += 1
        end = self._ground.clock.end_of_work(calendar, minute, minutes)
        heappush(self._lines[k].due, (end, self._number, unit))

    def _to_bench(self, k: int, minute: int, origin: Origin, unit: Named, rest: int) -> None:
        mean = float(self._kinds.bench_minutes[k])
        on_it = self._exponential(mean, self._chance(Stream.BENCH, k, origin))
        self._number += 1
        ready = self._ground.clock.end_of_work(0, minute, rest)
        heappush(self._lines[k].before, (ready, self._number, unit, on_it))

    # -- benches -----------------------------------------------------------------------------

    def bench_lost(self, k: int, minute: int) -> None:
        """One bench fewer; who is on one stays on it."""
        self._up_to(k, minute)
        self._lines[k].out += 1

    def bench_back(self, k: int, minute: int) -> None:
        """One bench more."""
        self._up_to(k, minute)
        self._lines[k].out -= 1
        self._start(k, minute)

    def _up_to(self, k: int, minute: int) -> None:
        """Whoever was ready for a bench before the minute has joined the line."""
        before = self._lines[k].before
        while before and before[0][0] < minute:
            ready, _, unit, on_it = heappop(before)
            self._lines[k].queue.append((unit, on_it))
            self._start(k, ready)

    def _start(self, k: int, minute: int) -> None:
        line = self._lines[k]
        while line.queue and len(line.due) + line.out < self._benches[k]:
            unit, on_it = line.queue.popleft()
            self._due(k, int(self._kinds.calendar[k]), minute, on_it, unit)

    # -- out of the shop ---------------------------------------------------------------------

    def made_good(self, k: int, minute: int) -> Named:
        """The unit that is made good at a minute at which the run says that one is.

        Raises
        ------
        ValueError : none is due then: rows and draws are not of one run.
        """
        if self._benches[k]:
            self._up_to(k, minute)
        due = self._lines[k].due
        if not due or due[0][0] != minute:
            name = self._ground.table.names.kinds[k]
            raise ValueError(
                f"told: the rows make a {name} good at minute {minute}, the draws do not. Rows and "
                "draws are of one run. Tell a run with the table, seed and replication it is of."
            )
        unit = heappop(due)[2]
        if self._benches[k]:
            self._start(k, minute)
        return unit
