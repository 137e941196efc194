"""Let the next vehicle in or hold it: by the most loaded place and the limit inside."""

from dataclasses import dataclass
from heapq import heapify, heapreplace
from math import isfinite

from pacewright.control.ahead import Ahead
from pacewright.control.demand import PLAN, Demand
from pacewright.control.hours import Work, able_hours_a_day, stage_hours
from pacewright.control.way import Way
from pacewright.events.standing import Phase, Standing, VehicleStanding
from pacewright.works import Works

WAIT_DAYS = 1.0
"""Wait at the most loaded place that is let pass, unless told otherwise: so long, or one takt."""


@dataclass(frozen=True, slots=True)
class PlaceLoad:
    """What one place has before it when the next vehicle would come there.

    Parameters
    ----------
    place : stage, or shop and trade.
    sort : ``positions`` or ``people``.
    reached_day : when the next vehicle would come there [working days from now].
    work_days : work still ahead of the place before that, over what it can do a day.
    wait_days : how long the next vehicle would wait there.
    """

    place: str
    sort: str
    shop_id: str
    reached_day: float
    work_days: float
    wait_days: float


@dataclass(frozen=True, slots=True)
class Entry:
    """Advice on the next vehicle; a person decides.

    Parameters
    ----------
    vehicle_id : longest at the gate, else first of those called; empty: none, any of ``type_id``.
    let_in : True: let it in.
    reason : why, with the figures.
    ask_again_day : day of the clock on which to ask again when it is held; None: not known.
    inside, inside_limit : vehicles inside, and the limit; None: none set.
    limit_days : wait at the most loaded place above which a vehicle is held.
    loads : every place it would pass, the most loaded first.
    """

    vehicle_id: str
    type_id: str
    let_in: bool
    reason: str
    ask_again_day: float | None
    inside: int
    inside_limit: int | None
    limit_days: float
    loads: tuple[PlaceLoad, ...]


def entry(
    works: Works, standing: Standing, seen: Ahead, asked: Demand, limit_days: float | None = None
) -> Entry | None:
    """Advice on the next vehicle; None: none is at the gate or called.

    It is held when as many are inside as may be, or when at some place on its way the vehicles
    inside would make it wait longer than ``limit_days``: then it stands as well outside, where
    it is in no one's way.

    Parameters
    ----------
    limit_days : working days; None: ``WAIT_DAYS``, or the takt of the pace where that is longer.

    Equations
    ---------
    Positions: those inside that come to a stage before the next vehicle are put on its positions
    in order of coming, each for its mean time; wait = first position free less day of coming.
    People: hours of the work that comes to a shop and trade before it, over what they can do a
    day, less the days until it comes there.
    """
    vehicle = _next(standing)
    if vehicle is None or vehicle.type_id not in seen.all_ways:
        return None
    takt = 1 / asked.vehicles_a_day if asked.vehicles_a_day else 0.0
    limit = max(WAIT_DAYS, takt) if limit_days is None else limit_days
    loads = place_loads(works, seen, seen.all_ways[vehicle.type_id])
    most = works.settings.plan.inside_limit
    of = "the plan" if asked.source == PLAN else "the pace in works.toml"
    why = f" (one takt of {of})" if limit_days is None and limit == takt else ""
    let_in, reason, again = _advice(seen, loads, (limit, why), most)
    inside = len(standing.inside())
    return Entry(
        vehicle.vehicle_id, vehicle.type_id, let_in, reason, again, inside, most, limit, loads
    )


def _next(standing: Standing) -> VehicleStanding | None:
    waiting = [one for one in standing.vehicles.values() if one.phase is Phase.AT_GATE]
    if waiting:
        return min(waiting, key=lambda one: (str(one.arrived_at), one.vehicle_id))
    called = [one for one in standing.vehicles.values() if one.phase is Phase.CALLED]
    return min(called, key=lambda one: (str(one.due_in), one.vehicle_id), default=None)


def _advice(
    seen: Ahead, loads: tuple[PlaceLoad, ...], allowed: tuple[float, str], most: int | None
) -> tuple[bool, str, float | None]:
    limit, why = allowed
    inside = len(seen.vehicles)
    if most is not None and inside >= most:
        ready = min((one.ready_day for one in seen.vehicles.values()), default=seen.now_day)
        again = ready if isfinite(ready) else None
        return False, f"inside: {inside}, and {most} may be", again
    worst = loads[0]
    where = f"{worst.place} ({worst.sort})"
    figures = f"at {where} it would wait {worst.wait_days:.1f} days, {limit:.1f} are allowed{why}"
    if worst.wait_days > limit:
        return False, figures, seen.now_day + worst.wait_days - limit
    room = f"; {inside} of {most} inside" if most is not None else ""
    return True, figures + room, None


def place_loads(works: Works, seen: Ahead, way: Way) -> tuple[PlaceLoad, ...]:
    """Every place on the way of a vehicle let in now, most loaded first."""
    reached = _reached(seen, way)
    found = [_positions_load(seen, works, stage_id, day) for stage_id, day in reached.items()]
    found += _people_loads(works, seen, reached)
    return tuple(sorted(found, key=lambda one: (-one.wait_days, -one.work_days, one.place)))


def _reached(seen: Ahead, way: Way) -> dict[str, float]:
    # Days from now at which a vehicle let in now, and never held up, comes to each stage.
    found: dict[str, float] = {}

    def along(leg: tuple[str, ...], start: float) -> float:
        for stage_id in leg:
            found[stage_id] = start
            start += seen.times[stage_id].mean_days
        return start

    parts = along(tuple(one.stage_id for one in way.before), 0.0)
    ends = [along(tuple(s.stage_id for s in leg), parts) for leg in way.parts.values()]
    along(tuple(one.stage_id for one in way.after), max(ends, default=parts))
    return found


def _positions_load(seen: Ahead, works: Works, stage_id: str, reached: float) -> PlaceLoad:
    stage = next(one for one in works.stages if one.stage_id == stage_id)
    now = seen.now_day
    coming = [
        (max(row.begins, now) - now, row.ends - max(row.begins, now))
        for row in seen.stays
        if row.stage_id == stage_id and row.begins - now <= reached
    ]
    free = [0.0] * stage.positions
    heapify(free)
    for begin, length in sorted(coming):
        heapreplace(free, max(begin, free[0]) + length)
    work = sum(length for _, length in coming) / stage.positions
    return PlaceLoad(
        stage_id, "positions", stage.shop_id, reached, work, max(0.0, free[0] - reached)
    )


def _people_loads(works: Works, seen: Ahead, reached: dict[str, float]) -> list[PlaceLoad]:
    able = able_hours_a_day(works)
    shops = {one.stage_id: one.shop_id for one in works.stages}
    first: dict[str, float] = {}
    for stage_id, day in reached.items():
        shop_id = shops[stage_id]
        first[shop_id] = min(day, first.get(shop_id, day))
    hours: dict[Work, float] = {}
    for row in seen.stays:
        shop_id = shops[row.stage_id]
        if row.begins - seen.now_day > first.get(shop_id, -1.0):
            continue
        left = row.ends - max(row.begins, seen.now_day)
        share = min(1.0, left / seen.times[row.stage_id].mean_days)
        for trade_id, each in stage_hours(works, row.stage_id, row.type_id).items():
            key = Work(shop_id, trade_id)
            hours[key] = hours.get(key, 0.0) + each * share
    found = []
    for key, total in hours.items():
        if able.get(key):
            days = total / able[key]
            wait = max(0.0, days - first[key.shop_id])
            place = f"{key.shop_id} {key.trade_id}"
            found.append(PlaceLoad(place, "people", key.shop_id, first[key.shop_id], days, wait))
    return found
