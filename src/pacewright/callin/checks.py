"""The judge of a programme: works everything out again from works and windows alone."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import erf, isclose, sqrt

from pacewright.callin.check_counts import count_faults
from pacewright.callin.check_facts import Facts, away_days, zone
from pacewright.fleet.windows import DueWindow
from pacewright.plans.programme import Call, Programme, Zone
from pacewright.works import Works


def check_programme(
    works: Works, windows: Sequence[DueWindow], programme: Programme
) -> tuple[str, ...]:
    """Every broken rule as a sentence; empty when the programme is good.

    Parameters
    ----------
    works, windows : what the programme was made from.
    programme : the programme to be judged; nothing in it is trusted.
    """
    facts = Facts(works, windows, programme)
    return (
        *_placed_once(facts),
        *_booked(facts),
        *_calls(facts),
        *_visits_in_order(facts),
        *_orders(facts),
        *_aims(facts),
        *count_faults(facts),
    )


def _placed_once(facts: Facts) -> Iterator[str]:
    """Each window in the horizon is called once, or its vehicle is named as unplaced."""
    places = Counter((call.vehicle_id, call.visit) for call in facts.programme.calls)
    for (vehicle, visit), times in places.items():
        if times > 1:
            yield f"Vehicle {vehicle}, visit {visit}: called {times} times; once is the rule."
        if (vehicle, visit) not in facts.belonging:
            yield f"Vehicle {vehicle}, visit {visit}: called without a window in the horizon."
    left = Counter(key[0] for key in [*facts.belonging, *facts.untold] if key not in places)
    named = Counter(one.vehicle_id for one in facts.programme.unplaced)
    for vehicle in left - named:
        yield f"Vehicle {vehicle}: neither called nor named as unplaced."
    for vehicle in named - left:
        yield f"Vehicle {vehicle}: named as unplaced, but nothing of it is left to be placed."
    for one in facts.programme.unplaced:
        if not (one.reason and one.remedy):
            yield f"Vehicle {one.vehicle_id} is unplaced without a reason or a remedy."


def _booked(facts: Facts) -> Iterator[str]:
    """Each vehicle called in comes on the day booked, and no other is written as called in."""
    called = {(call.vehicle_id, call.visit): call for call in facts.programme.calls}
    for (vehicle, visit), call in called.items():
        told = facts.booked[vehicle][0] if visit == 1 and vehicle in facts.booked else None
        if call.called_for != told:
            yield f"Vehicle {vehicle}: called in for {told}, not for {call.called_for}."
    beside = {one.vehicle_id: (one.told, one.day) for one in facts.programme.booked}
    if beside != {vehicle: (facts.booked[vehicle][0], d) for vehicle, d in facts.beside_the_weeks}:
        yield "Those called in without a call of the plan are not those that are written."
    for vehicle, (told, day) in facts.booked.items():
        booked = called.get((vehicle, 1))
        if (vehicle, 1) in facts.belonging and (booked is None or booked.day != day):
            on = booked.day if booked else "no day"
            yield f"Vehicle {vehicle} was called in for {told}: it comes on {day}, not on {on}."


def _calls(facts: Facts) -> Iterator[str]:
    for call in facts.programme.calls:
        window = facts.belonging.get((call.vehicle_id, call.visit))
        if window is None:
            continue
        who = f"Vehicle {call.vehicle_id}, visit {call.visit}, called on {call.day}"
        if not 0 <= call.week < len(facts.weeks):
            yield f"{who}: week {call.week} lies outside the plan."
        elif call.day not in facts.weeks[call.week].working_days:
            yield f"{who}: not a working day of week {facts.weeks[call.week].label}."
        yield from (f"{who}: {fault}" for fault in _window_faults(facts, call, window))
        yield from (f"{who}: {fault}" for fault in _figure_faults(facts, call, window))


def _window_faults(facts: Facts, call: Call, window: DueWindow) -> Iterator[str]:
    assert window.opens and window.latest and window.limit
    booked = facts.booked_day(call.vehicle_id, call.visit) is not None
    if booked and not call.note:
        yield "it is called in, and no note says so."
    if call.day < window.opens and not booked:
        yield f"its window opens on {window.opens}."
    if call.day > window.latest and facts.permitted(window) and not booked:
        if call.week <= facts.latest_week(window):
            yield f"its latest day is {window.latest}, and it is called later in the same week."
        elif not call.note:
            yield f"its latest day is {window.latest}, and no note says so."
    if call.day > window.limit and "stand" not in call.note:
        yield f"its limit is {window.limit}, and it is not noted that it must stand."
    if call.day <= window.limit and "stand" in call.note:
        yield f"noted as past its limit, which is {window.limit}."


def _figure_faults(facts: Facts, call: Call, window: DueWindow) -> Iterator[str]:
    for name in ("type_id", "depot_id", "opens", "due", "limit", "latest"):
        stated, true = getattr(call, name), getattr(window, name)
        if stated != true:
            yield f"{name} is {true}, not {stated}."
    if call.due_by != (window.due_by or ""):
        yield f"due by {window.due_by}, not {call.due_by}."
    assert window.due and window.limit
    given, spare = max(0, (window.due - call.day).days), (window.limit - call.day).days
    if call.life_given_days != given:
        yield f"gives {given} days of life away, not {call.life_given_days}."
    if call.spare_days != spare:
        yield f"has {spare} days left to its limit, not {call.spare_days}."
    chance = float(spare < 0)
    if window.limit_sd_days > 0:
        chance = (1 + erf(-spare / window.limit_sd_days / sqrt(2))) / 2
    if not isclose(call.chance_past_limit, chance, abs_tol=1e-9):
        yield f"its chance to be past its limit is {chance:.4f}, not {call.chance_past_limit:.4f}."
    booked = facts.booked_day(call.vehicle_id, call.visit) is not None
    if call.zone is not (Zone.FIRM if booked else zone(facts.works, call.week)):
        yield f"week {call.week} is not in the {call.zone} zone."


def _visits_in_order(facts: Facts) -> Iterator[str]:
    visits: dict[str, list[Call]] = defaultdict(list)
    for call in facts.programme.calls:
        visits[call.vehicle_id].append(call)
    for vehicle, calls in visits.items():
        calls.sort(key=lambda call: call.visit)
        for before, after in pairwise(calls):
            away = away_days(facts.works, before.type_id, before.depot_id)
            if facts.works.calendar.count(before.day, after.day) - 1 < away:
                yield (
                    f"Vehicle {vehicle}: visit {after.visit} on {after.day} comes before it is "
                    f"back from visit {before.visit} on {before.day}, {away} working days away."
                )


def _orders(facts: Facts) -> Iterator[str]:
    by_week: dict[int, list[Call]] = defaultdict(list)
    for call in facts.programme.calls:
        by_week[call.week].append(call)
    for week, calls in sorted(by_week.items()):
        calls.sort(key=lambda call: call.order)
        if [call.order for call in calls] != list(range(1, len(calls) + 1)):
            yield f"Week {week}: the order of arrival does not run from 1 to {len(calls)}."
        if any(after.day < before.day for before, after in pairwise(calls)):
            yield f"Week {week}: the order of arrival does not follow the days."


def _aims(facts: Facts) -> Iterator[str]:
    """Lateness and life given away against what is stated, and what is said to be proven."""
    programme, card = facts.programme, facts.programme.card
    called = {(call.vehicle_id, call.visit): call.week for call in programme.calls}
    late = life = 0
    for key, window in facts.belonging.items():
        assert window.due is not None
        latest = facts.latest_week(window)
        week = called.get(key, len(facts.weeks))
        late += max(0, week - latest)
        life += 7 * max(0, min(facts.week_of(window.due), latest) - week)
    if late != programme.late_weeks:
        yield f"Lateness is {late} vehicle-weeks, not {programme.late_weeks}."
    if life != card.objective:
        yield f"Life given away is {life} vehicle-days, not {card.objective:g}."
    if card.bound > life or card.bound < 0 or programme.late_weeks_bound > late:
        yield "A bound stands above what was reached, or below nothing."
    if not isclose(card.gap, (life - card.bound) / max(1, life), abs_tol=1e-9):
        yield f"The gap is not {card.gap:g}."
    proven = life == card.bound and late == programme.late_weeks_bound
    if (card.status == "optimal") != proven or card.status not in {"optimal", "feasible"}:
        yield f"Status {card.status!r} does not agree with the bounds."
