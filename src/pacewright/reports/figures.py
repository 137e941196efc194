"""The plan in a few large figures, each with where it comes from, and in three sentences."""

from dataclasses import dataclass

from pacewright.plans.line import Gear, Line
from pacewright.plans.plan import Plan
from pacewright.reports.written import day, number, rate, share, some


@dataclass(frozen=True, slots=True)
class Figure:
    """One large figure.

    Parameters
    ----------
    key : stable name.
    label : what it is.
    value : as shown.
    unit : its unit.
    source : where it comes from, in one line.
    how : what it means and how it is computed.
    """

    key: str
    label: str
    value: str
    unit: str
    source: str
    how: str


def key_figures(plan: Plan) -> tuple[Figure, ...]:
    """The eight figures a works manager reads first."""
    return (
        _pace(plan),
        _least_pace(plan),
        _called(plan),
        _life_given(plan),
        _inside(plan.line),
        _turn(plan.line),
        _readiness(plan),
        _money(plan),
    )


def _pace(plan: Plan) -> Figure:
    line = plan.line
    return Figure(
        "pace",
        "Pace",
        rate(line.pace_a_week),
        "vehicles a week",
        f"One every {number(line.takt_days, 2)} working days ({number(line.takt_hours)} working"
        f" hours). Slowest place: {line.slowest}, able {rate(line.able_a_week)} a week.",
        "Vehicles called in, and released, in a full working week. Everything else in the works is"
        " measured against it. It is the able pace of works.toml or, where none is given, the"
        " least that fits.",
    )


def _least_pace(plan: Plan) -> Figure:
    least = plan.programme.least_pace
    return Figure(
        "least_pace",
        "Least pace that fits",
        number(least.vehicles_a_week, 2),
        "vehicles a week",
        f"{some(least.vehicles, 'vehicle')} must all come in the {least.working_days:,} working"
        f" days from {day(least.first)} to {day(least.last)}.",
        "The exact least pace that keeps every vehicle inside its limit: over all intervals,"
        " vehicles whose whole window lies inside, divided by its working days. The interval named"
        " is the one that forces it. Depot limits may ask for more.",
    )


def _called(plan: Plan) -> Figure:
    calls, weeks = plan.programme.calls, plan.programme.weeks
    old, new = past_limit(plan)
    left = len(plan.programme.unplaced)
    return Figure(
        "called",
        "Called in",
        f"{len(calls):,}",
        f"vehicles in {len(weeks):,} weeks",
        f"{new:,} after the limit, {left:,} without a place; {old:,} were past the limit at the"
        " start.",
        "Call-ins of the programme over its horizon. No optimiser moves a vehicle past its limit:"
        " what cannot be fitted is named under decisions.",
    )


def _life_given(plan: Plan) -> Figure:
    calls = plan.programme.calls
    given = [call.life_given_days for call in calls]
    mean = sum(given) / len(given) if given else None
    card = plan.programme.card
    return Figure(
        "life_given",
        "Life given away",
        number(mean),
        "days a vehicle",
        f"{sum(1 for g in given if g > 0):,} come before they are due; the programme is"
        f" {card.status}, gap {share(card.gap, 1)}.",
        "Days of permitted life lost by coming before the due day, mean of all call-ins. The"
        " programme makes it as small as pace and depot limits allow.",
    )


def _inside(line: Line) -> Figure:
    by_type = ", ".join(f"{number(t.inside_mean)} {t.type_id}" for t in line.turns)
    return Figure(
        "inside",
        "Inside the works",
        number(line.inside_mean),
        "vehicles on average",
        f"Pace times expected turn time: {by_type}.",
        "Little's law: vehicles inside = vehicles a working day x working days inside, summed"
        " over the types.",
    )


def mean_turn(line: Line) -> tuple[float, float] | None:
    """Expected and promised turn time, mean of the types by their share; None without types."""
    weight = sum(t.share for t in line.turns)
    if not weight:
        return None
    expected = sum(t.expected_days * t.share for t in line.turns) / weight
    return expected, sum(t.promised_days * t.share for t in line.turns) / weight


def _turn(line: Line) -> Figure:
    mean = mean_turn(line)
    by_type = "; ".join(
        f"{t.type_id} {number(t.expected_days)} of {number(t.promised_days)}" for t in line.turns
    )
    return Figure(
        "turn",
        "Turn time expected",
        number(mean[0] if mean else None),
        f"working days, {number(mean[1] if mean else None)} promised",
        f"Expected of promised by type: {by_type}.",
        "From gate-in to release: the longest path of the route plus the mean waits for positions"
        " on it, mean of the types by their share. Hold-ups for want of units are not in it.",
    )


def _readiness(plan: Plan) -> Figure:
    floats = plan.floats
    return Figure(
        "readiness",
        "Vehicles with all units ready",
        share(floats.ready_held),
        f"with floats held; target {share(floats.target)}",
        f"{share(floats.ready_needed, 1)} with the floats needed.",
        "Chance that every unit of a vehicle is there on the day it is to be fitted: the product"
        " over its unit kinds, under even call-in.",
    )


def _money(plan: Plan) -> Figure:
    floats = plan.floats
    kinds = [line for line in floats.lines if line.buy > 0]
    short = [line for line in floats.lines if line.short > 0]
    return Figure(
        "buy",
        "Units to buy",
        f"{sum(line.buy for line in kinds):,}",
        f"of {some(len(kinds), 'unit kind')}, for {number(floats.cost_buy, 0)}",
        f"{share(floats.ready_bought, 1)} ready then. Set afresh, {some(len(short), 'kind')} of"
        f" {len(floats.lines)} would be {sum(line.short for line in short):,} units short.",
        "The least purchase, at the prices of unit_kinds, that brings vehicle readiness to its"
        " target with all that is held kept.",
    )


def verdict(plan: Plan) -> tuple[str, ...]:
    """The plan in three sentences: call-in, line, floats."""
    return (_call_verdict(plan), _line_verdict(plan.line), _float_verdict(plan))


def _call_verdict(plan: Plan) -> str:
    programme = plan.programme
    old, new = past_limit(plan)
    said = [f"{old:,} were past it at the start"] if old else []
    said += [f"{new:,} come after it"] if new else []
    said += [f"{len(programme.unplaced):,} find no place"] if programme.unplaced else []
    all_but = "all inside the limit" + (f" but these: {', '.join(said)}" if said else "")
    return (
        f"Call-in: {some(len(programme.calls), 'vehicle')} at {rate(plan.line.pace_a_week)} a"
        f" week, {all_but}. The least pace that could do it is"
        f" {number(programme.least_pace.vehicles_a_week, 2)}."
    )


def past_limit(plan: Plan) -> tuple[int, int]:
    """Call-ins after the limit: of vehicles past it at the plan's start, and of others."""
    late = [call.limit < plan.start for call in plan.programme.calls if call.spare_days < 0]
    return sum(late), len(late) - sum(late)


def _line_verdict(line: Line) -> str:
    gears = [one.gear for one in line.stages]
    gears += [one.gear for one in line.trades] + [one.gear for one in line.plant]
    slow, tight = gears.count(Gear.HOLDS_UP), gears.count(Gear.TIGHT)
    if not slow and not tight:
        return "Works: every stage, trade and plant can keep the pace."
    said = f"{some(slow, 'place')} cannot keep the pace" if slow else "every place keeps it"
    if slow:
        said += f" (slowest: {line.slowest}, {rate(line.able_a_week)} vehicles a week)"
    return f"Works: {said}; {some(tight, 'more is tight', 'more are tight')}."


def _float_verdict(plan: Plan) -> str:
    floats = plan.floats
    short = [line for line in floats.lines if line.short > 0]
    if not short:
        return f"Floats: {share(floats.ready_held)} of vehicles find all their units ready."
    return (
        f"Floats: {some(len(short), 'unit kind is short', 'unit kinds are short')}; as held,"
        f" {share(floats.ready_held)} of vehicles find all their units ready,"
        f" the target is {share(floats.target)}."
    )
