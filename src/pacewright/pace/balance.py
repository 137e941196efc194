"""Line balance: the least number of stations that do tasks in their order within one takt.

Stations are filled one after another. All sets of tasks that k stations can have done are kept
side by side, each with the least thought: only full stations, and only sets whose idle time still
lets the aimed number of stations suffice. The aim starts at a bound that no line can beat and
goes up by one whenever it is shown to be out of reach, so the first line found is the best one.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil
from time import perf_counter

from pacewright.plans.card import ResultCard
from pacewright.shops.route import stage_order

EFFORTS = ((20, 20), (200, 100), (2000, 400))
"""Sets of done tasks kept for each number of stations, and fillings tried of the next, in turn."""
_HAIR = 1e-9


@dataclass(frozen=True, slots=True)
class Task:
    """One task: its time, in the unit of the takt, and the tasks that must be done before it."""

    task_id: str
    hours: float
    after: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Station:
    """The tasks of one station in an order in which they can be done, and their hours."""

    task_ids: tuple[str, ...]
    hours: float


@dataclass(frozen=True, slots=True)
class Balance:
    """A balanced line: ``card.status`` is optimal when no line has fewer stations."""

    card: ResultCard
    takt_hours: float
    stations: tuple[Station, ...]
    idle_share: float


def balance(
    tasks: Sequence[Task], takt_hours: float, efforts: Sequence[tuple[int, int]] = EFFORTS
) -> Balance:
    """Put tasks to as few stations as the takt allows.

    Parameters
    ----------
    tasks : at least one; ``after`` names tasks of the same list.
    takt_hours : longest time of a station, in the unit of the tasks.
    efforts : pairs of how many sets of done tasks are kept for each number of stations, and how
        many fillings of the next station are tried for each; the next pair is tried when one finds
        nothing. When none had to be left out the answer is proven best.

    Raises
    ------
    ValueError : a task is longer than the takt, unknown or doubled.
    RouteLoopError : the tasks wait for each other in a circle.

    Equations
    ---------
    Bounds ceil(sum t / c), and two by counting tasks longer than c / 2 and c / 3 (Scholl 1999).
    Search: dynamic programme over sets of done tasks, station by station (Jackson 1956), kept
    within bounds (Bautista and Pereira 2009).
    """
    started = perf_counter()
    line = _Line(tasks, takt_hours)
    proven = aim = least_stations([task.hours for task in tasks], takt_hours)
    fillings: list[int] = []
    while not fillings:
        whole = False
        for sets_kept, fillings_tried in efforts:
            fillings, whole = line.fill(aim, sets_kept, fillings_tried)
            if fillings or whole:
                break
        if not fillings:
            aim += 1
            # Only a search that left nothing out has shown the smaller number to be impossible.
            proven = aim if whole and proven == aim - 1 else proven
    stations = tuple(line.station(filling) for filling in fillings)
    return Balance(
        card=ResultCard(
            method="station by station over sets of done tasks, within bounds",
            status="optimal" if len(stations) == proven else "feasible",
            objective=float(len(stations)),
            bound=float(proven),
            gap=(len(stations) - proven) / max(1, len(stations)),
            unit="stations",
            seconds=perf_counter() - started,
        ),
        takt_hours=takt_hours,
        stations=stations,
        idle_share=1 - line.total / (len(stations) * takt_hours),
    )


def least_stations(hours: Sequence[float], takt_hours: float) -> int:
    """A number of stations that no line can beat, whatever the order of the tasks.

    >>> least_stations([5, 5, 5, 2], 8)
    3
    """
    shares = [time / takt_hours for time in hours]
    # Tasks over half a takt need a station each; of those at just half two go together.
    halves = sum(1.0 if s > 0.5 + _HAIR else 0.5 if s > 0.5 - _HAIR else 0.0 for s in shares)
    thirds = sum(_thirds(share) for share in shares)
    return max(ceil(bound - 1e-6) for bound in (sum(shares), halves, thirds, 1.0))


def _thirds(share: float) -> float:
    if share > 2 / 3 + _HAIR:
        return 1.0
    if share > 2 / 3 - _HAIR:
        return 2 / 3
    if share > 1 / 3 + _HAIR:
        return 0.5
    return 1 / 3 if share > 1 / 3 - _HAIR else 0.0


class _Line:
    """The tasks as bits of a number, so that a set of tasks is one number."""

    def __init__(self, tasks: Sequence[Task], takt_hours: float) -> None:
        by_id = {task.task_id: task for task in tasks}
        strange = {one for task in tasks for one in task.after} - by_id.keys()
        long = [task.task_id for task in tasks if task.hours > takt_hours * (1 + _HAIR)]
        if len(by_id) != len(tasks) or strange or long or not tasks:
            raise ValueError(
                f"Tasks have ids of their own and fit into the takt of {takt_hours:g}: "
                f"{len(tasks) - len(by_id)} doubled, unknown {sorted(strange)}, too long {long}. "
                "Correct the ids, or split the long tasks."
            )
        order = stage_order({task.task_id: task.after for task in tasks})
        self.tasks = [by_id[one] for one in order]
        places = {one: place for place, one in enumerate(order)}
        self.needs = [sum(1 << places[one] for one in task.after) for task in self.tasks]
        self.hours = [task.hours for task in self.tasks]
        self.total = sum(self.hours)
        # Short ones first: the stack below then tries the longest task first.
        self.by_time = sorted(range(len(self.hours)), key=self.hours.__getitem__)
        self.takt = takt_hours

    def fill(self, aim: int, sets_kept: int, fillings_tried: int) -> tuple[list[int], bool]:
        """Fillings of at most ``aim`` stations, empty if none was found; whether all was tried."""
        allowed = aim * self.takt - self.total + _HAIR * self.takt
        everything = (1 << len(self.tasks)) - 1
        levels: list[dict[int, tuple[float, int]]] = [{0: (0.0, 0)}]
        whole = True
        for _ in range(aim):
            grown: dict[int, tuple[float, int]] = {}
            for done, (idle, _before) in levels[-1].items():
                for number, (after, rest) in enumerate(self._fillings(done)):
                    if number >= fillings_tried:
                        whole = False
                        break
                    if after == everything:
                        return [*_trace(levels, done), after & ~done], whole
                    if idle + rest <= allowed and after not in grown:
                        grown[after] = (idle + rest, done)
            if len(grown) > sets_kept:
                whole = False
                best = sorted(grown.items(), key=lambda item: item[1][0])[:sets_kept]
                grown = dict(best)
            levels.append(grown)
        return [], whole

    def _fillings(self, done: int) -> Iterator[tuple[int, float]]:
        """Every full next station: what is done after it, and its idle time."""
        seen = {done}
        waiting = [(done, self.takt)]
        while waiting:
            now, rest = waiting.pop()
            full = True
            for place in self.by_time:
                bit, time = 1 << place, self.hours[place]
                ready = not now & bit and self.needs[place] & ~now == 0
                if ready and time <= rest * (1 + _HAIR) + _HAIR:
                    full = False
                    if now | bit not in seen:
                        seen.add(now | bit)
                        waiting.append((now | bit, rest - time))
            if full:
                yield now, rest

    def station(self, filling: int) -> Station:
        """The station that does the tasks of one filling."""
        places = [place for place in range(len(self.tasks)) if filling >> place & 1]
        return Station(
            task_ids=tuple(self.tasks[place].task_id for place in places),
            hours=sum(self.hours[place] for place in places),
        )


def _trace(levels: list[dict[int, tuple[float, int]]], done: int) -> list[int]:
    fillings = []
    for level in reversed(levels[1:]):
        before = level[done][1]
        fillings.append(done & ~before)
        done = before
    return fillings[::-1]
