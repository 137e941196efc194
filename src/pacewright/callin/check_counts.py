"""The judge's counts: weeks, caps, limits and the least pace, worked out again."""

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Iterator
from math import ceil, floor, isclose

import numpy as np

from pacewright.callin.check_facts import Facts, away_days, zone
from pacewright.plans.programme import Call, Programme


def count_faults(facts: Facts) -> Iterator[str]:
    """Every broken rule among the counts."""
    if len(facts.programme.weeks) != len(facts.weeks):
        yield f"The programme has {len(facts.programme.weeks)} weeks, not {len(facts.weeks)}."
        return
    yield from _pace(facts)
    yield from _weeks(facts)
    yield from _type_limits(facts)
    yield from _depots(facts)
    yield from _inside(facts)
    yield from _least_pace(facts)
    yield from _reliefs(facts.programme)


def _pace(facts: Facts) -> Iterator[str]:
    """The pace run at: the last step of the settings, or a least one in steps of a tenth."""
    stated = facts.programme.pace_a_day * facts.works.week_days
    steps = facts.works.settings.plan.pace
    held = [step.vehicles_a_week for step in steps if step.starts <= facts.horizon_end]
    if held and not isclose(stated, held[-1]):
        yield f"The pace is {held[-1]} a week, not {stated:g}."
    if not held and not isclose(10 * stated, round(10 * stated), abs_tol=1e-6):
        yield f"The pace is not a whole number of tenths a week: {stated:g}."


def _weeks(facts: Facts) -> Iterator[str]:
    calls = Counter(call.week for call in facts.programme.calls)
    types = Counter((call.week, call.type_id) for call in facts.programme.calls)
    booked = Counter(call.week for call in facts.programme.calls if _is_booked(facts, call))
    for week, stated, able in zip(facts.weeks, facts.programme.weeks, _able(facts), strict=True):
        head = (stated.index, stated.label, stated.monday, stated.working_days)
        if head != (week.index, week.label, week.monday, len(week.working_days)):
            yield f"Week {week.label} is written as {head}."
        if stated.able != able:
            yield f"Week {week.label}: the pace allows {able} calls, not {stated.able}."
        if calls[week.index] > max(able, booked[week.index]):
            yield f"Week {week.label}: {calls[week.index]} called; the pace allows {able}."
        if stated.called != calls[week.index]:
            yield f"Week {week.label}: {calls[week.index]} called, not {stated.called}."
        of_type = {t.type_id: types[week.index, t.type_id] for t in facts.works.vehicle_types}
        if {key: n for key, n in stated.called_by_type.items() if n} != {
            key: n for key, n in of_type.items() if n
        }:
            yield f"Week {week.label}: calls by type are {of_type}, not {stated.called_by_type}."
        if stated.zone is not zone(facts.works, week.index):
            yield f"Week {week.label} is not in the {stated.zone} zone."


def _is_booked(facts: Facts, call: Call) -> bool:
    return facts.booked_day(call.vehicle_id, call.visit) is not None


def _able(facts: Facts) -> Iterator[int]:
    """Calls the pace allows in each week: whole numbers of the running total."""
    plan, usual = facts.works.settings.plan, facts.works.week_days
    total, stated = 0.0, facts.programme.pace_a_day * usual
    for week in facts.weeks:
        before = floor(total / usual + 1e-9)
        for day in week.working_days:
            held = [s.vehicles_a_week for s in plan.pace if s.starts <= day]
            total += held[-1] if plan.pace else stated
        yield floor(total / usual + 1e-9) - before


def _type_limits(facts: Facts) -> Iterator[str]:
    counts = Counter((call.type_id, call.week) for call in facts.programme.calls)
    limits = {t.type_id: t.week_limit for t in facts.works.vehicle_types}
    booked = Counter(
        (call.type_id, call.week) for call in facts.programme.calls if _is_booked(facts, call)
    )
    for (type_id, week), count in sorted(counts.items()):
        limit = limits.get(type_id)
        if limit is not None and count > max(limit, booked[type_id, week]):
            yield f"Week {week}: {count} of type {type_id} called; its limit is {limit} a week."


def _span(facts: Facts, week: int, days: int) -> int:
    """Last week of an absence of so many working days from the first working day of a week."""
    calendar = facts.works.calendar
    start = max(facts.weeks[week].monday, facts.works.settings.plan.start)
    place = bisect_left(calendar.days, start) + days - 1
    return facts.week_of(calendar.days[min(place, len(calendar.days) - 1)])


def _by_week(facts: Facts, spans: Iterable[tuple[int, int]]) -> list[int]:
    size = len(facts.weeks)
    counts = [0] * (size + 1)
    for first, last in spans:
        counts[first] += 1
        counts[min(last + 1, size)] -= 1
    return np.cumsum(counts[:-1]).tolist()  # type: ignore[no-any-return]


def _stays(facts: Facts, days_home: bool) -> list[tuple[str, int, int]]:
    """Depot, first and last working day, from the plan's first as 0, of who has no call of it.

    They are inside at the start, or called in beside the weeks. ``days_home`` adds the way home. A
    vehicle that should be out already gets one full week.
    """
    works, calendar = facts.works, facts.works.calendar
    origin = bisect_left(calendar.days, works.settings.plan.start)
    travel = {d.depot_id: ceil(d.travel_days - 1e-9) for d in works.depots}
    turn = {t.type_id: max(1, ceil(t.turn_days - 1e-9)) for t in works.vehicle_types}
    found = []
    for vehicle in works.vehicles:
        if vehicle.state == "inside":
            came = bisect_left(calendar.days, vehicle.gate_in or works.settings.plan.today)
            last = came + turn[vehicle.type_id] - 1 - origin
            if vehicle.promised:
                last = calendar.count(works.settings.plan.start, vehicle.promised) - 1
            last = works.week_days - 1 if last < 0 else last
            found.append((vehicle.depot_id, 0, last + travel[vehicle.depot_id] * days_home))
    rows = {vehicle.vehicle_id: vehicle for vehicle in works.vehicles}
    for name, day in facts.beside_the_weeks:
        row, came = rows[name], bisect_left(calendar.days, day) - origin
        last = max(-1, came + turn[row.type_id] - 1) + travel[row.depot_id] * days_home
        found.append((row.depot_id, max(0, came), last))
    return found


def _weeks_of_stay(facts: Facts, first: int, last: int) -> tuple[int, int]:
    return (_week_at(facts, first) if first else 0), _week_at(facts, last)


def _week_at(facts: Facts, day_place: int) -> int:
    calendar = facts.works.calendar
    place = bisect_left(calendar.days, facts.works.settings.plan.start) + day_place
    return facts.week_of(calendar.days[min(place, len(calendar.days) - 1)])


def _depots(facts: Facts) -> Iterator[str]:
    stated = {(one.depot_id, one.week): one for one in facts.programme.depot_weeks}
    stays = [
        (depot, _weeks_of_stay(facts, first, last))
        for depot, first, last in _stays(facts, days_home=True)
    ]
    spans: dict[str, list[tuple[int, int]]] = {d.depot_id: [] for d in facts.works.depots}
    fixed: dict[str, list[tuple[int, int]]] = {d.depot_id: [] for d in facts.works.depots}
    days = {
        (t.type_id, d.depot_id): away_days(facts.works, t.type_id, d.depot_id)
        for t in facts.works.vehicle_types
        for d in facts.works.depots
    }
    for call in facts.programme.calls:
        if call.depot_id in spans and 0 <= call.week < len(facts.weeks):
            length = days[call.type_id, call.depot_id]
            into = fixed if _is_booked(facts, call) else spans
            into[call.depot_id].append((call.week, _span(facts, call.week, length)))
    if len(stated) != len(facts.weeks) * len(facts.works.depots):
        yield "Not every depot has a line for every week."
    for depot in facts.works.depots:
        there = [span for name, span in stays if name == depot.depot_id]
        before = _by_week(facts, [*there, *fixed[depot.depot_id]])
        called = _by_week(facts, spans[depot.depot_id])
        for week, (already, more) in enumerate(zip(before, called, strict=True)):
            where = f"Depot {depot.depot_id}, week {facts.weeks[week].label}"
            limit = depot.away_limit
            if limit is not None and more and already + more > max(limit, already):
                yield f"{where}: {already + more} away; its limit is {limit}."
            line = stated.get((depot.depot_id, week))
            if line is None or (line.away, line.limit) != (already + more, limit):
                yield f"{where}: {already + more} away of {limit} is not what is written."


def _inside(facts: Facts) -> Iterator[str]:
    turn = {t.type_id: max(1, ceil(t.turn_days - 1e-9)) for t in facts.works.vehicle_types}
    stays = [(first, last) for _, first, last in _stays(facts, days_home=False)]
    calls = [call for call in facts.programme.calls if 0 <= call.week < len(facts.weeks)]
    spans = [(call.week, _span(facts, call.week, turn[call.type_id])) for call in calls]
    booked = [_is_booked(facts, call) for call in calls]
    fixed = [span for span, told in zip(spans, booked, strict=True) if told]
    free = [span for span, told in zip(spans, booked, strict=True) if not told]
    before = _by_week(facts, [*(_weeks_of_stay(facts, *stay) for stay in stays), *fixed])
    limit = facts.works.settings.plan.inside_limit
    for week, (already, more) in enumerate(zip(before, _by_week(facts, free), strict=True)):
        if limit is not None and more and already + more > max(limit, already):
            label = facts.weeks[week].label
            yield f"Week {label}: {already + more} vehicles inside; the limit is {limit}."
    place = {day: number for number, day in enumerate(facts.days)}
    called = [place[call.day] for call in calls if call.day in place]
    came = np.sort([*called, *(first for first, _ in stays if first > 0)])
    out = [place[call.day] + turn[call.type_id] for call in calls if call.day in place]
    gone = np.sort([*out, *(last + 1 for _, last in stays)])
    end = -1
    for stated in facts.programme.weeks:
        end += len(facts.weeks[stated.index].working_days)
        inside = sum(first == 0 for first, _ in stays) + np.searchsorted(came, end, side="right")
        inside -= np.searchsorted(gone, end, side="right")
        if stated.inside_end != inside:
            yield f"Week {stated.label}: {inside} inside at its end, not {stated.inside_end}."


def _least_pace(facts: Facts) -> Iterator[str]:
    """No interval asks for more than is stated, and the interval named asks for just that."""
    least, place = facts.programme.least_pace, {d: n for n, d in enumerate(facts.days)}
    size = len(facts.days)
    table = np.zeros((size, size), dtype=np.int32)
    for window in facts.belonging.values():
        permitted = facts.permitted(window)
        if permitted and window.latest and window.latest <= facts.horizon_end:
            table[place[permitted[0]], place[permitted[1]]] += 1
    inside = np.cumsum(np.cumsum(table[::-1], axis=0)[::-1], axis=1)
    if least.first not in place or least.last not in place or least.first > least.last:
        yield "The interval of the least pace does not run between working days of the plan."
        return
    first, last = place[least.first], place[least.last]
    if (inside[first, last], last - first + 1) != (least.vehicles, least.working_days):
        yield (
            f"Between {least.first} and {least.last} {inside[first, last]} vehicles have their "
            f"whole window on {last - first + 1} working days; the least pace says otherwise."
        )
    length = np.subtract.outer(-np.arange(size), -np.arange(size)) + 1
    worst = float(np.max(inside / np.where(length > 0, length, np.inf)))
    if not isclose(worst, least.vehicles_a_day, abs_tol=1e-12):
        yield f"The least pace is {worst:.4f} a working day, not {least.vehicles_a_day:.4f}."
    if not isclose(least.vehicles_a_week, least.vehicles_a_day * facts.works.week_days):
        yield "The least pace a week is not that of a day times the working days of a week."


def _reliefs(programme: Programme) -> Iterator[str]:
    for relief in programme.reliefs:
        if relief.kind not in {"pace", "depot", "type", "inside"} or not relief.sentence:
            yield f"A relief of kind {relief.kind!r} is unknown or says nothing."
        if relief.amount <= 0 or relief.vehicles <= 0 or relief.first > relief.last:
            yield f"The relief {relief.sentence!r} eases nothing."
        if not programme.late_weeks:
            yield f"The relief {relief.sentence!r} is named though nobody is late."
