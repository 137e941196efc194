"""Decisions that only the run shows: found, weighed, told beside those of the plan."""

from dataclasses import replace

import pytest

from made_forecast import made_forecast
from pacewright.plans.forecast import Cause, Forecast
from pacewright.plans.line import Gear
from pacewright.plans.plan import Plan
from pacewright.reports.decision import Decision, Urgency
from pacewright.reports.decisions import decisions
from pacewright.reports.forecast_decisions import LEAST_PART, told_by_plan
from pacewright.works import Works


def quiet() -> tuple[Plan, Works, Forecast]:
    """A plan that asks nothing of stages, trades and floats, and a run in which nothing stands."""
    plan, works, forecast = made_forecast()
    line = replace(
        plan.line,
        stages=tuple(replace(s, gear=Gear.GEARED) for s in plan.line.stages),
        trades=tuple(replace(t, gear=Gear.GEARED) for t in plan.line.trades),
        plant=(),
    )
    floats = replace(
        plan.floats, lines=tuple(replace(f, short=0, buy=0) for f in plan.floats.lines)
    )
    good = replace(
        forecast,
        holdups=(),
        figures=tuple(
            replace(e, mean=10.97, low=10.9, high=11.04) if e.key == "output_a_week" else e
            for e in forecast.figures
        ),
        turns=tuple(
            replace(t, promise_chance=replace(t.promise_chance, mean=0.95, high=0.97))
            for t in forecast.turns
            if t.promise_chance
        ),
    )
    return replace(plan, line=line, floats=floats), works, good


def added(plan: Plan, works: Works, forecast: Forecast) -> list[Decision]:
    """What the forecast adds to the decisions of the plan."""
    before = {(d.kind, d.where, d.what) for d in decisions(plan, works)}
    return [d for d in decisions(plan, works, forecast) if (d.kind, d.where, d.what) not in before]


def held(forecast: Forecast, cause: Cause, place_id: str, days: float, half: float = 5.0
         ) -> Forecast:  # fmt: skip
    """The forecast with one hold-up alone."""
    (one,) = [h for h in forecast.holdups if (h.cause, h.place_id) == (cause, place_id)]
    return replace(forecast, holdups=(replace(one, vehicle_days_a_year=days, half_width=half),))


def test_run_in_which_nothing_stands_asks_nothing() -> None:
    """Output at the pace, promises kept, no hold-up: no decision is added."""
    assert added(*quiet()) == []


def test_ranks_run_on_and_every_decision_says_its_remedy() -> None:
    """With the forecast the list is still whole: ranked, weighed, each with a remedy."""
    plan, works, forecast = made_forecast()
    found = decisions(plan, works, forecast)
    assert [d.rank for d in found] == list(range(1, len(found) + 1))
    keys = [(list(Urgency).index(d.urgency), -d.weight) for d in found]
    assert keys == sorted(keys)
    assert all(d.remedy and d.why and d.where and d.basis for d in found)
    assert decisions(plan, works, forecast) == found


def test_hold_up_the_plan_has_is_told_beside_it_and_not_twice() -> None:
    """A trade the plan calls slow keeps its one decision, which says what the run shows of it."""
    plan, works, forecast = made_forecast()
    told = told_by_plan(plan)
    found = decisions(plan, works, forecast)
    people = [d for d in found if d.kind == "run: people"]
    assert all((Cause.PEOPLE, d.place_id) not in told for d in people)
    trades = [d for d in found if d.kind == "trade" and d.urgency is Urgency.HELD_UP]
    assert trades and all("Run through: " in d.why for d in trades)
    # U05 is short by the plan: the hold-up of 412 days stands in its decision.
    (unit,) = [d for d in found if d.place_id == "U05"]
    assert unit.kind == "unit kind" and "412" in unit.why
    (none,) = [d for d in found if d.place_id == "U35" and d.kind == "unit kind"]
    assert none.why.endswith("Run through: no vehicle stands for it.")


@pytest.mark.parametrize(
    ("cause", "place", "where", "remedy"),
    [
        (Cause.PEOPLE, "body body", "Body maker, Body shop", "More people of the trade"),
        (Cause.ASSEMBLY, "two-axle chassis", "Chassis (two-axle)", "Frame repair"),
        (Cause.PART, "U18", "Air compressor, Air and brake shop", "One unit more than the"),
        (Cause.INSPECTION, "road", "Road test and rectify", "tests are not shortened"),
        (Cause.BATCH, "bake", "Bake and cool", "cure and soak times are not shortened"),
        (Cause.GATE, "", "Gate", "let more in than"),
    ],
)
def test_each_cause_has_its_own_remedy(cause: Cause, place: str, where: str, remedy: str) -> None:
    """A hold-up of 400 vehicle-days that only the run shows is one decision of that weight."""
    plan, works, good = quiet()
    bad = replace(good, holdups=held(made_forecast()[2], cause, place, 400.0).holdups)
    (one,) = added(plan, works, bad)
    assert one.urgency is Urgency.HELD_UP and one.weight == pytest.approx(400.0)
    assert where in one.where and remedy in one.remedy and "Only the run through" in one.why


def test_position_held_by_standing_work_is_not_mended_by_a_position() -> None:
    """Where pieces stand on a stage that the plan finds half used, more positions mend nothing."""
    plan, works, good = quiet()
    bad = replace(good, holdups=held(made_forecast()[2], Cause.POSITION, "prep", 300.0).holdups)
    for apart, words in ((0.3, "mend what they wait for"), (0.0, "One position more")):
        uses = tuple(
            replace(u, plan_share=u.use_share - apart) if u.place_id == "prep" else u
            for u in bad.uses
        )
        (one,) = added(plan, works, replace(bad, uses=uses))
        assert words in one.remedy


def test_people_are_lent_only_by_a_crew_of_the_trade_with_time() -> None:
    """The least used crew of the same trade in another shop is named, when it has time at all."""
    plan, works, good = quiet()
    one_up = held(made_forecast()[2], Cause.PEOPLE, "test tester", 300.0).holdups
    bad = replace(good, holdups=(replace(one_up[0], place_id="trim fitter", shop_id="trim"),))
    fitters = [u for u in bad.uses if u.place_id.endswith(" fitter") and u.shop_id != "trim"]
    least = min(fitters, key=lambda u: u.use_share)
    names = {s.shop_id: s.name for s in works.shops}
    (one,) = added(plan, works, bad)
    assert least.use_share < 0.85 and f"lent by {names[least.shop_id]}" in one.remedy
    busy = tuple(replace(u, use_share=0.97) for u in bad.uses)
    (one,) = added(plan, works, replace(bad, uses=busy))
    assert "lent" not in one.remedy
    doors = replace(bad, holdups=(replace(bad.holdups[0], place_id="trim doors"),))
    (one,) = added(plan, works, doors)
    assert "second shift" in one.remedy


def test_light_and_unsure_hold_ups_ask_nothing() -> None:
    """Below a fiftieth of all standing, or when the interval holds nought, nothing is asked."""
    plan, works, good = quiet()
    heavy = held(made_forecast()[2], Cause.PEOPLE, "body body", 1000.0).holdups[0]
    light = replace(heavy, place_id="test tester", vehicle_days_a_year=1000 * LEAST_PART * 0.9)
    unsure = replace(heavy, place_id="paint painter", half_width=1001.0)
    found = added(plan, works, replace(good, holdups=(heavy, light, unsure)))
    assert [d.where for d in found] == ["Body maker, Body shop"]


def test_output_surely_below_what_comes_in() -> None:
    """10.31 of 10.98: 0.67 a week lost, 52.18 weeks, waiting half a year of five-day weeks."""
    plan, works, forecast = made_forecast()
    (one,) = [d for d in decisions(plan, works, forecast) if d.kind == "output"]
    assert one.weight == pytest.approx((10.98 - 10.31) * 52.18 * 52.18 * 5 / 2)
    assert "10.31" in one.what and "full stage, Rub down and fill," in one.remedy
    filling = replace(forecast, start="empty", warm_up_days=0.0)
    assert not [d for d in decisions(plan, works, filling) if d.kind == "output"]
    figures = tuple(
        replace(e, high=10.9) if e.key == "output_a_week" else e for e in forecast.figures
    )
    assert not [
        d for d in decisions(plan, works, replace(forecast, figures=figures)) if d.kind == "output"
    ]


def test_promise_is_judged_by_the_run() -> None:
    """The plan's decision on a promise gives way to the chance of keeping it, weighed in days."""
    plan, works, forecast = made_forecast()
    assert [d for d in decisions(plan, works) if d.kind == "promise"]
    found = [d for d in decisions(plan, works, forecast) if d.kind == "promise"]
    assert {d.where for d in found} == {t.name for t in forecast.turns}
    turn = forecast.turns[0]
    assert turn.promised_days is not None
    over = sum(
        max(0.0, day + 0.5 - turn.promised_days) * part
        for day, part in zip(turn.histogram_from, turn.histogram_share, strict=True)
    )
    (one,) = [d for d in found if d.where == turn.name]
    assert one.weight == pytest.approx(over * turn.released_a_year)
    assert "mend the output first" in one.remedy, "no promise holds while more come in than go out"


def test_promise_names_the_days_that_enough_keep() -> None:
    """Where the works keeps its pace, the promise that would hold is named, by the share asked."""
    plan, works, good = quiet()
    target = works.settings.plan.promise_target
    turns = tuple(
        replace(t, promise_chance=replace(t.promise_chance, mean=0.6, high=target - 0.01))
        for t in good.turns
        if t.promise_chance
    )
    found = added(plan, works, replace(good, turns=turns))
    (one,) = [d for d in found if d.where == turns[0].name]
    days = turns[0].to_promise_days
    assert f"Promise {days:.1f} working days, which 90 % keep (promise_target)" in one.remedy
    asked = replace(works.settings.plan, promise_target=0.5)
    content = replace(works, settings=replace(works.settings, plan=asked))
    assert not [d for d in added(plan, content, replace(good, turns=turns)) if d.kind == "promise"]
