"""Who comes in when: from the programme, or one a takt; and who stands inside at the start."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from math import ceil

from pacewright.plans.programme import Programme, Zone
from pacewright.simulate.calendars import Stretch
from pacewright.simulate.start_table import There
from pacewright.works import Works


@dataclass(frozen=True, slots=True)
class Coming:
    """One vehicle of a run.

    Parameters
    ----------
    name : vehicle number and visit; its chance hangs on this name alone.
    type_id, depot_id : its type; its depot, blank when none can make it late.
    day, slot : working day of its call, and minutes after the opening.
    stage_id : where it stands at the start by the tables; blank when it is yet to come.
    there : where it is when the run begins.
    vehicle_id : its number; blank when the tables only count it.
    """

    name: str
    type_id: str
    depot_id: str
    day: int
    slot: int
    stage_id: str = ""
    there: There = There.TO_COME
    vehicle_id: str = ""


def called_in(programme: Programme, stretch: Stretch) -> Iterator[Coming]:
    """The calls of the programme that fall into the run; those of one day come evenly over it.

    Those called in for a day before the run come on the morning it begins.
    """
    days = stretch.days
    begin = days.start // 1440
    for booked in programme.booked:
        d = max(begin, (booked.day - stretch.monday).days)
        if d * 1440 < days.end:
            name = f"{booked.vehicle_id}/1"
            yield Coming(
                name,
                booked.type_id,
                booked.depot_id,
                int(days.before[d]),
                0,
                vehicle_id=booked.vehicle_id,
            )
    calls = sorted(programme.calls, key=lambda one: (one.day, one.order))
    for day, group in groupby(calls, key=lambda one: one.day):
        d = (day - stretch.monday).days
        if not 0 <= d * 1440 < days.end:
            continue
        of_day = list(group)
        for place, one in enumerate(of_day):
            yield Coming(
                name=f"{one.vehicle_id}/{one.visit}",
                type_id=one.type_id,
                depot_id=one.depot_id,
                day=int(days.before[d]),
                slot=place * stretch.lengths[0] // len(of_day),
                vehicle_id=one.vehicle_id,
            )


def evenly(pace_a_day: float, mix: Mapping[str, float], stretch: Stretch) -> Iterator[Coming]:
    """One vehicle every takt from the start on, each type spread as evenly as it can be."""
    own = stretch.lengths[0]
    days = stretch.days
    first = int(days.before[days.start // 1440])
    last = int(days.before[days.end // 1440])
    count = ceil((last - first) * pace_a_day - 1e-9)
    for n, type_id in zip(range(count), _in_turn(mix), strict=False):
        minute = int(n * own / pace_a_day)
        yield Coming(f"even/{n}", type_id, "", first + minute // own, minute % own)


def _in_turn(mix: Mapping[str, float]) -> Iterator[str]:
    """Type after type, always the one that is furthest behind its share."""
    owed = dict.fromkeys(mix, 0.0)
    while True:
        for type_id, share in mix.items():
            owed[type_id] += share
        turn = max(owed, key=lambda one: owed[one])
        owed[turn] -= 1.0
        yield turn


def standing_inside(works: Works, stretch: Stretch) -> Sequence[Coming]:
    """The vehicles inside today, the one longest inside first."""
    inside = [one for one in works.vehicles if one.state == "inside" and one.stage_id is not None]
    inside.sort(key=lambda one: (one.gate_in or stretch.first, one.vehicle_id))
    return [
        Coming(
            name=f"{one.vehicle_id}/now",
            type_id=one.type_id,
            depot_id=one.depot_id,
            day=stretch.working_day(one.gate_in or stretch.first, works),
            slot=0,
            stage_id=one.stage_id or "",
            there=There.INSIDE,
        )
        for one in inside
    ]


def mix_of(works: Works, programme: Programme | None) -> dict[str, float]:
    """Share of each type among the calls of the firm and planned zones, as the line takes it.

    Without such calls all calls count, without any the vehicles that have not left the fleet,
    and in a works without vehicles every type alike.
    """
    calls = programme.calls if programme else ()
    near = [one.type_id for one in calls if one.zone is not Zone.OUTLINE]
    in_use = [one.type_id for one in works.vehicles if one.state != "withdrawn"]
    every = [one.type_id for one in works.vehicle_types]
    counts = Counter(near or [one.type_id for one in calls] or in_use or every)
    total = sum(counts.values())
    return {
        one.type_id: counts[one.type_id] / total
        for one in works.vehicle_types
        if counts[one.type_id]
    }
