"""From a plan to a forecast: runs it through many times and says what came of it."""

import time
from collections.abc import Sequence
from contextlib import nullcontext
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from enum import StrEnum
from math import inf

from pacewright.base.progress import Progress, silent
from pacewright.plans.card import ResultCard
from pacewright.plans.forecast import Forecast
from pacewright.plans.plan import Plan
from pacewright.plans.stopped import Stopped
from pacewright.simulate.beside import besides
from pacewright.simulate.calendars import DAY
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.engine import run_flow
from pacewright.simulate.executors import Workers, threads
from pacewright.simulate.figures import figure_keys, figures
from pacewright.simulate.gathered import Gathered
from pacewright.simulate.places import float_forecasts, hold_ups, piles, queues, uses
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.replicate import HowSure, Replicated, replicate
from pacewright.simulate.sample import Measure, Sample, Settling, settling
from pacewright.simulate.stays import Stays, stays_of
from pacewright.simulate.stopping import runs_until_stopped
from pacewright.simulate.turn_times import turn_forecasts, week_forecasts
from pacewright.simulate.warm_up import settled_after
from pacewright.works import Works

PILOTS = 20
"""Runs from which the warm-up is told."""


TRACED = 2
"""Runs made once more with every event kept, to say why plan and simulation differ."""


class Start(StrEnum):
    """What there is when a run begins."""

    NOW = "now"
    """the vehicles inside today, where they stand; everything counts"""
    EMPTY = "empty"
    """nothing; everything counts, also the time in which the works fills"""
    STEADY = "steady"
    """nothing; vehicles come one a takt for ever, and only what follows the warm-up counts"""


class NoSuchFigureError(Exception):
    """A precision was asked of a figure that is not computed; the message names those that are."""


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked of the simulation.

    Parameters
    ----------
    start : what there is when a run begins.
    flow : which chances are at work, and changes of a what-if. ``start`` decides on its
        ``inside_now`` and ``measure_from_week``; steady runs have even calls.
    warm_up_weeks : weeks that do not count, run before the weeks asked for; None: from ``start``.
    sure : how many replications.
    first : number of the first one; other than 0 to run on where others ended.
    """

    start: Start = Start.NOW
    flow: FlowOptions = field(default_factory=FlowOptions)
    warm_up_weeks: int | None = None
    sure: HowSure = field(default_factory=HowSure)
    first: int = 0


@dataclass(frozen=True)
class RunThrough:
    """All runs of one question, and how they came about.

    Parameters
    ----------
    data : their samples.
    stays : what passes the time, from the first of them made once more with every event kept.
    stopped : what ended the replications.
    notes : what had to be assumed.
    seconds : wall-clock time.
    """

    data: Gathered
    stays: Stays
    question: Question
    stopped: Stopped
    notes: tuple[str, ...]
    seconds: float


def forecast(
    works: Works,
    plan: Plan,
    question: Question | None = None,
    workers: Workers | None = None,
    progress: Progress = silent,
) -> Forecast:
    """What the plan comes to under chance, every figure with its interval.

    Parameters
    ----------
    works : a works that passed its checks.
    plan : its programme, line and floats.
    question : what is asked; None: from today's standing, 40 replications.
    workers : in whose hands the replications are; None: threads of this machine.

    Returns
    -------
    The same figures for the same arguments, in any hands.

    Raises
    ------
    NoPaceError, NoChainError : the works cannot be run through.
    NoSuchFigureError : the precision is asked of an unknown figure.
    """
    return forecast_of(run_through(works, plan, question, workers, progress), plan)


def run_through(
    works: Works,
    plan: Plan,
    question: Question | None = None,
    workers: Workers | None = None,
    progress: Progress = silent,
) -> RunThrough:
    """The runs themselves, for a forecast or to be compared with those of another question."""
    began = time.perf_counter()
    question = question or Question()
    known = figure_keys(works, plan.line)
    if question.sure.of not in known:
        raise NoSuchFigureError(
            f"--of {question.sure.of}: no such figure. A precision can be asked of: "
            f"{', '.join(known)}."
        )
    # Workers that were given serve further questions: they are not closed here.
    with threads() if workers is None else nullcontext(workers) as hands:
        options, notes = _settled(works, plan, question, hands, progress)
        measure = _measure(works, plan, options)
        sure = question.sure

        def gathered(samples: Sequence[Sample]) -> Gathered:
            return Gathered(works, plan.line, measure, samples, sure.confidence)

        def enough(samples: Sequence[Sample]) -> bool:
            return _relative(gathered(samples), sure.of) <= (sure.precision or 0.0)

        done = replicate(
            _samples, (measure, sure.seed, question.first), sure, enough, hands, progress
        )
    data = gathered(done.results)
    runs = [
        run_flow(measure.table, sure.seed, n, events=True)
        for n in range(min(TRACED, len(done.results)))
    ]
    stays = stays_of(measure.table, runs)
    return RunThrough(
        data,
        stays,
        question,
        done.stopped,
        (*notes, *measure.table.notes),
        time.perf_counter() - began,
    )


def forecast_of(through: RunThrough, plan: Plan) -> Forecast:
    """The paper of a set of runs."""
    data, days = through.data, through.data.measure.table.days
    monday = _monday(data.works)
    shown = figures(data)
    floats = float_forecasts(data, plan.floats)
    return Forecast(
        card=_card(through, plan),
        replications=len(data.samples),
        warm_up_days=float(_working_days(data, days.start, days.measure_from)),
        first=monday + timedelta(days=days.measure_from // DAY),
        last=monday + timedelta(days=days.end // DAY - 1),
        confidence=data.confidence,
        figures=shown,
        weeks=week_forecasts(data, plan.programme),
        turns=turn_forecasts(data),
        holdups=hold_ups(data),
        uses=uses(data),
        queues=queues(data),
        floats=floats,
        piles=piles(data),
        beside=besides(data, shown, (plan.floats, floats), through.stays),
        start=through.question.start.value,
        stopped_by=through.stopped.value,
        pace_a_week=plan.line.pace_a_week,
        notes=through.notes,
        interrupted=through.stopped is Stopped.INTERRUPTED,
    )


def _settled(
    works: Works, plan: Plan, question: Question, workers: Workers, progress: Progress
) -> tuple[FlowOptions, list[str]]:
    """The options with the start and the warm-up in them, and what is to be said of them."""
    steady = question.start is Start.STEADY
    weeks = question.flow.weeks or works.settings.plan.horizon_weeks
    options = replace(
        question.flow,
        inside_now=question.start is Start.NOW,
        calls=Calls.EVEN if steady else question.flow.calls,
        weeks=weeks,
    )
    notes: list[str] = []
    warm_up = question.warm_up_weeks
    if warm_up is None:
        warm_up = 0
        if steady:
            warm_up, settled = _warm_up_weeks(
                works, plan, options, question.sure, workers, progress
            )
            if not settled:
                notes.append(
                    f"The works does not settle within {weeks} weeks from empty: what is inside "
                    f"still moves. The figures are of weeks {warm_up + 1} to {warm_up + weeks}, "
                    "not of a steady state. Ask for more weeks, or see which place holds up."
                )
    return replace(options, weeks=weeks + warm_up, measure_from_week=warm_up), notes


def _warm_up_weeks(
    works: Works,
    plan: Plan,
    options: FlowOptions,
    sure: HowSure,
    workers: Workers,
    progress: Progress,
) -> tuple[int, bool]:
    """Weeks until the works has settled, by MSER-5 on vehicles there and on their turn time."""
    measure = _measure(works, plan, options)
    pilots = replace(sure, replications=PILOTS, precision=None)
    shared = measure, sure.seed
    done: Replicated[Settling] = replicate(_settlings, shared, pilots, _always, workers, progress)
    found = settled_after(done.results)
    days = measure.table.days.workday
    week = -(-int(days[found.values]) // 7) if found.values else 0
    return week, found.settled


def _measure(works: Works, plan: Plan, options: FlowOptions) -> Measure:
    table = compile_flow(works, plan.programme, options)
    return Measure.of(table, {one.type_id: one.promised_days for one in plan.line.turns})


def _samples(shared: tuple[Measure, int, int], numbers: Sequence[int]) -> list[Sample]:
    measure, seed, first = shared
    mine = [first + number for number in numbers]
    return [measure.sample(run) for run in runs_until_stopped(measure.table, seed, mine)]


def _settlings(shared: tuple[Measure, int], numbers: Sequence[int]) -> list[Settling]:
    measure, seed = shared
    runs = runs_until_stopped(measure.table, seed, numbers)
    return [settling(measure.table, run) for run in runs]


def _always(_: Sequence[Settling]) -> bool:
    return True


def _relative(data: Gathered, key: str) -> float:
    """Half width over mean of a figure."""
    one = next((one for one in figures(data) if one.key == key), None)
    if one is None or not one.mean > 0:
        return inf
    return one.half_width / one.mean


def _card(through: RunThrough, plan: Plan) -> ResultCard:
    sure = through.question.sure
    reached = _relative(through.data, sure.of)
    asked = sure.precision or 0.0
    return ResultCard(
        method="event simulation of the whole works, independent replications; intervals by "
        "Student's t",
        status="simulated",
        objective=reached,
        bound=asked,
        gap=(reached - asked) / max(1.0, abs(reached)),
        unit=f"half width over mean of {sure.of}",
        seconds=through.seconds,
        seed=sure.seed,
        inputs_hash=plan.inputs_hash,
    )


def _working_days(data: Gathered, first: int, last: int) -> int:
    days = data.measure.table.days.workday * DAY
    return int(((days >= first) & (days < last)).sum())


def _monday(works: Works) -> date:
    start = works.settings.plan.start
    return start - timedelta(days=start.weekday())
