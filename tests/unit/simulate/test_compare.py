"""Paired differences: what they are, and that shared chances make them sharp."""

from dataclasses import replace
from math import inf, isnan, nan, sqrt

import numpy as np
import pytest
from scipy import stats

from pacewright.base.faults import WorksFaultyError
from pacewright.office.errors import CallError
from pacewright.office.simulating import Asked
from pacewright.office.whatif import make_comparison, read_changes
from pacewright.plans.change import Change, Lost
from pacewright.plans.comparison import Comparison, Good, Verdict
from pacewright.plans.forecast import Cause
from pacewright.reports.comparison_page import signed
from pacewright.simulate.compare import paired
from small_works import small_works

ASKED = Asked(replications=6, weeks=52, threads=1, seed=3)


def compared(*changes: Change, asked: Asked = ASKED) -> Comparison:
    """The small works beside changes of it."""
    return make_comparison(small_works(), changes, asked)


def staffed(factor: float) -> Change:
    """So many times the people everywhere."""
    works = small_works()
    people = tuple(replace(one, people=one.people * factor) for one in works.people)
    return Change(f"{factor:g} times", replace(works, people=people), ("people",))


def test_the_interval_is_the_paired_t_test() -> None:
    """Mean and interval against scipy's paired t test, a general reference library."""
    x = np.array([4.1, 5.0, 3.7, 6.2, 5.5, 4.9])
    y = np.array([4.6, 5.2, 4.4, 6.1, 6.3, 5.0])
    found = paired(x, y, 0.95)
    there = stats.ttest_rel(y, x).confidence_interval(0.95)
    assert found.difference - found.half_width == pytest.approx(there.low)
    assert found.difference + found.half_width == pytest.approx(there.high)
    assert found.times_fewer == pytest.approx(
        (np.var(x, ddof=1) + np.var(y, ddof=1)) / np.var(y - x, ddof=1)
    )


@pytest.mark.parametrize(
    ("x", "y", "verdict", "half", "pairs"),
    [
        ([1, 2, 3], [1, 2, 3], Verdict.SAME, 0.0, 3),
        ([1, 2, 3], [2, 3, 4], Verdict.REAL, 0.0, 3),
        ([1, 2, nan], [2, 3, 4], Verdict.REAL, 0.0, 2),
        ([1, nan], [2, 3], Verdict.NOT_SHOWN, inf, 1),
        ([1, 2, 3], [2, 1, 4], Verdict.NOT_SHOWN, None, 3),
    ],
)
def test_verdicts(
    x: list[float], y: list[float], verdict: Verdict, half: float | None, pairs: int
) -> None:
    """The same, real, or not shown; a replication blank on one side is left out."""
    found = paired(np.array(x, float), np.array(y, float), 0.95)
    assert (found.verdict, found.replications) == (verdict, pairs)
    if half is not None:
        assert found.half_width == half


def test_nothing_known_gives_no_figure() -> None:
    """Without one pair there is no difference, and nothing is claimed."""
    found = paired(np.array([nan, 1.0]), np.array([1.0, nan]), 0.95)
    assert isnan(found.difference)
    assert found.verdict is Verdict.NOT_SHOWN


def test_a_change_that_changes_nothing_differs_by_exactly_nothing() -> None:
    """Every figure known is the same in every replication, no hold-up differs."""
    (outcome,) = compared(Change("nothing", small_works(), ())).changes
    assert outcome.holdups == ()
    for one in outcome.figures:
        if one.replications:
            assert (one.difference, one.half_width, one.verdict) == (0.0, 0.0, Verdict.SAME)
    assert sum(one.replications > 0 for one in outcome.figures) > 15


def test_the_intervals_share_the_confidence() -> None:
    """Half widths are those of the pairs at 1 - 0.05 / m, m the intervals (Bonferroni)."""
    comparison = compared(staffed(0.6), staffed(2.0))
    figures = [one for change in comparison.changes for one in change.figures]
    assert comparison.figures_looked_at == len(figures)
    one = comparison.changes[0].figure("turn_days_mean")
    level = 1 - 0.05 / len(figures)
    wide = stats.t.ppf((1 + level) / 2, one.replications - 1)
    narrow = stats.t.ppf(0.975, one.replications - 1)
    assert wide > narrow
    # What one interval alone would be is found again from the spread of the pairs.
    spread = one.half_width / wide * sqrt(one.replications)
    assert spread > 0
    alone = compared(staffed(0.6)).changes[0].figure("turn_days_mean")
    level = 1 - 0.05 / (len(figures) / 2)
    single = stats.t.ppf((1 + level) / 2, alone.replications - 1)
    assert alone.half_width / single * sqrt(alone.replications) == pytest.approx(spread)


def test_fewer_people_stand_longer_and_it_is_found_real() -> None:
    """At a fifth of the people the turn time grows, for want of people, and the sign is right."""
    comparison = compared(staffed(0.2))
    (outcome,) = comparison.changes
    turn = outcome.figure("turn_days_mean")
    assert turn.difference > 0
    assert (turn.verdict, turn.good) == (Verdict.REAL, Good.WORSE)
    people = outcome.figure("holdup_days_people")
    assert people.difference > 0
    assert people.changed - people.base == pytest.approx(people.difference)
    assert outcome.holdups[0].cause is Cause.PEOPLE or outcome.holdups[0].difference_days > 0


def test_a_closed_form_is_met() -> None:
    """Twice the rest at a stage that never waits adds its hours to every vehicle's turn.

    Worked by hand: the test stage is given hours of 4, 4, 4, then of 12, 12, 12, its crew ample;
    each vehicle's work grows by 8 working hours, one working day of 8 hours.
    """
    works = small_works()

    def with_hours(hours: float) -> Change:
        stages = tuple(
            replace(one, hours_least=hours, hours_usual=hours, hours_most=hours, crew=0)
            if one.stage_id == "test"
            else one
            for one in works.stages
        )
        operations = tuple(one for one in works.operations if one.stage_id != "test")
        return Change(f"{hours:g}", replace(works, stages=stages, operations=operations), ())

    base = with_hours(4)
    comparison = make_comparison(base.works, (with_hours(12),), replace(ASKED, start="empty"))
    work = comparison.changes[0].figure("work_days")
    assert work.verdict is Verdict.REAL
    assert work.difference == pytest.approx(1.0, abs=0.02)


def test_shared_chances_make_the_difference_sharper() -> None:
    """With one more body builder, turn times differ with less variance than apart (measured)."""
    works = small_works()
    people = tuple(
        replace(one, people=one.people + 1) if one.trade_id == "body" else one
        for one in works.people
    )
    change = Change("one more", replace(works, people=people), ())
    comparison = compared(change, asked=replace(ASKED, replications=12))
    assert comparison.changes[0].figure("work_days").times_fewer > 2


def test_a_lost_position_befalls_the_changed_side_alone() -> None:
    """The marriage position lost for six weeks: vehicles stand for it, and the works is worse."""
    start = small_works().settings.plan.start
    lost = Lost(first=start, last=start.replace(month=start.month + 2), stage_id="marry")
    (outcome,) = compared(Change("lost", small_works(), (), losses=(lost,))).changes
    assert outcome.figure("holdup_days_position").difference > 0


def test_steady_runs_leave_out_the_same_weeks() -> None:
    """Each side settles in its own time; all leave out the longest of them."""
    comparison = compared(staffed(0.5), asked=replace(ASKED, start="steady", replications=3))
    assert comparison.warm_up_weeks >= 1
    assert len(comparison.changes) == 1


def test_faults_of_all_files_are_told_together(tmp_path) -> None:  # type: ignore[no-untyped-def]
    """Two faulty files: the faults of both; two of one name: a wrong call."""
    for name in ("a", "b"):
        (tmp_path / f"{name}.toml").write_text("[plan]\ninside_limit = -1\n")
    with pytest.raises(WorksFaultyError) as raised:
        read_changes([tmp_path / "a.toml", tmp_path / "b.toml"], small_works())
    assert [one.file for one in raised.value.faults] == ["a.toml", "b.toml"]
    for name in ("a", "b"):
        (tmp_path / f"{name}.toml").write_text('name = "same"\n')
    with pytest.raises(CallError, match="Two changes are called 'same'"):
        read_changes([tmp_path / "a.toml", tmp_path / "b.toml"], small_works())


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ((2.06, 0.69), "+2.06 ± 0.69"),
        ((-1176.2, 684.0), "-1,176 ± 684"),
        ((1.62, 1.58), "+1.6 ± 1.6"),
        ((0.0004, 0.02), "0.000 ± 0.020"),
        ((0.5, inf), "+0.5 (too few runs to tell how sure)"),
        ((nan, nan), "-"),
    ],
)
def test_differences_are_written_with_sign_and_interval(
    value: tuple[float, float], said: str
) -> None:
    """One decimal more than is sure; never a sign before nothing."""
    assert signed(*value).replace("\N{NO-BREAK SPACE}", " ") == said


def test_it_runs_on_until_the_difference_is_known_well_enough() -> None:
    """The half width of the difference over the base is what was asked, on all sides alike."""
    asked = replace(ASKED, replications=200, precision=0.05, of="turn_days_mean", weeks=26)
    found = compared(staffed(0.6), staffed(2.0), asked=asked)
    assert found.stopped_by == "precision"
    assert 10 <= found.replications < 200
    for change in found.changes:
        one = change.figure("turn_days_mean")
        assert one.half_width <= 0.05 * one.base
        assert one.replications == found.replications


def test_running_on_gives_the_figures_of_running_at_once() -> None:
    """Ten and ten more are the same twenty: chance hangs on the number alone."""
    at_once = compared(staffed(0.6), asked=replace(ASKED, replications=20, weeks=26))
    hard = replace(ASKED, replications=20, weeks=26, precision=1e-6, of="turn_days_mean")
    on = compared(staffed(0.6), asked=hard)
    assert (on.stopped_by, at_once.stopped_by) == ("limit", "replications")
    assert on.changes == at_once.changes


def test_an_unknown_figure_is_refused() -> None:
    """A precision of what is not computed: the message names what is."""
    with pytest.raises(CallError, match="--of sunshine"):
        compared(staffed(0.6), asked=replace(ASKED, precision=0.1, of="sunshine"))


def test_all_sides_run_at_the_pace_asked() -> None:
    """Even calls at a pace: as many a week come in on both sides, the pace within a vehicle."""
    found = compared(staffed(2.0), asked=replace(ASKED, pace_a_week=0.5, start="empty"))
    came = found.changes[0].figure("calls_a_week")
    assert found.pace_a_week == 0.5
    assert came.difference == 0
    assert came.base == pytest.approx(0.5, abs=0.05)
