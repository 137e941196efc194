"""Hours learned from the record: performance, standard hours, hours earned, attendance.

All are sums by stage, shop and trade. No figure is made for a person.
"""

from collections.abc import Iterator
from dataclasses import replace
from math import sqrt

import numpy as np

from pacewright.life.beta_law import Interval
from pacewright.life.cells import Cell, Ratio
from pacewright.life.effects import Effects
from pacewright.life.evidence import Evidence
from pacewright.life.stage_work import Crew as CrewKey
from pacewright.life.weighing import LEAST_SAMPLE, Believed, Seen, Weighing, believed_mean
from pacewright.life.working_time import monday_of, week_of
from pacewright.plans.learned import Proposal
from pacewright.shops.tables import Crew
from pacewright.works import Works

LEAST_WEEKS = 4
"""Fewer whole weeks say nothing of what a crew earns in one."""
FULLY_AT_WORK = 0.85
"""A crew that earns less of what it could in the hours it is there is short of work, and does not
show what it can do; our own choice, no source."""
LEAST_FACTOR = 0.05
"""A standard time within this of what the work took is left alone."""


def hour_proposals(
    works: Works, evidence: Evidence, weighing: Weighing, effects: Effects
) -> Iterator[Proposal]:
    """Lines for every crew and stage of which the record tells hours."""
    for crew in works.people:
        yield from _performance(crew, evidence, weighing)
        yield from _earned(works, crew, evidence, weighing)
        yield from _attendance(crew, evidence, weighing)
    yield from _standards(works, evidence, weighing, effects)


def _cell(crew: Crew, column: str) -> Cell:
    return Cell("people", f"{crew.shop_id} {crew.trade_id}", column)


def _of_crew(evidence: Evidence, crew: CrewKey) -> Ratio:
    total = Ratio()
    for place, ratio in evidence.work.hours.items():
        if evidence.work.crew_of(place) == crew:
            total.join(ratio)
    return total


def _performance(crew: Crew, evidence: Evidence, weighing: Weighing) -> Iterator[Proposal]:
    ratio = _of_crew(evidence, (crew.shop_id, crew.trade_id))
    if ratio.cases < LEAST_SAMPLE or ratio.taken <= 0 or ratio.due <= 0:
        return
    cell = _cell(crew, "performance")
    shown = 1 / ratio.mean
    error = shown**2 * ratio.sd
    weight = weighing.weight(cell, crew.performance, None)
    believed = believed_mean(crew.performance, weight, shown, error, ratio.cases)
    seen = Seen(shown, ratio.cases, "jobs at stages", ratio.first, ratio.last)
    yield weighing.proposal(cell, crew.performance, None, seen, believed)


def _earned(works: Works, crew: Crew, evidence: Evidence, weighing: Weighing) -> Iterator[Proposal]:
    weeks = evidence.full_weeks()
    earned = evidence.work.earned.get((crew.shop_id, crew.trade_id))
    if not earned:
        return
    begun = [week for week in weeks if week >= min(earned)]
    if len(begun) < LEAST_WEEKS:
        return
    full = works.week_days
    hours = [earned.get(w, 0.0) * full / evidence.working.days_of_week(w) for w in begun]
    error = float(np.std(hours, ddof=1)) / sqrt(len(hours))
    mean = float(np.mean(hours))
    believed = believed_mean(None, 0, mean, error, len(hours))
    seen = Seen(mean, len(hours), "whole weeks", monday_of(begun[0]), monday_of(begun[-1]))
    cell, old = _cell(crew, "shown_hours_a_week"), crew.shown_hours_a_week
    line = weighing.proposal(cell, old, None, seen, believed)
    rate = _earned_an_hour(crew, evidence, begun, mean)
    if rate is not None:
        words = f"{rate:.2f} standard hours earned an hour attended"
        short_of_work = rate < FULLY_AT_WORK * crew.performance and (old is None or mean < old)
        line = replace(line, effect=words, real=line.real and not short_of_work)
    yield line


def _earned_an_hour(
    crew: Crew, evidence: Evidence, weeks: list[int], earned: float
) -> float | None:
    """Standard hours earned for each hour attended; None: no attendance is on record."""
    whole = set(weeks)
    attended = sum(
        hours
        for (shop, trade, day), hours in evidence.work.attended.items()
        if (shop, trade) == (crew.shop_id, crew.trade_id) and week_of(day) in whole
    )
    return earned * len(weeks) / attended if attended else None


def _attendance(crew: Crew, evidence: Evidence, weighing: Weighing) -> Iterator[Proposal]:
    paid = crew.people * crew.hours_a_day
    ratio = Ratio()
    for (shop, trade, day), hours in evidence.work.attended.items():
        if (shop, trade) == (crew.shop_id, crew.trade_id) and paid > 0:
            ratio.add(hours, paid, day)
    if ratio.cases < 2 * LEAST_SAMPLE:
        return
    cell = _cell(crew, "attendance_share")
    # Overtime can bring more than the paid hours; the column knows no more than all of them.
    shown = min(ratio.mean, 1.0)
    weight = weighing.weight(cell, crew.attendance_share, None)
    believed = believed_mean(crew.attendance_share, weight, shown, ratio.sd, ratio.cases)
    seen = Seen(shown, ratio.cases, "days attended", ratio.first, ratio.last)
    yield weighing.proposal(cell, crew.attendance_share, None, seen, believed)


def _standards(
    works: Works, evidence: Evidence, weighing: Weighing, effects: Effects
) -> Iterator[Proposal]:
    """Standard times of a stage whose work takes longer than the crew's other work.

    The crew's pace over all its stages is its performance; what a stage takes beyond that is in
    its standard times. Job cards tell a stage and trade, not an operation, so all operations of
    both move by one factor.
    """
    for place, ratio in evidence.work.hours.items():
        whole = _of_crew(evidence, evidence.work.crew_of(place))
        if ratio.cases < LEAST_SAMPLE or whole.cases == ratio.cases:
            continue
        if ratio.due <= 0 or whole.taken <= 0:
            continue
        factor, error = ratio.mean / whole.mean, ratio.sd / whole.mean
        stage_id, trade_id = place
        for one in works.operations:
            if one.stage_id != stage_id or one.trade_id != trade_id or not one.standard_hours:
                continue
            cell = Cell("operations", one.operation_id, "standard_hours")
            old = one.standard_hours
            weight = weighing.weight(cell, old, None)
            believed = believed_mean(1.0, weight, factor, error, ratio.cases)
            if abs(believed.figure - 1) < LEAST_FACTOR:
                continue
            seen = Seen(
                old * factor,
                ratio.cases,
                f"jobs of {trade_id} at {stage_id}",
                ratio.first,
                ratio.last,
            )
            scaled = _scaled(believed, old)
            effect = effects.of_standard(one, scaled.figure - old)
            yield weighing.proposal(cell, old, None, seen, scaled, effect)


def _scaled(believed: Believed, by: float) -> Believed:
    def times(range_: Interval) -> Interval:
        return Interval(range_.low * by, range_.high * by)

    return Believed(believed.figure * by, times(believed.shown), times(believed.real))
