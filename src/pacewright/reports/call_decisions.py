"""Decisions that the call-in programme asks for: what stands, what is near, what must give."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, timedelta

from pacewright.plans.plan import Plan
from pacewright.plans.programme import Call, Relief, Unplaced, Zone
from pacewright.reports.decision import Decision, Urgency
from pacewright.reports.written import day, listed, number, sentence, share, some
from pacewright.works import Works

NEAR = 0.05
"""Chance of passing the limit above which a firm call-in is shown as near it."""

MOST_DAYS = 365
"""A vehicle without a place is weighed with one year of standing at most."""

_EASED = {
    "pace": "Raise the pace",
    "depot": "Let a depot spare more",
    "type": "Call in more of a type",
    "inside": "Let more stand inside",
}


def call_decisions(plan: Plan, works: Works) -> Iterator[Decision]:
    """What must be decided of who comes in.

    Unplaced vehicles, calls whose day has passed, call-ins past their limit or near it, reliefs,
    depots at their limit.
    """
    yield from _unplaced(plan)
    yield from _overdue_calls(plan)
    yield from _past_limit(plan)
    yield from _reliefs(plan, works)
    yield from _licence_first(plan, works)
    yield from _near_limit(plan)
    yield from _depots(plan, works)


def _unplaced(plan: Plan) -> Iterator[Decision]:
    groups: dict[tuple[str, str], list[Unplaced]] = defaultdict(list)
    for one in plan.programme.unplaced:
        groups[one.reason, one.remedy].append(one)
    for (reason, remedy), vehicles in groups.items():
        yield Decision(
            Urgency.STAND,
            "vehicle",
            f"{some(len(vehicles), 'vehicle')} found no place inside the limit",
            listed([v.vehicle_id for v in vehicles]),
            f"{sentence(reason)} A vehicle past its limit may not run.",
            sentence(remedy),
            float(sum(_standing_days(v, plan) for v in vehicles)),
            "days from each limit to the end of the horizon, one year at most",
        )


def _standing_days(vehicle: Unplaced, plan: Plan) -> int:
    end = plan.start + timedelta(weeks=len(plan.programme.weeks))
    stands_from = max(vehicle.limit or plan.start, plan.start)
    return min(MOST_DAYS, max(0, (end - stands_from).days))


def _overdue_calls(plan: Plan) -> Iterator[Decision]:
    told = [(one.told, one.vehicle_id) for one in plan.programme.booked]
    told += [(one.called_for, one.vehicle_id) for one in plan.programme.calls if one.called_for]
    passed = sorted(one for one in told if one[0] < plan.today)
    if passed:
        yield Decision(
            Urgency.WATCH,
            "vehicle",
            f"{some(len(passed), 'vehicle')} called in and not come, the day has passed",
            listed([vehicle for _, vehicle in passed]),
            f"The longest awaited was told {day(passed[0][0])}. Until more is known the plan has"
            " them come on its first working day.",
            "Ask the depots; then book a new day, or call them off.",
            float(len(passed)),
            "vehicles awaited since their day",
        )


def _past_limit(plan: Plan) -> Iterator[Decision]:
    late = [call for call in plan.programme.calls if call.spare_days < 0]
    old = [call for call in late if call.limit < plan.start]
    new = [call for call in late if call.limit >= plan.start]
    for calls, what, remedy in (
        (old, "already past the limit at the start", "Take them out of service now, and hold to the"
         " weeks given here."),
        (new, "called in after the limit", "Raise the pace or ease the rule named under reliefs;"
         " until then they stand."),
    ):  # fmt: skip
        if calls:
            worst = min(calls, key=lambda c: (c.spare_days, c.vehicle_id))
            yield Decision(
                Urgency.STAND,
                "vehicle",
                f"{some(len(calls), 'vehicle')} {what}",
                listed([c.vehicle_id for c in calls]),
                f"Longest past: {worst.vehicle_id}, limit {day(worst.limit)}, called in"
                f" {day(worst.day)}. No vehicle runs past its limit.",
                remedy,
                float(sum((c.day - max(c.limit, plan.start)).days for c in calls)),
                "days each must stand from its limit (or the plan's start) to its call-in",
            )


def _reliefs(plan: Plan, works: Works) -> Iterator[Decision]:
    names = {d.depot_id: d.name for d in works.depots}
    names |= {t.type_id: t.name for t in works.vehicle_types}
    unplaced = plan.programme.unplaced
    days = [_standing_days(v, plan) for v in unplaced] or [0]
    for relief in plan.programme.reliefs:
        each = sum(days) / len(days) or _days(relief)
        yield Decision(
            Urgency.STAND,
            "relief",
            f"{_EASED.get(relief.kind, 'Ease a rule')}: {_amount(relief)}"
            f" from {day(relief.first)} to {day(relief.last)}",
            names.get(relief.where, relief.where) or "whole works",
            f"It is the least easing that makes {some(relief.vehicles, 'more vehicle')} fit.",
            sentence(relief.sentence),
            relief.vehicles * each,
            "vehicles it makes fit, times the mean days the unplaced would stand",
        )


def _amount(relief: Relief) -> str:
    return f"{number(relief.amount, 0 if relief.amount == int(relief.amount) else 2)} {relief.unit}"


def _days(relief: Relief) -> int:
    return (relief.last - relief.first).days + 1


def _licence_first(plan: Plan, works: Works) -> Iterator[Decision]:
    expiry = {v.vehicle_id: v.licence_expiry for v in works.vehicles if v.licence_expiry}
    first_calls = {c.vehicle_id: c for c in reversed(plan.programme.calls)}
    late = [
        (ends, call)
        for vehicle, ends in expiry.items()
        if (call := first_calls.get(vehicle)) and ends < call.day and plan.today <= ends
    ]
    if late:
        yield Decision(
            Urgency.STAND,
            "licence",
            f"{some(len(late), 'road licence')} end before the call-in"
            if len(late) > 1
            else "1 road licence ends before the call-in",
            listed([call.vehicle_id for _, call in sorted(late, key=_by_end)]),
            f"The first ends on {day(min(ends for ends, _ in late))}."
            " A vehicle is in the works by then or stands.",
            "Extend the licence with whoever issues it, or bring the vehicle forward.",
            float(sum((call.day - ends).days for ends, call in late)),
            "days from the end of each licence to its call-in",
        )


def _by_end(row: tuple[date, Call]) -> tuple[date, str]:
    return row[0], row[1].vehicle_id


def _near_limit(plan: Plan) -> Iterator[Decision]:
    near = [
        call
        for call in plan.programme.calls
        if call.zone == Zone.FIRM and call.spare_days >= 0 and call.chance_past_limit > NEAR
    ]
    if near:
        worst = max(near, key=lambda c: (c.chance_past_limit, c.vehicle_id))
        yield Decision(
            Urgency.WATCH,
            "vehicle",
            f"{some(len(near), 'firm call-in')} may fall past the true limit",
            listed([c.vehicle_id for c in near]),
            f"Chance above {share(NEAR)} from the forecast of distance; highest"
            f" {share(worst.chance_past_limit)} for {worst.vehicle_id} on {day(worst.day)}.",
            "Read their odometers now and run the plan again, or bring them forward in the week.",
            sum(c.chance_past_limit for c in near),
            "expected number of vehicles past their true limit (sum of the chances)",
        )


def _depots(plan: Plan, works: Works) -> Iterator[Decision]:
    at_limit: dict[str, set[int]] = defaultdict(set)
    over: dict[str, int] = defaultdict(int)
    for row in plan.programme.depot_weeks:
        if row.limit is not None and row.away >= row.limit:
            at_limit[row.depot_id].add(row.week)
            over[row.depot_id] += row.away > row.limit
    calls: dict[str, int] = defaultdict(int)
    for call in plan.programme.calls:
        calls[call.depot_id] += call.week in at_limit[call.depot_id]
    names = {d.depot_id: d.name for d in works.depots}
    for past in (True, False):
        depots = [d for d, weeks in at_limit.items() if weeks and bool(over[d]) is past]
        depots.sort(key=lambda d: (-len(at_limit[d]), d))
        if not depots:
            continue
        yield Decision(
            Urgency.WATCH,
            "depot",
            f"{some(len(depots), 'depot')} over the away-limit in some weeks"
            if past
            else f"{some(len(depots), 'depot')} at the away-limit, with no vehicle to spare",
            listed([f"{names.get(d, d)} ({some(len(at_limit[d]), 'week')})" for d in depots], 4),
            "Vehicles already inside or overdue put them over it."
            if past
            else "In these weeks no other vehicle of theirs can come; the limit shapes the plan.",
            "Agree the extra absence with the depot, or lend it a vehicle."
            if past
            else "Ask each whether it could spare one more; else leave it, the programme fits.",
            float(sum(calls[d] for d in depots)),
            "vehicles of these depots called in while they are at the limit",
        )
