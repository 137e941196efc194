"""What if: changes of a works run through beside it, with the same chances."""

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from pacewright import __version__
from pacewright.base.faults import Fault, WorksFaultyError
from pacewright.base.progress import Progress, silent
from pacewright.files.changes import read_change
from pacewright.office.errors import CallError
from pacewright.office.planning import inputs_hash, make_plan
from pacewright.office.simulating import Asked, hands, question_of, refuse_wrong
from pacewright.plans.change import Change
from pacewright.plans.comparison import Comparison
from pacewright.plans.plan import Plan
from pacewright.works import Works

if TYPE_CHECKING:
    from pacewright.simulate.executors import Workers
    from pacewright.simulate.solve import Question, RunThrough

CALLED_IN_BY = ("settings", "vehicle_types", "depots", "vehicles", "readings", "shops", "stages")
"""What the call-in programme is made from, assemblies as well; else the base's one holds."""


@dataclass(frozen=True)
class _Run:
    """One side, its plan, and its runs."""

    change: Change
    plan: Plan
    through: "RunThrough"


def read_changes(paths: Sequence[Path], works: Works) -> tuple[Change, ...]:
    """All change files, read against the works.

    Raises
    ------
    WorksFaultyError : with every fault of every file.
    CallError : two changes have the same name.
    """
    changes: list[Change] = []
    faults: list[Fault] = []
    for path in paths:
        try:
            changes.append(read_change(path, works))
        except WorksFaultyError as error:
            faults += error.faults
    if faults:
        raise WorksFaultyError(faults)
    names = [one.name for one in changes]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise CallError(f"Two changes are called '{twice}'. Give each file a name of its own.")
    return tuple(changes)


def make_comparison(
    works: Works, changes: Sequence[Change], asked: Asked, progress: Progress = silent
) -> Comparison:
    """Run the works and each change through, and hold them against each other.

    Parameters
    ----------
    works : the works as it is.
    changes : from ``read_changes``, one at least.
    asked : replications, seed, weeks, start and hands; precision and pace are not asked here.

    Returns
    -------
    With Ctrl-C: the changes run so far, over the pairs there are.

    Raises
    ------
    CallError : a wrong call; or stopped before one change was run.
    NoPlanError : the works, or a change, cannot be planned or run through.
    """
    from pacewright.simulate.calendars import DAY
    from pacewright.simulate.compare import Side, compare, first_of

    refuse_wrong(asked)
    began = time.perf_counter()
    base = Change("base", works, ())
    with hands(asked) as workers:
        runs, interrupted = _runs((base, *changes), asked, workers, progress)
    count = min(len(one.through.data.samples) for one in runs)
    data = [first_of(one.through.data, count) for one in runs]
    assumed = set(runs[0].through.notes)
    sides = [
        Side(
            one.change.name,
            one.change.differs,
            mine,
            tuple(note for note in one.through.notes if note not in assumed),
        )
        for one, mine in zip(runs[1:], data[1:], strict=True)
    ]
    family = compare(data[0], sides, data[0].confidence)
    days = data[0].measure.table.days
    start = works.settings.plan.start
    monday = start - timedelta(days=start.weekday())
    return Comparison(
        works_name=works.settings.name,
        inputs_hash=inputs_hash(works),
        version=__version__,
        replications=count,
        seed=asked.seed,
        confidence=data[0].confidence,
        figures_looked_at=family.figures_looked_at,
        holdups_looked_at=family.holdups_looked_at,
        first=monday + timedelta(days=days.measure_from // DAY),
        last=monday + timedelta(days=days.end // DAY - 1),
        start=asked.start,
        warm_up_weeks=_warm_up(runs[0]),
        changes=family.outcomes,
        notes=runs[0].through.notes,
        interrupted=interrupted,
        seconds=time.perf_counter() - began,
    )


def _runs(
    changes: Sequence[Change], asked: Asked, workers: "Workers", progress: Progress
) -> tuple[list[_Run], bool]:
    """The runs of all sides over the same weeks, the base first; whether they were stopped."""
    from pacewright.simulate.replicate import Stopped

    runs: list[_Run] = []
    interrupted = False
    try:
        for change in changes:
            base = runs[0] if runs else None
            plan = _plan(change, base, progress)
            runs.append(_run(change, plan, asked, workers, progress))
            if runs[-1].through.stopped is Stopped.INTERRUPTED:
                raise KeyboardInterrupt
        longest = max(map(_warm_up, runs))
        for place, one in enumerate(runs):
            if _warm_up(one) != longest:
                runs[place] = _run(one.change, one.plan, asked, workers, progress, longest)
    except KeyboardInterrupt:
        interrupted = True
        runs = [one for one in runs if _warm_up(one) == _warm_up(runs[0])]
    if len(runs) < 2:
        raise CallError(
            "Stopped before one change was run beside the works: there is nothing to compare, and "
            "nothing was written. Ask for fewer --replications or --weeks."
        )
    return runs, interrupted


def _plan(change: Change, base: _Run | None, progress: Progress) -> Plan:
    """The plan of a change; the base's programme where nothing it is made from differs."""
    from pacewright.floats.solve import float_list
    from pacewright.pace.solve import line

    fields = (*CALLED_IN_BY, "assemblies")
    if base is None or any(
        getattr(change.works, name) != getattr(base.change.works, name) for name in fields
    ):
        return make_plan(change.works, (), progress)
    paced = line(change.works, base.plan.programme)
    return replace(base.plan, line=paced, floats=float_list(change.works, paced))


def _run(
    change: Change,
    plan: Plan,
    asked: Asked,
    workers: "Workers",
    progress: Progress,
    warm_up_weeks: int | None = None,
) -> _Run:
    from pacewright.simulate.solve import run_through

    question = replace(_question(change, asked), warm_up_weeks=warm_up_weeks)

    def told(step: str, share: float) -> None:
        progress(f"{change.name}: {step}", share)

    return _Run(change, plan, run_through(change.works, plan, question, workers, told))


def _question(change: Change, asked: Asked) -> "Question":
    from pacewright.simulate.problem import AbsenceWave, Loss

    question = question_of(change.works, asked)
    waves = tuple(
        AbsenceWave(one.first, one.last, one.absent_share, one.shop_id or "", one.trade_id or "")
        for one in change.absences
    )
    losses = tuple(
        Loss(one.stage_id or "", one.unit_kind_id or "", one.first, one.last, one.how_many)
        for one in change.losses
    )
    return replace(question, flow=replace(question.flow, waves=waves, losses=losses))


def _warm_up(run: _Run) -> int:
    from pacewright.simulate.sample import WEEK

    return run.through.data.measure.table.days.measure_from // WEEK
