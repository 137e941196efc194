"""The forecast: what its judge finds, what it says of itself, and that it is always the same."""

from dataclasses import fields, is_dataclass, replace
from datetime import date
from functools import cache
from typing import Any

import numpy as np
import pytest

from made_run import busy_plan, busy_works
from pacewright.plans.forecast import Cause, Forecast, UseOf
from pacewright.simulate.checks import forecast_faults, run_faults
from pacewright.simulate.engine import run_flow
from pacewright.simulate.executors import threads
from pacewright.simulate.figures import figure_keys
from pacewright.simulate.problem import FlowOptions
from pacewright.simulate.replicate import HowSure
from pacewright.simulate.run import Run
from pacewright.simulate.solve import (
    NoSuchFigureError,
    Question,
    RunThrough,
    Start,
    forecast,
    forecast_of,
    run_through,
)

FEW = HowSure(replications=6, seed=3)


@cache
def through(start: Start) -> RunThrough:
    """Six short runs of the busy works."""
    weeks = 40 if start is Start.STEADY else 12
    question = Question(start, FlowOptions(weeks=weeks), sure=FEW)
    return run_through(busy_works(), busy_plan(), question, threads(2))


@cache
def made(start: Start) -> Forecast:
    return forecast_of(through(start), busy_plan())


@cache
def runs(start: Start) -> tuple[Run, ...]:
    """The same runs again, every event kept."""
    table = through(start).data.measure.table
    return tuple(run_flow(table, FEW.seed, n, events=True) for n in range(6))


def faults(paper: Forecast, start: Start = Start.NOW) -> tuple[str, ...]:
    return forecast_faults(paper, through(start).data.measure.table, runs(start), 5)


@pytest.mark.parametrize("start", list(Start))
def test_the_judge_finds_nothing(start: Start) -> None:
    """From today, from empty, steady: vehicle by vehicle the runs say what the forecast says."""
    assert faults(made(start), start) == ()


def worse(paper: Forecast, key: str) -> Forecast:
    """One figure moved by a thousandth."""
    return replace(
        paper,
        figures=tuple(
            replace(one, mean=one.mean * 1.001) if one.key == key else one for one in paper.figures
        ),
    )


@pytest.mark.parametrize(
    "key", ["output_a_week", "turn_days_mean", "holdup_days", "promise_chance"]
)
def test_the_judge_finds_a_wrong_figure(key: str) -> None:
    """A thousandth too much is found, and the figure is named."""
    assert [f"figure {key}" in one for one in faults(worse(made(Start.NOW), key))] == [True]


def test_the_judge_finds_what_does_not_sum() -> None:
    """A hold-up left out, a bar made higher, a replication claimed that was not run."""
    paper = made(Start.NOW)
    assert "hold-ups" in faults(replace(paper, holdups=paper.holdups[1:]))[0]
    turn = paper.turns[0]
    high = replace(
        turn, histogram_share=(turn.histogram_share[0] + 0.01, *turn.histogram_share[1:])
    )
    assert "turn times" in faults(replace(paper, turns=(high,)))[0]
    assert "replications" in faults(replace(paper, replications=7))[0]


def spoilt(run: Run, name: str, place: Any, by: int) -> Run:
    """A run with one number changed."""
    changed = getattr(run, name).copy()
    changed[place] += by
    return replace(run, **{name: changed})


def test_the_judge_finds_a_run_that_breaks_the_rules() -> None:
    """A minute too many waited, a release before arrival, a unit that vanishes: each is named."""
    table = through(Start.EMPTY).data.measure.table
    run = runs(Start.EMPTY)[0]
    v = int(np.flatnonzero(run.released >= 0)[0])
    assert run_faults(table, run) == ()
    assert "sum to" in run_faults(table, spoilt(run, "waits", (v, 2), 1))[0]
    early = spoilt(run, "released", v, -int(run.released[v]))
    assert "arrives, is admitted, then released" in run_faults(table, early)[0]
    less = replace(run, integrals=replace(run.integrals, inside=run.integrals.inside - 1))
    assert "inside" in run_faults(table, less)[0]
    assert run.events is not None
    from pacewright.events.codes import Code

    first = int(np.flatnonzero(run.events.code == Code.FITTED)[0])
    amount = run.events.amount.copy()
    amount[first] = 2
    lost = run_faults(table, replace(run, events=replace(run.events, amount=amount)))
    assert any("came off than went on" in one for one in lost)
    assert any("shelf" in one for one in lost)


def test_the_number_of_threads_shows_in_no_figure() -> None:
    """One thread or two: the same paper but for the seconds."""
    question = Question(Start.NOW, FlowOptions(weeks=12), sure=FEW)
    again = forecast(busy_works(), busy_plan(), question, threads(1))
    card = replace(again.card, seconds=made(Start.NOW).card.seconds)
    assert replace(again, card=card) == made(Start.NOW)


def test_another_seed_is_another_chance() -> None:
    """Its figures differ, and it stands on the card."""
    question = Question(Start.NOW, FlowOptions(weeks=12), sure=replace(FEW, seed=4))
    other = forecast(busy_works(), busy_plan(), question, threads(2))
    assert (other.card.seed, made(Start.NOW).card.seed) == (4, 3)
    assert other.figure("turn_days_mean").mean != made(Start.NOW).figure("turn_days_mean").mean


def test_every_figure_has_a_key_of_its_own_and_an_interval_around_it() -> None:
    """Keys name one figure each; low and high stand on either side of the mean."""
    paper = made(Start.NOW)
    keys = [one.key for one in paper.figures]
    assert len(set(keys)) == len(keys)
    for one in paper.figures:
        assert one.low <= one.mean <= one.high
    with pytest.raises(KeyError):
        paper.figure("nothing")


def test_causes_make_up_the_hold_ups_and_with_work_the_turn_time() -> None:
    """Hold-ups by cause sum to all hold-ups; with the work they are the mean turn time."""
    paper = made(Start.STEADY)
    causes = sum(paper.figure(f"holdup_days_{cause}").mean for cause in Cause)
    held = paper.figure("holdup_days").mean
    assert causes == pytest.approx(held)
    turn = paper.figure("turn_days_mean").mean
    assert held + paper.figure("work_days").mean == pytest.approx(turn)


def test_little_holds_in_the_steady_state() -> None:
    """Inside and at the gate = rate x turn time (Little 1961), but for the ends of the runs.

    Over the 200 days measured at most the dozen vehicles there at either end are counted in one
    side and not in the other.
    """
    paper = made(Start.STEADY)
    there = paper.figure("inside_mean").mean + paper.figure("gate_mean").mean
    rate = paper.figure("output_a_week").mean / 5
    assert there == pytest.approx(rate * paper.figure("turn_days_mean").mean, rel=0.06)


def test_weeks_are_the_days_of_the_run() -> None:
    """Released by week sum to the output; the first week called in is the first of the plan."""
    paper = made(Start.EMPTY)
    total = sum(week.released.mean for week in paper.weeks)
    days = sum(week.working_days for week in paper.weeks)
    assert total / days * 5 == pytest.approx(paper.figure("output_a_week").mean)
    assert paper.weeks[0].monday == busy_plan().start
    assert [week.called for week in paper.weeks] == [
        week.called for week in busy_plan().programme.weeks[:12]
    ]
    assert all(week.released.low <= week.released.high for week in paper.weeks)


def test_a_steady_run_leaves_its_warm_up_out() -> None:
    """The time measured is as long as asked, and begins after the warm-up."""
    paper = made(Start.STEADY)
    assert paper.warm_up_days > 0
    assert (paper.last - paper.first).days == 40 * 7 - 1
    assert [week.measured for week in paper.weeks].index(True) == paper.warm_up_days / 5
    assert made(Start.EMPTY).warm_up_days == 0


def test_a_stated_warm_up_is_kept() -> None:
    """Three weeks are said, three weeks are left out, from whatever start."""
    question = Question(Start.EMPTY, FlowOptions(weeks=6), 3, replace(FEW, replications=2))
    paper = forecast(busy_works(), busy_plan(), question)
    assert (paper.warm_up_days, len(paper.weeks)) == (15.0, 9)


def test_precision_is_reached_or_the_limit_said() -> None:
    """Half width over mean on the card is at most the one asked for, or all were run."""
    sure = HowSure(60, 0.05, "turn_days_mean")
    question = Question(Start.NOW, FlowOptions(weeks=10), sure=sure)
    paper = forecast(busy_works(), busy_plan(), question, threads(2))
    one = paper.figure("turn_days_mean")
    assert paper.card.objective == pytest.approx(one.half_width / one.mean)
    assert (paper.stopped_by == "precision") == (paper.card.objective <= 0.05)
    assert paper.stopped_by in ("precision", "limit")


def test_an_unknown_figure_is_refused_with_those_that_are_known() -> None:
    """The message names the figures a precision can be asked of."""
    question = Question(Start.NOW, FlowOptions(weeks=4), sure=HowSure(20, 0.1, "outputs"))
    with pytest.raises(NoSuchFigureError, match=r"--of outputs: .*output_a_week"):
        forecast(busy_works(), busy_plan(), question)
    known = figure_keys(busy_works(), busy_plan().line)
    assert known == tuple(one.key for one in made(Start.NOW).figures)


def test_plan_and_simulation_stand_side_by_side_with_reasons() -> None:
    """What agrees needs no reason, what differs has one with figures in it."""
    paper = made(Start.STEADY)
    assert {one.agrees for one in paper.beside} == {True, False}
    for one in paper.beside:
        near = abs(one.plan - one.simulated) <= max(one.half_width, one.within)
        assert one.agrees is near
        assert (one.why == "") is one.agrees
        assert one.agrees or any(letter.isdigit() for letter in one.why)


def plain(value: Any) -> bool:
    """No number of another library: such a paper could not be written as JSON."""
    if is_dataclass(value):
        return all(plain(getattr(value, one.name)) for one in fields(value))
    if isinstance(value, tuple):
        return all(map(plain, value))
    return type(value) in (bool, int, float, str, date, type(None), Cause, UseOf)


def test_a_forecast_is_made_of_plain_values() -> None:
    """Every field of the paper, down to the last, is of the standard library."""
    assert plain(made(Start.NOW))
