"""The judge refuses every programme that was altered, and says what is wrong with it."""

from collections.abc import Callable
from dataclasses import fields, replace
from datetime import timedelta
from functools import cache

import pytest

from pacewright.callin.checks import check_programme
from pacewright.callin.solve import programme
from pacewright.fleet.tables import Depot, Vehicle, VehicleType
from pacewright.fleet.windows import DueWindow, Standing
from pacewright.plans.programme import Call, Programme, Relief, Unplaced, Zone
from pacewright.works import Works
from unit.callin.cases import START, Ask, windows_of, works_of

DAY = timedelta(days=1)
WEEK = 7 * DAY


@cache
def good() -> tuple[Works, tuple[DueWindow, ...], Programme]:
    """A programme in which every limit binds somewhere, some are late and one is unknown."""
    depots = (Depot("north", "North depot", 2, 0.5), Depot("south", "South depot"))
    types = (
        VehicleType("solo", "Two-axle bus", 10, 48),
        VehicleType("long", "Three-axle bus", 12, 36, week_limit=1),
    )
    inside = [Vehicle("in0", "solo", "north", "inside", START, gate_in=START - 5 * DAY)]
    works = works_of(
        12,
        3,
        depots,
        types,
        inside=inside,
        closed=[(28, 34)],
        inside_limit=7,
        firm_weeks=4,
        planned_weeks=8,
    )
    asks = [
        Ask(
            opens=3 * n - 20,
            due=3 * n,
            latest=3 * n + 4,
            depot=("north", "south")[n % 3 > 0],
            type_id=("solo", "long")[n % 4 == 1],
            sd_days=4.0 * (n % 2),
        )
        for n in range(26)
    ]
    asks += [Ask(-60, -20, -10, "south"), Ask(-80, 2, 3, "south", vehicle="twice")]
    asks += [Ask(40, 60, 75, "south", vehicle="twice", visit=2)]
    blank = DueWindow("lost", "solo", "south", 1, Standing.UNKNOWN, None, None, None, None, None)
    windows = (*windows_of(asks), blank)
    return works, windows, programme(works, windows)


def test_the_good_programme_is_accepted_and_worth_altering() -> None:
    """It breaks no rule, and it has late, unknown and twice-called vehicles and reliefs."""
    works, windows, made = good()
    assert check_programme(works, windows, made) == ()
    assert made.late_weeks > 0
    assert made.reliefs
    assert len(made.unplaced) == 3
    assert made.unplaced[-1].vehicle_id == "lost"
    assert sum(call.vehicle_id == "twice" for call in made.calls) == 2


def altered(made: Programme, find: Callable[[Call], bool], **change: object) -> Programme:
    """The programme with the first call that ``find`` finds changed."""
    place = next(n for n, call in enumerate(made.calls) if find(call))
    call = replace(made.calls[place], **change)  # type: ignore[arg-type]
    return replace(made, calls=(*made.calls[:place], call, *made.calls[place + 1 :]))


def moved(made: Programme, find: Callable[[Call], bool], days: int) -> Programme:
    """The programme with a call moved, and all that is written of that call put right."""
    call = next(call for call in made.calls if find(call))
    day, week = call.day + days * DAY, call.week + days // 7
    others = [one for one in made.calls if one.week == week and one is not call]
    zones = {one.week: one.zone for one in made.calls}
    place = made.calls.index(call)
    now = replace(
        call,
        day=day,
        week=week,
        zone=zones[week],
        order=len(others) + 1,
        life_given_days=max(0, (call.due - day).days),
        spare_days=(call.limit - day).days,
    )
    return recounted(
        replace(made, calls=(*made.calls[:place], now, *made.calls[place + 1 :])), call, now
    )


def recounted(made: Programme, before: Call, now: Call) -> Programme:
    """Put the week counts right after a move, so that only the rule itself is broken."""
    weeks = list(made.weeks)
    for call, step in ((before, -1), (now, 1)):
        week = weeks[call.week]
        types = dict(week.called_by_type)
        types[call.type_id] += step
        weeks[call.week] = replace(week, called=week.called + step, called_by_type=types)
    return replace(made, weeks=tuple(weeks))


def free(call: Call) -> bool:
    """A call of south, one visit, well inside its window."""
    return (
        call.depot_id == "south"
        and call.vehicle_id != "twice"
        and call.type_id == "solo"
        and call.day > call.opens + WEEK
        and 2 < call.week < 9
    )


def first(call: Call) -> bool:
    """Any call."""
    return True


def early(call: Call) -> bool:
    """A call less than three weeks after its window opens, and three or more after the start."""
    return call.day < call.opens + 3 * WEEK and call.week > 2 and call.visit == 1


def of_north(call: Call) -> bool:
    """A call of the limited depot."""
    return call.depot_id == "north"


MUTATIONS: dict[str, tuple[Callable[[Programme], Programme], str]] = {
    "before its window": (lambda m: moved(m, early, -21), "its window opens"),
    "after its window": (lambda m: moved(m, free, 28), "Lateness is"),
    "later in its last week": (
        lambda m: moved(m, lambda c: c.day <= c.latest < c.day + (4 - c.day.weekday()) * DAY, 4),
        "later in the same week",
    ),
    "on a closed day": (lambda m: altered(m, first, day=START + 5 * DAY), "not a working day"),
    "in a shut week": (
        lambda m: altered(m, free, day=START + 29 * DAY, week=4),
        "not a working day",
    ),
    "outside the plan": (lambda m: altered(m, first, week=40), "outside the plan"),
    "dropped": (lambda m: replace(m, calls=m.calls[1:]), "neither called nor named"),
    "doubled": (lambda m: replace(m, calls=(*m.calls, m.calls[0])), "called 2 times"),
    "made up": (lambda m: altered(m, first, vehicle_id="nobody"), "without a window"),
    "unknown left out": (lambda m: replace(m, unplaced=()), "neither called nor named"),
    "unplaced though called": (
        lambda m: replace(
            m, unplaced=(*m.unplaced, Unplaced("v1", "long", "south", None, None, "a", "b"))
        ),
        "nothing of it is left",
    ),
    "no reason": (
        lambda m: replace(m, unplaced=(replace(m.unplaced[0], reason=""),)),
        "without a reason",
    ),
    "wrong type": (lambda m: altered(m, first, type_id="long"), "type"),
    "wrong depot": (lambda m: altered(m, of_north, depot_id="south"), "depot_id is"),
    "wrong opens": (lambda m: altered(m, first, opens=START), "opens is"),
    "wrong due": (lambda m: altered(m, first, due=START + 300 * DAY), "due is"),
    "wrong limit": (lambda m: altered(m, first, limit=START + 300 * DAY), "limit is"),
    "wrong latest": (lambda m: altered(m, first, latest=START + 300 * DAY), "latest is"),
    "wrong due by": (lambda m: altered(m, first, due_by="distance"), "due by"),
    "wrong life given": (lambda m: altered(m, first, life_given_days=77), "days of life away"),
    "wrong spare days": (lambda m: altered(m, first, spare_days=77), "days left to its limit"),
    "wrong chance": (lambda m: altered(m, first, chance_past_limit=0.77), "chance"),
    "wrong zone": (lambda m: altered(m, first, zone=Zone.OUTLINE), "zone"),
    "late not noted": (
        lambda m: altered(m, lambda c: c.spare_days < 0, note=""),
        "must stand",
    ),
    "noted late but is not": (
        lambda m: altered(m, free, note="past its limit: must stand until called in"),
        "noted as past",
    ),
    "wrong order": (lambda m: altered(m, first, order=9), "order of arrival"),
    "second visit too soon": (
        lambda m: altered(
            m,
            lambda c: c.visit == 2,
            day=next(c.day for c in m.calls if c.vehicle_id == "twice") + DAY,
        ),
        "before it is back",
    ),
    "wrong objective": (
        lambda m: replace(m, card=replace(m.card, objective=m.card.objective + 7)),
        "Life given away",
    ),
    "bound too high": (
        lambda m: replace(m, card=replace(m.card, bound=m.card.objective + 7)),
        "bound",
    ),
    "wrong gap": (lambda m: replace(m, card=replace(m.card, gap=0.5)), "gap"),
    "wrong status": (lambda m: replace(m, card=replace(m.card, status="feasible")), "Status"),
    "wrong lateness": (lambda m: replace(m, late_weeks=m.late_weeks + 1), "Lateness"),
    "lateness bound too high": (
        lambda m: replace(m, late_weeks_bound=m.late_weeks + 1),
        "bound",
    ),
    "wrong able": (
        lambda m: replace(m, weeks=(replace(m.weeks[0], able=9), *m.weeks[1:])),
        "the pace allows",
    ),
    "wrong called": (
        lambda m: replace(m, weeks=(replace(m.weeks[0], called=9), *m.weeks[1:])),
        "called, not 9",
    ),
    "wrong types": (
        lambda m: replace(m, weeks=(replace(m.weeks[0], called_by_type={}), *m.weeks[1:])),
        "by type",
    ),
    "wrong week zone": (
        lambda m: replace(m, weeks=(replace(m.weeks[0], zone=Zone.OUTLINE), *m.weeks[1:])),
        "zone",
    ),
    "wrong inside": (
        lambda m: replace(m, weeks=(replace(m.weeks[0], inside_end=99), *m.weeks[1:])),
        "inside at its end",
    ),
    "wrong working days": (
        lambda m: replace(m, weeks=(replace(m.weeks[0], working_days=4), *m.weeks[1:])),
        "is written as",
    ),
    "week missing": (lambda m: replace(m, weeks=m.weeks[1:]), "weeks, not"),
    "wrong away": (
        lambda m: replace(m, depot_weeks=(replace(m.depot_weeks[0], away=9), *m.depot_weeks[1:])),
        "is not what is written",
    ),
    "depot week missing": (lambda m: replace(m, depot_weeks=m.depot_weeks[1:]), "line for every"),
    "wrong pace": (lambda m: replace(m, pace_a_day=0.7), "The pace is"),
    "least pace too low": (
        lambda m: replace(m, least_pace=replace(m.least_pace, vehicles_a_day=0.1)),
        "least pace",
    ),
    "least pace interval wrong": (
        lambda m: replace(m, least_pace=replace(m.least_pace, vehicles=1)),
        "least pace",
    ),
    "least pace week wrong": (
        lambda m: replace(m, least_pace=replace(m.least_pace, vehicles_a_week=1.0)),
        "least pace",
    ),
    "least pace days not worked": (
        lambda m: replace(m, least_pace=replace(m.least_pace, first=START + 5 * DAY)),
        "does not run",
    ),
    "relief of nothing": (
        lambda m: replace(m, reliefs=(replace(m.reliefs[0], amount=0),)),
        "eases nothing",
    ),
    "relief unknown": (
        lambda m: replace(m, reliefs=(replace(m.reliefs[0], kind="wish"),)),
        "unknown",
    ),
}


@pytest.mark.parametrize("name", MUTATIONS)
def test_an_altered_programme_is_refused(name: str) -> None:
    """Each alteration is refused with a sentence that names what is wrong."""
    works, windows, made = good()
    alter, words = MUTATIONS[name]
    faults = check_programme(works, windows, alter(made))
    assert any(words in fault for fault in faults), faults


def test_over_the_pace_is_refused() -> None:
    """A programme made at a pace of 3 is refused at a pace of 2."""
    works, windows, made = good()
    plan = works.settings.plan
    slower = replace(plan, pace=(replace(plan.pace[0], vehicles_a_week=2.0),))
    works = replace(works, settings=replace(works.settings, plan=slower))
    assert any("the pace allows" in fault for fault in check_programme(works, windows, made))


@pytest.mark.parametrize(
    ("what", "words"),
    [
        ("depot", "its limit is 1"),
        ("type", "its limit is 1 a week"),
        ("inside", "the limit is 3"),
    ],
)
def test_over_a_limit_is_refused(what: str, words: str) -> None:
    """A programme is refused when depot, type or room inside are limited more than it knew."""
    works, windows, made = good()
    if what == "depot":
        depots = (replace(works.depots[0], away_limit=1), works.depots[1])
        works = replace(works, depots=depots)
    elif what == "type":
        types = (replace(works.vehicle_types[0], week_limit=1), works.vehicle_types[1])
        works = replace(works, vehicle_types=types)
    else:
        plan = replace(works.settings.plan, inside_limit=3)
        works = replace(works, settings=replace(works.settings, plan=plan))
    assert any(words in fault for fault in check_programme(works, windows, made))


def test_relief_without_lateness_is_refused() -> None:
    """A relief beside a programme that is late nowhere is refused."""
    works = works_of(4, 5)
    windows = windows_of([Ask(0, 6, 9)])
    made = programme(works, windows)
    relief = Relief("pace", "", START, START + WEEK, 1, "call-ins", 1, "Something.")
    faults = check_programme(works, windows, replace(made, reliefs=(relief,)))
    assert any("nobody is late" in fault for fault in faults)


def test_every_field_of_a_call_is_judged() -> None:
    """There is a mutation for each field of a call, so none goes unchecked."""
    touched = {"vehicle_id", "visit", "week", "day", "order", "zone", "note", "type_id", "depot_id"}
    touched |= {"opens", "due", "limit", "latest", "due_by", "life_given_days", "spare_days"}
    touched |= {"chance_past_limit", "called_for"}
    assert {one.name for one in fields(Call)} == touched
