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
from pacewright.office.simulating import Asked, at_pace, hands, question_of, refuse_wrong
from pacewright.plans.change import Change
from pacewright.plans.comparison import Comparison
from pacewright.plans.plan import Plan
from pacewright.plans.stopped import Stopped
from pacewright.works import Works

if TYPE_CHECKING:
    from pacewright.simulate.compare import Family
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
    works: Works,
    changes: Sequence[Change],
    asked: Asked,
    progress: Progress = silent,
    notes: Sequence[str] = (),
) -> Comparison:
    """Run the works and each change through, and hold them against each other.

    Parameters
    ----------
    works : the works as it is.
    changes : from ``read_changes``, one at least.
    asked : replications, precision of the differences, seed, weeks, start, pace and hands.
    notes : what was assumed when the works was read; stands before what the runs assume.

    Returns
    -------
    With Ctrl-C: the changes run so far, over the pairs there are.

    Raises
    ------
    CallError : a wrong call; an unknown figure; or stopped before one change was run.
    NoPlanError : the works, or a change, cannot be planned or run through.
    """
    from pacewright.simulate.calendars import DAY

    refuse_wrong(asked)
    began = time.perf_counter()
    base = Change("base", works, ())
    with hands(asked) as workers:
        sides = _Sides(asked, workers, progress)
        stopped = sides.run((base, *changes))
    runs, family, count = sides.runs, sides.family(), sides.count
    first = runs[0].through.data
    days = first.measure.table.days
    start = works.settings.plan.start
    monday = start - timedelta(days=start.weekday())
    return Comparison(
        works_name=works.settings.name,
        inputs_hash=inputs_hash(works),
        version=__version__,
        replications=count,
        seed=asked.seed,
        confidence=first.confidence,
        figures_looked_at=family.figures_looked_at,
        holdups_looked_at=family.holdups_looked_at,
        first=monday + timedelta(days=days.measure_from // DAY),
        last=monday + timedelta(days=days.end // DAY - 1),
        start=asked.start,
        warm_up_weeks=_warm_up(runs[0]),
        changes=family.outcomes,
        notes=(*notes, *runs[0].through.notes),
        interrupted=stopped is Stopped.INTERRUPTED,
        seconds=time.perf_counter() - began,
        stopped_by=stopped.value,
        precision=asked.precision,
        of=asked.of if asked.precision is not None else "",
        pace_a_week=asked.pace_a_week,
    )


class _Sides:
    """The runs of all sides, the base first."""

    def __init__(self, asked: Asked, workers: "Workers", progress: Progress) -> None:
        self.asked, self.workers, self.progress = asked, workers, progress
        self.runs: list[_Run] = []

    @property
    def count(self) -> int:
        """Replications that every side has."""
        return min(len(one.through.data.samples) for one in self.runs)

    def run(self, changes: Sequence[Change]) -> Stopped:
        """Run all sides until they are enough; what ended it.

        Raises
        ------
        CallError : stopped before one change was run beside the works.
        """
        asked = self.asked
        counts = list(question_of(changes[0].works, asked).sure.counts())
        stopped = Stopped.REPLICATIONS if asked.precision is None else Stopped.LIMIT
        try:
            self._begin(changes, counts[0])
            for count in counts:
                self._run_on(count)
                if asked.precision is not None and self._precise(asked.precision):
                    stopped = Stopped.PRECISION
                    break
        except KeyboardInterrupt:
            stopped = Stopped.INTERRUPTED
            self.runs = [one for one in self.runs if _warm_up(one) == _warm_up(self.runs[0])]
        if len(self.runs) < 2:
            raise CallError(
                "Stopped before one change was run beside the works: there is nothing to compare, "
                "and nothing was written. Ask for fewer --replications or --weeks."
            )
        return stopped

    def _begin(self, changes: Sequence[Change], count: int) -> None:
        """The first runs of all sides; all leave out the longest settling any side needs."""
        for change in changes:
            base = self.runs[0] if self.runs else None
            plan = _plan(change, base, self.asked.pace_a_week, self.progress)
            self.runs.append(self._side(change, plan, (0, count), None))
            self._heed(self.runs[-1].through)
        longest = max(map(_warm_up, self.runs))
        for place, one in enumerate(self.runs):
            if _warm_up(one) != longest:
                self.runs[place] = self._side(one.change, one.plan, (0, count), longest)
                self._heed(self.runs[place].through)

    def _run_on(self, count: int) -> None:
        """Every side up to so many replications."""
        for place, one in enumerate(self.runs):
            had = one.through.data.samples
            if len(had) >= count:
                continue
            more = self._side(one.change, one.plan, (len(had), count), _warm_up(one)).through
            data = replace(more.data, samples=[*had, *more.data.samples])
            self.runs[place] = replace(one, through=replace(one.through, data=data))
            self._heed(more)

    def _heed(self, through: "RunThrough") -> None:
        if through.stopped is Stopped.INTERRUPTED:
            raise KeyboardInterrupt

    def _side(
        self, change: Change, plan: Plan, span: tuple[int, int], warm_up_weeks: int | None
    ) -> _Run:
        """Replications ``span[0]`` to below ``span[1]`` of one side."""
        from pacewright.simulate.solve import run_through

        first, count = span
        question = _question(change, self.asked)
        sure = replace(question.sure, replications=count - first, precision=None)
        question = replace(question, warm_up_weeks=warm_up_weeks, sure=sure, first=first)

        def told(step: str, share: float) -> None:
            self.progress(f"{change.name}: {step}", share)

        through = run_through(change.works, plan, question, self.workers, told)
        return _Run(change, plan, through)

    def _precise(self, precision: float) -> bool:
        """Whether the difference is known well enough for every change."""
        shown = [change.figure(self.asked.of) for change in self.family().outcomes]
        return all(one.half_width <= precision * abs(one.base) for one in shown)

    def family(self) -> "Family":
        """All changes held against the base, over the replications every side has."""
        from pacewright.simulate.compare import Side, compare, first_of

        data = [first_of(one.through.data, self.count) for one in self.runs]
        assumed = set(self.runs[0].through.notes)
        sides = [
            Side(
                one.change.name,
                one.change.differs,
                mine,
                tuple(note for note in one.through.notes if note not in assumed),
            )
            for one, mine in zip(self.runs[1:], data[1:], strict=True)
        ]
        return compare(data[0], sides, data[0].confidence)


def _plan(change: Change, base: _Run | None, pace_a_week: float | None, progress: Progress) -> Plan:
    """The plan of a change; the base's programme where nothing it is made from differs."""
    from pacewright.floats.solve import float_list
    from pacewright.pace.solve import line

    fields = (*CALLED_IN_BY, "assemblies")
    if base is None or any(
        getattr(change.works, name) != getattr(base.change.works, name) for name in fields
    ):
        plan = make_plan(change.works, (), progress)
        return at_pace(change.works, plan, pace_a_week)
    paced = line(change.works, base.plan.programme)
    return replace(base.plan, line=paced, floats=float_list(change.works, paced))


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
