"""Reliefs written out for the planner."""

from collections.abc import Sequence

import numpy as np

from pacewright.callin.problem import Problem
from pacewright.callin.relief import EasedLimit, Easing
from pacewright.plans.programme import Relief
from pacewright.works import Works

NAMES = {"pace": "the pace", "depot": "depots", "type": "types", "inside": "the room inside"}
UNITS = {
    "pace": "call-ins",
    "depot": "vehicles away",
    "type": "call-ins a week",
    "inside": "vehicles inside",
}


def reliefs_of(
    works: Works, problem: Problem, easings: Sequence[Easing], late: int
) -> tuple[Relief, ...]:
    """One relief for each limit eased.

    Parameters
    ----------
    late : vehicles that would come later than permitted without relief.
    """
    return tuple(
        _relief(works, problem, easing, limit, late)
        for easing in easings
        for limit in easing.limits
    )


def notes_of_easings(easings: Sequence[Easing]) -> tuple[str, ...]:
    """Which limits do not help alone, and which could not be worked out."""
    found = []
    for easing in easings:
        name = NAMES.get(easing.kind, "all limits together")
        if easing.too_long:
            found.append(f"What easing {name} would do is too long to work out at this size.")
        elif not easing.limits:
            found.append(f"Easing {name} alone, however far, does not let everybody come in time.")
    return tuple(found)


def _relief(works: Works, problem: Problem, easing: Easing, limit: EasedLimit, late: int) -> Relief:
    weeks = limit.weeks if len(limit.weeks) else np.arange(problem.horizon)
    first, last = problem.weeks[int(weeks.min())], problem.weeks[int(weeks.max())]
    where, words = _words(works, problem, limit)
    when = f"in {first.label}" if first == last else f"from {first.label} to {last.label}"
    return Relief(
        kind=limit.kind,
        where=where,
        first=first.monday,
        last=last.sunday,
        amount=limit.amount,
        unit=UNITS[limit.kind],
        vehicles=late,
        sentence=f"{_opening(easing)}: {words}, {when}. {_ending(easing, late)}",
    )


def _opening(easing: Easing) -> str:
    if easing.kind == "together":
        return f"Easing {len(easing.limits)} limits together, the least in all"
    parts = len(easing.limits)
    more = f", {parts} of them together" if parts > 1 else ""
    return f"Easing {NAMES[easing.kind]} alone{more}"


def _ending(easing: Easing, late: int) -> str:
    least = "" if easing.proven else " It is enough; a little less may do."
    return f"Then nobody need come later than permitted; {late} would now.{least}"


def _words(works: Works, problem: Problem, limit: EasedLimit) -> tuple[str, str]:
    """Where, and what to do."""
    if limit.kind == "pace":
        if len(limit.weeks) == 1:
            return "", f"call in {limit.amount} more than the pace allows"
        label = problem.weeks[limit.peak_week].label
        return "", (
            f"call in {limit.amount} more than the pace allows, spread over {len(limit.weeks)} "
            f"weeks, at most {limit.peak} in a week ({label})"
        )
    if limit.kind == "depot":
        depot = works.depots[limit.place]
        before = depot.away_limit or 0
        words = f"let depot {depot.depot_id} spare {before + limit.amount} vehicles"
        return depot.depot_id, f"{words} instead of {before}"
    if limit.kind == "type":
        type_ = works.vehicle_types[limit.place]
        before = type_.week_limit or 0
        words = f"take {before + limit.amount} of type {type_.type_id} a week"
        return type_.type_id, f"{words} instead of {before}"
    before = works.settings.plan.inside_limit or 0
    return "", f"find room inside for {before + limit.amount} vehicles instead of {before}"
