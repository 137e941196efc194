"""Reliefs: the least easing of pace, depot, type or inside limits at which everybody fits."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pacewright.callin.absence import Ints
from pacewright.callin.depot_columns import DepotColumns, depot_columns
from pacewright.callin.linear import (
    LinearModel,
    NoFitError,
    TooLongError,
    joined,
    least,
    least_whole,
    lifted,
)
from pacewright.callin.problem import NO_LIMIT, Problem
from pacewright.callin.queues import queues_of
from pacewright.callin.run_pace import with_time_for_overdue
from pacewright.plans.programme import Relief
from pacewright.works import Works

SECONDS = 5.0
NAMES = {"pace": "pace", "depot": "depots", "type": "types", "inside": "room inside"}
UNITS = {
    "pace": "call-ins",
    "depot": "vehicles away",
    "type": "call-ins a week",
    "inside": "vehicles inside",
}


@dataclass(frozen=True)
class _Easing:
    """One limit that may be eased: its kind and place, and its row in each week (or one week)."""

    kind: str
    place: int
    rows: Ints


@dataclass(frozen=True)
class _Eased:
    """The least easings found: amount of each, weeks in which each is used, proven least or not."""

    easings: Sequence[_Easing]
    amounts: Ints
    used: list[Ints]
    proven: bool

    @property
    def kinds(self) -> set[str]:
        return {e.kind for e, amount in zip(self.easings, self.amounts, strict=True) if amount}


def reliefs_of(works: Works, problem: Problem, week: Ints) -> tuple[Relief, ...]:
    """The least reliefs, one kind of limit alone and all kinds together.

    Vehicles past their limit at the start need only fit into the firm zone, so that they do not
    ask for a works that takes them all in the first week.

    Parameters
    ----------
    week : week of each demand as settled; nobody late or left out: no relief is needed.

    Returns
    -------
    A pace relief counts call-ins above the able numbers, summed over its weeks; the others are
    what one limit must rise by while it is used. Empty when nothing is late, or nothing helps.
    """
    demands = with_time_for_overdue(problem.demands, works.settings.plan.firm_weeks, problem.weeks)
    late = int((week > demands.latest).sum())
    if not late:
        return ()
    eased = replace(problem, demands=demands)
    columns = depot_columns(eased, queues_of(eased), may_be_late=False)
    easings = _easings(problem, columns)
    papers: list[Relief] = []
    alone: list[int] = []
    for kind, name in NAMES.items():
        found = _least_easing(columns, [one for one in easings if one.kind == kind])
        if found is not None:
            alone.append(int(found.amounts.sum()))
            papers += _papers(works, problem, found, f"By {name} alone", late)
    if len({one.kind for one in easings}) > 1:
        found = _least_easing(columns, easings)
        if found and len(found.kinds) > 1 and found.amounts.sum() < min(alone, default=np.inf):
            papers += _papers(works, problem, found, "By the least easing in all", late)
    return tuple(papers)


def _easings(problem: Problem, columns: DepotColumns) -> list[_Easing]:
    found = [
        _Easing("pace", week.index, columns.pace_rows[week.index : week.index + 1])
        for week in problem.weeks
        if week.working_days
    ]
    for kind, limits, rows in (
        ("depot", problem.depot_limits, columns.depot_rows),
        ("type", problem.type_limits, columns.type_rows),
    ):
        limited = np.flatnonzero(limits < NO_LIMIT).tolist()
        found += [_Easing(kind, place, rows[place]) for place in limited]
    if problem.inside_limit < NO_LIMIT:
        found.append(_Easing("inside", 0, columns.inside_rows))
    return found


def _least_easing(columns: DepotColumns, easings: Sequence[_Easing]) -> _Eased | None:
    """Least amounts, in whole numbers, at which all windows hold; None when none suffice."""
    if not easings:
        return None
    base, called = columns.model, columns.called.ravel()
    first, size = len(base.col_lower), len(easings)
    most = base.col_upper[columns.called[:, -1]].sum()
    rows = np.concatenate([one.rows for one in easings])
    added = LinearModel(
        col_lower=np.zeros(size),
        col_upper=np.full(size, most),
        row_lower=np.zeros(0),
        row_upper=np.zeros(0),
        rows=rows,
        cols=first + np.repeat(np.arange(size), [len(one.rows) for one in easings]),
        values=np.full(len(rows), -1.0),
    )
    model = joined(base, added)
    cost = np.concatenate([np.zeros(first), np.ones(size)])
    whole = np.concatenate([called, first + np.arange(size)])
    try:
        point = least(model, cost)
    except (NoFitError, TooLongError):
        return None
    for slack in (0, 1, 3):
        try:
            answer = least_whole(model.boxed(called, point.x, slack), cost, whole, SECONDS)
            break
        except NoFitError:
            continue
    else:
        return None
    amounts = np.round(answer.x[first:]).astype(np.int64)
    load = np.bincount(base.rows, base.values * answer.x[base.cols], len(base.row_upper))
    over = load > base.row_upper + 0.5
    used = [np.flatnonzero(over[one.rows]) for one in easings]
    return _Eased(easings, amounts, used, int(amounts.sum()) <= lifted(point.bound))


def _papers(works: Works, problem: Problem, found: _Eased, opening: str, late: int) -> list[Relief]:
    """One relief for the pace, over all its weeks, and one for each other limit eased."""
    sure = "" if found.proven else " (enough; perhaps not the least)"
    ending = f"{sure}: then nobody comes later than permitted; {late} would now."
    papers = []
    pace = [
        (one.place, amount)
        for one, amount in zip(found.easings, found.amounts.tolist(), strict=True)
        if one.kind == "pace" and amount
    ]
    if pace:
        weeks = np.array([week for week, _ in pace])
        total = sum(amount for _, amount in pace)
        peak, peak_week = max((amount, -week) for week, amount in pace)
        label = problem.weeks[-peak_week].label
        words = (
            f"call in {total} more than the pace allows, spread over {len(pace)} "
            f"weeks, at most {peak} in a week ({label})"
        )
        papers.append(
            _relief(problem, ("pace", ""), (weeks, total), late, (opening, words, ending))
        )
    for one, amount, used in zip(found.easings, found.amounts.tolist(), found.used, strict=True):
        if one.kind != "pace" and amount:
            where, words = _words(works, one, amount)
            weeks = used if len(used) else np.arange(problem.horizon)
            papers.append(
                _relief(problem, (one.kind, where), (weeks, amount), late, (opening, words, ending))
            )
    return papers


def _words(works: Works, easing: _Easing, amount: int) -> tuple[str, str]:
    if easing.kind == "depot":
        depot = works.depots[easing.place]
        limit = depot.away_limit or 0
        name = depot.depot_id
        return name, f"let depot {name} spare {limit + amount} vehicles instead of {limit}"
    if easing.kind == "type":
        type_ = works.vehicle_types[easing.place]
        limit = type_.week_limit or 0
        name = type_.type_id
        return name, f"take {limit + amount} of type {name} a week instead of {limit}"
    limit = works.settings.plan.inside_limit or 0
    return "", f"find room inside for {limit + amount} vehicles instead of {limit}"


def _relief(
    problem: Problem,
    what: tuple[str, str],
    extent: tuple[Ints, int],
    late: int,
    sentence: tuple[str, str, str],
) -> Relief:
    weeks, amount = extent
    first = problem.weeks[int(weeks.min())]
    last = problem.weeks[int(weeks.max())]
    opening, words, ending = sentence
    return Relief(
        kind=what[0],
        where=what[1],
        first=first.monday,
        last=last.sunday,
        amount=amount,
        unit=UNITS[what[0]],
        vehicles=late,
        sentence=f"{opening}: {words}, from {first.label} to {last.label}{ending}",
    )
