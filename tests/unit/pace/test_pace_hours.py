"""Hours of trades: by hand, and against drawn weeks."""

from datetime import date, timedelta

import numpy as np
import pytest

from pacewright.pace.hours import JUDGED_SAMPLE, factor_variance, running_most, week_hours
from pacewright.pace.problem import problem_of
from pacewright.pace.solve import line
from pacewright.parts.tables import Campaign, Operation
from pacewright.plans.line import Gear
from small_works import Tables, small_works
from unit.pace.pace_cases import call, programme

SOLO_AND_LONG = (call("solo", 1), call("long", 2))


def test_hours_of_one_operation_by_hand() -> None:
    """Two vehicles a week, 10 h on a quarter of them: mean 5 h, variance 2 x 3/16 x 100."""

    def change(tables: Tables) -> None:
        row = tables["operations"][0]
        row.update(standard_hours="10", occurrence_share="0.25", sample="1000000", must_change="no")
        tables["operations"] = [row]
        tables["campaigns"] = []

    works = small_works(change)
    found = week_hours(works, problem_of(works, programme(0.4)))["strip", "fitter"]
    assert found.mean == pytest.approx(5)
    assert found.occurrence == pytest.approx(37.5)
    assert found.sd == pytest.approx(37.5**0.5, rel=1e-3)


def test_factor_counted_on_a_sample() -> None:
    """0.8 on 120 vehicles: 0.16 / 121; a judgement counts as a sample of ten; must-change none."""
    counted = Operation("o", "o", "t", 1, stage_id="s", occurrence_share=0.8, sample=120)
    judged = Operation("o", "o", "t", 1, stage_id="s", occurrence_share=0.8)
    always = Operation("o", "o", "t", 1, stage_id="s", occurrence_share=0.8, must_change=True)
    assert factor_variance(counted) == pytest.approx(0.16 / 121)
    assert factor_variance(judged) == pytest.approx(0.16 / (JUDGED_SAMPLE + 1))
    assert factor_variance(always) == 0


def test_week_against_drawn_weeks() -> None:
    """Mean and spread of every trade against 40,000 weeks drawn operation by operation.

    Each week has one solo and one long bus; factors are drawn from their beta law, removals and
    operations as coins, units of the second site as Poisson: nothing of the formulas is used.
    """

    def change(tables: Tables) -> None:
        tables["campaigns"] = []

    works = small_works(change)
    paced = programme(0.4, SOLO_AND_LONG)
    found = week_hours(works, problem_of(works, paced))
    draws = np.random.default_rng(7)
    weeks = 40_000
    hours = {key: np.zeros(weeks) for key in found}
    shops = {stage.stage_id: stage.shop_id for stage in works.stages}
    shares = {op.operation_id: _drawn_share(draws, op, weeks) for op in works.operations}
    for op in works.operations:
        for kind in ("solo", "long"):
            if op.stage_id and op.type_id in (None, kind):
                pieces = works.routes[kind].passes.get(op.stage_id, 0)
                times = draws.binomial(pieces, shares[op.operation_id])
                hours[shops[op.stage_id], op.trade_id] += times * op.standard_hours
    for unit in works.unit_kinds:
        removal = 1.0 if unit.must_change else unit.removal_share
        carried = sum(
            fit.per_vehicle for fit in works.fits if fit.unit_kind_id == unit.unit_kind_id
        )
        off = draws.binomial(carried, removal, weeks) + draws.poisson(unit.site_a_week, weeks)
        for op in works.operations:
            if op.unit_kind_id == unit.unit_kind_id:
                times = draws.binomial(off, shares[op.operation_id])
                hours[unit.shop_id, op.trade_id] += times * op.standard_hours
    for key, one in found.items():
        assert one.mean == pytest.approx(hours[key].mean(), rel=0.01, abs=0.01), key
        assert one.sd == pytest.approx(hours[key].std(), rel=0.03, abs=0.01), key


def _drawn_share(draws: np.random.Generator, op: Operation, weeks: int) -> np.ndarray:
    share = op.occurrence_share
    if op.must_change or share in (0, 1):
        return np.full(weeks, 1.0 if op.must_change else share)
    sample = op.sample or JUDGED_SAMPLE
    return draws.beta(share * sample, (1 - share) * sample, weeks)


def test_odd_number_of_a_type_in_a_week_scatters() -> None:
    """One vehicle a week, half of each type: the week's hours are those of one or the other."""

    def change(tables: Tables) -> None:
        tables["campaigns"] = []
        tables["operations"] = [
            dict(tables["operations"][0], standard_hours="30", type_id="solo"),
            dict(tables["operations"][0], operation_id="st-2", standard_hours="50", type_id="long"),
        ]

    works = small_works(change)
    found = week_hours(works, problem_of(works, programme(0.2, SOLO_AND_LONG)))["strip", "fitter"]
    assert found.mean == pytest.approx(40)
    # Two types take turns: sd of 30 and 50 with equal chance is 10.
    assert found.sd == pytest.approx(10)


def test_campaigns_count_with_their_heaviest_day() -> None:
    """Of three campaigns two overlap: those count, not all three."""
    works = small_works()
    problem = problem_of(works, programme(0.2, SOLO_AND_LONG))
    first = date(2026, 4, 1)

    def campaign(name: str, starts: int, ends: int, hours: float) -> Campaign:
        return Campaign(
            name, name, "solo", "fitout", "elec", hours, first + timedelta(starts),
            first + timedelta(ends),
        )  # fmt: skip

    three = [campaign("a", 0, 30, 5), campaign("b", 20, 60, 7), campaign("c", 50, 90, 4)]
    running = running_most(three, problem, first, first + timedelta(200))
    assert [one.campaign_id for one in running] == ["a", "b"]
    assert running_most(three, problem, first - timedelta(9), first - timedelta(1)) == []


def test_campaign_hours_are_part_of_the_week_and_named() -> None:
    """0.5 solo a week x 9 h of new doors is 4.5 h of the electricians' week."""
    found = line(small_works(), programme(0.2, SOLO_AND_LONG))
    load = next(one for one in found.trades if one.trade_id == "elec")
    assert load.campaign_hours == pytest.approx(4.5)
    assert "campaigns" in load.reason


def test_work_without_people_and_people_without_work_are_named() -> None:
    """Painters struck off the roll; a second crew with nothing to do."""

    def change(tables: Tables) -> None:
        tables["people"] = [row for row in tables["people"] if row["shop_id"] != "paint"]
        tables["people"].append(dict(tables["people"][0], shop_id="test", trade_id="elec"))

    found = line(small_works(change), programme(0.2))
    loads = {(one.shop_id, one.trade_id): one for one in found.trades}
    nobody, idle = loads["paint", "paint"], loads["test", "elec"]
    assert nobody.gear is Gear.HOLDS_UP
    assert nobody.short_chance == 1
    assert "there is nobody" in nobody.reason
    assert idle.gear is Gear.RUNS_AHEAD
    assert "no work" in idle.reason


def test_hours_shown_below_need_make_a_trade_tight() -> None:
    """Attendance would do, the records show less than the week asks: tight, and said."""

    def change(tables: Tables) -> None:
        tables["people"][1]["shown_hours_a_week"] = "40"

    found = line(small_works(change), programme(0.2))
    load = next(one for one in found.trades if one.trade_id == "body")
    assert load.gear is Gear.TIGHT
    assert "records show 40 h" in load.reason
