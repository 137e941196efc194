"""Reliefs: the least easing of pace, depot, type or inside limits at which everybody fits."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pacewright.callin.absence import Ints
from pacewright.callin.depot_columns import DepotColumns, depot_columns
from pacewright.callin.linear import Answer, NoFitError, TooLongError, least, least_whole, lifted
from pacewright.callin.linear_model import LinearModel, joined
from pacewright.callin.problem import NO_LIMIT, Floats, Problem
from pacewright.callin.queues import queues_of
from pacewright.callin.run_pace import with_time_for_overdue
from pacewright.works import Works

SECONDS = 5.0
KINDS = ("pace", "depot", "type", "inside")


@dataclass(frozen=True)
class EasedLimit:
    """One limit eased.

    Parameters
    ----------
    kind, place : pace | depot | type | inside, and which depot or type (else 0).
    amount : call-ins above the able numbers, in all, for the pace; else what the limit rises by.
    weeks : weeks in which the easing is used.
    peak, peak_week : for the pace, the most in one week and which.
    """

    kind: str
    place: int
    amount: int
    weeks: Ints
    peak: int = 0
    peak_week: int = 0


@dataclass(frozen=True)
class Easing:
    """The least easing of one kind of limit, or of all kinds together.

    Parameters
    ----------
    kind : pace | depot | type | inside | together.
    limits : what is eased; empty when it cannot help, or ``too_long`` to be worked out.
    proven : the sum of the amounts is the least possible.
    """

    kind: str
    limits: tuple[EasedLimit, ...]
    proven: bool = False
    too_long: bool = False

    @property
    def amount(self) -> int:
        """Sum of the amounts."""
        return sum(limit.amount for limit in self.limits)


@dataclass(frozen=True)
class _Loosened:
    """A column that loosens rows: one a depot, type or the inside limit, one a week for pace."""

    kind: str
    place: int
    rows: Ints


def late_beyond_help(works: Works, problem: Problem, week: Ints) -> tuple[Problem, int]:
    """The problem with time for those past their limit at the start, and how many are late in it.

    They need only fit into the firm zone, so that they do not ask for a works that takes them
    all in the first week.
    """
    demands = with_time_for_overdue(problem.demands, works.settings.plan.firm_weeks, problem.weeks)
    return replace(problem, demands=demands), int((week > demands.latest).sum())


def least_easings(problem: Problem) -> tuple[Easing, ...]:
    """The least easing of each kind of limit alone, then of all together when that is less.

    Empty when everybody fits as it is: then only those past their limit at the start are late.
    """
    queues = queues_of(problem)
    columns = depot_columns(problem, queues, queues.closed)
    try:
        least(columns.model, np.zeros(len(columns.life)), columns.life)
    except (NoFitError, TooLongError):
        pass
    else:
        return ()
    loosened = _loosened(problem, columns)
    found = []
    for kind in KINDS:
        some = [one for one in loosened if one.kind == kind]
        if some:
            found.append(_least_easing(kind, columns, some))
    if len(found) > 1:
        together = _least_easing("together", columns, loosened)
        alone = [one.amount for one in found if one.limits]
        mixed = len({limit.kind for limit in together.limits}) > 1
        if mixed and together.amount < min(alone, default=together.amount + 1):
            found.append(together)
    return tuple(found)


def _loosened(problem: Problem, columns: DepotColumns) -> list[_Loosened]:
    found = [
        _Loosened("pace", week.index, columns.pace_rows[week.index : week.index + 1])
        for week in problem.weeks
        if week.working_days
    ]
    for kind, limits, rows in (
        ("depot", problem.depot_limits, columns.depot_rows),
        ("type", problem.type_limits, columns.type_rows),
    ):
        limited = np.flatnonzero(limits < NO_LIMIT).tolist()
        found += [_Loosened(kind, place, rows[place]) for place in limited]
    if problem.inside_limit < NO_LIMIT:
        found.append(_Loosened("inside", 0, columns.inside_rows))
    return found


def _least_easing(kind: str, columns: DepotColumns, loosened: Sequence[_Loosened]) -> Easing:
    """Least amounts, in whole numbers, at which all windows hold."""
    base, called = columns.model, columns.called.ravel()
    first, size = len(base.col_lower), len(loosened)
    rows = np.concatenate([one.rows for one in loosened])
    added = LinearModel(
        col_lower=np.zeros(size),
        col_upper=np.full(size, base.col_upper[columns.called[:, -1]].sum()),
        row_lower=np.zeros(0),
        row_upper=np.zeros(0),
        rows=rows,
        cols=first + np.repeat(np.arange(size), [len(one.rows) for one in loosened]),
        values=np.full(len(rows), -1.0),
    )
    model = joined(base, added)
    cost = np.concatenate([np.zeros(first), np.ones(size)])
    guide = np.concatenate([columns.life, np.zeros(size)])
    try:
        point = least(model, cost, guide)
        answer = _whole_easing(model, cost, called, point)
    except NoFitError:
        return Easing(kind, ())
    except TooLongError:
        return Easing(kind, (), too_long=True)
    limits = _limits(base, loosened, answer.x)
    proven = sum(limit.amount for limit in limits) <= lifted(point.bound)
    return Easing(kind, limits, proven)


def _whole_easing(model: LinearModel, cost: Floats, called: Ints, point: Answer) -> Answer:
    whole = np.concatenate([called, np.flatnonzero(cost)])
    for slack in (0, 1, 3):
        try:
            return least_whole(model.boxed(called, point.x, slack), cost, whole, SECONDS)
        except NoFitError:
            continue
    raise TooLongError


def _limits(base: LinearModel, loosened: Sequence[_Loosened], x: Floats) -> tuple[EasedLimit, ...]:
    """What is eased and when it is used; the weeks of the pace put together."""
    amounts = np.round(x[len(base.col_lower) :]).astype(np.int64)
    load = np.bincount(base.rows, base.values * x[base.cols], len(base.row_upper))
    over = load > base.row_upper + 0.5
    eased = [(one, int(n)) for one, n in zip(loosened, amounts, strict=True) if n]
    found = []
    pace = [(n, one.place) for one, n in eased if one.kind == "pace"]
    if pace:
        peak, peak_week = max(pace, key=lambda entry: (entry[0], -entry[1]))
        weeks = np.array([week for _, week in pace])
        total = sum(n for n, _ in pace)
        found.append(EasedLimit("pace", 0, total, weeks, peak, peak_week))
    found += [
        EasedLimit(one.kind, one.place, n, np.flatnonzero(over[one.rows]))
        for one, n in eased
        if one.kind != "pace"
    ]
    return tuple(found)
