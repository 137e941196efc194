"""Decisions that the float list asks for: which unit kinds vehicles would wait for."""

from collections.abc import Iterator, Sequence

from pacewright.plans.floatlist import FloatLine
from pacewright.plans.plan import Plan
from pacewright.reports.decision import YEAR_WEEKS, Decision, Urgency
from pacewright.reports.written import number, share, some


def float_decisions(plan: Plan) -> Iterator[Decision]:
    """Unit kinds short of float, each with what to buy or to shorten."""
    pace = plan.line.pace_a_week
    for line in plan.floats.lines:
        if line.short > 0 or line.buy > 0:
            yield _short(line, pace, plan.line.takt_days)


def _short(line: FloatLine, pace_a_week: float, takt_days: float) -> Decision:
    waiting = (1 - line.ready_held) * pace_a_week * YEAR_WEEKS
    told = "fewer than 1 vehicle" if waiting < 1 else f"about {some(round(waiting), 'vehicle')}"
    return Decision(
        Urgency.HELD_UP,
        "unit kind",
        f"Short of float: {line.held} held, {line.needed} needed",
        f"{line.name} ({line.unit_kind_id})",
        f"Turn {number(line.turn_days)} against offset {number(line.offset_days)} working days;"
        f" ready on the day {share(line.ready_held, 1)}, so {told} a year would wait.",
        _remedy(line),
        mean_late_days(line, takt_days) * pace_a_week * YEAR_WEEKS,
        "mean days a vehicle waits for the unit (area under its lateness curve)"
        " times vehicles a year",
        place_id=line.unit_kind_id,
    )


def mean_late_days(line: FloatLine, takt_days: float) -> float:
    """Mean wait of a vehicle for the unit [working days]: the area under the lateness curve.

    Without a curve every late vehicle is taken to wait one takt.

    Equations
    ---------
    E[late] = integral over d of P(late > d) (mean of a variable of 0 or more), by trapezoids.
    """
    if len(line.late_days) < 2:
        return (1 - line.ready_held) * takt_days
    return _area(line.late_days, line.late_chance)


def _area(at: Sequence[float], height: Sequence[float]) -> float:
    return sum(
        (right - left) * (high + low) / 2
        for left, right, high, low in zip(at, at[1:], height, height[1:], strict=False)
    )


def _remedy(line: FloatLine) -> str:
    steps = []
    if line.quarantine:
        steps.append(f"Clear the {some(line.quarantine, 'unit')} in quarantine.")
    if line.buy:
        price = f" for {number(line.buy * line.unit_cost, 0)}" if line.unit_cost else ""
        steps.append(f"Buy {line.buy}{price}: {share(line.ready_bought, 1)} ready then.")
    else:
        steps.append("Buy none: with what other kinds hold, the target is reached more cheaply.")
    if line.takt_worth_units > 0:
        steps.append(
            f"Or strip it one takt earlier or fit it one later: worth"
            f" {number(line.takt_worth_units)} units of float."
        )
    over = line.turn_days - line.offset_days
    if over > 0:
        steps.append(f"Or cut its turn time by {number(over)} working days.")
    return " ".join(steps)
