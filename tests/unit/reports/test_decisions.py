"""What needs a decision: found, weighed and ranked."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from scipy import integrate, stats

from made_plan import made_plan
from pacewright.plans.line import Gear, TradeLoad
from pacewright.plans.plan import Plan
from pacewright.reports.decision import WEIGHED_IN, Decision, Urgency
from pacewright.reports.decisions import decisions
from pacewright.reports.float_decisions import mean_late_days
from pacewright.reports.line_decisions import short_share
from pacewright.works import Works


def of(plan: Plan, works: Works, kind: str, urgency: Urgency | None = None) -> list[Decision]:
    """The decisions of one kind."""
    return [d for d in decisions(plan, works) if d.kind == kind and urgency in (None, d.urgency)]


def quiet() -> tuple[Plan, Works]:
    """The invented plan with everything in order: nothing is left to decide."""
    plan, works = made_plan()
    programme = replace(
        plan.programme,
        calls=tuple(replace(c, chance_past_limit=0.0) for c in plan.programme.calls),
        unplaced=(),
        reliefs=(),
        depot_weeks=tuple(replace(d, away=0) for d in plan.programme.depot_weeks),
    )
    line = replace(
        plan.line,
        stages=tuple(replace(s, gear=Gear.GEARED) for s in plan.line.stages),
        trades=tuple(replace(t, gear=Gear.GEARED) for t in plan.line.trades),
        plant=tuple(replace(p, gear=Gear.GEARED) for p in plan.line.plant),
        turns=tuple(replace(t, expected_days=t.promised_days) for t in plan.line.turns),
    )
    floats = replace(
        plan.floats, lines=tuple(replace(one, short=0, buy=0) for one in plan.floats.lines)
    )
    windows = tuple(w for w in plan.windows if w.standing == "due" and not w.note)
    vehicles = tuple(
        replace(v, licence_expiry=None, state="running", gate_in=None) for v in works.vehicles
    )
    works = replace(works, vehicles=vehicles, campaigns=())
    return replace(plan, programme=programme, line=line, floats=floats, windows=windows), works


def test_nothing_to_decide_when_all_is_in_order() -> None:
    """A plan without a fault raises no decision; each of the other tests adds one fault."""
    assert decisions(*quiet()) == ()


def test_ranked_by_consequence_then_weight() -> None:
    """Ranks run from 1 without gap, gravest consequence first, heaviest first within it."""
    found = decisions(*made_plan())
    assert [d.rank for d in found] == list(range(1, len(found) + 1))
    keys = [(list(Urgency).index(d.urgency), -d.weight) for d in found]
    assert keys == sorted(keys)
    assert all(d.weight >= 0 and d.basis and d.remedy and d.why and d.where for d in found)
    assert {d.weight_unit for d in found} <= set(WEIGHED_IN.values())
    assert decisions(*made_plan()) == found


def test_unplaced_vehicle_is_weighed_by_its_standing_days() -> None:
    """Three vehicles without a place and a far horizon weigh one year each."""
    plan, works = quiet()
    plan = replace(
        plan, programme=replace(plan.programme, unplaced=made_plan()[0].programme.unplaced)
    )
    (one,) = of(plan, works, "vehicle")
    assert one.urgency is Urgency.STAND and one.weight == 3 * 365
    assert "3 vehicles" in one.what and "Quillmoor" in one.remedy


def test_overdue_and_late_calls_are_told_apart() -> None:
    """What was past its limit before the start is not blamed on the programme."""
    plan, works = quiet()
    calls = list(plan.programme.calls)
    start = plan.start
    calls[0] = replace(
        calls[0], day=start + timedelta(3), limit=start - timedelta(9), spare_days=-12
    )
    calls[1] = replace(
        calls[1], day=start + timedelta(9), limit=start + timedelta(5), spare_days=-4
    )
    plan = replace(plan, programme=replace(plan.programme, calls=tuple(calls)))
    new, old = sorted(of(plan, works, "vehicle"), key=lambda d: d.what, reverse=True)
    assert "already past" in new.what + old.what
    assert sorted((new.weight, old.weight)) == [3, 4]


def test_licence_that_ends_before_the_call() -> None:
    """A licence that ends ten days before the call-in costs ten days of standing."""
    plan, works = quiet()
    call = plan.programme.calls[30]
    vehicles = tuple(
        replace(v, licence_expiry=call.day - timedelta(10))
        if v.vehicle_id == call.vehicle_id
        else v
        for v in works.vehicles
    )
    stand, watch = of(plan, replace(works, vehicles=vehicles), "licence")
    assert stand.urgency is Urgency.STAND and stand.weight == 10
    assert watch.urgency is Urgency.WATCH and call.vehicle_id in watch.where


def test_near_limit_depot_unknown_and_campaign_are_watched() -> None:
    """What is only near or not known ranks below what holds vehicles up."""
    plan, works = made_plan()
    for kind in ("odometer", "depot", "campaign", "licence"):
        assert of(plan, works, kind, Urgency.WATCH), kind
    (near,) = of(plan, works, "vehicle", Urgency.WATCH)
    firm = [c for c in plan.programme.calls if c.zone == "firm" and c.chance_past_limit > 0.05]
    assert near.weight == pytest.approx(sum(c.chance_past_limit for c in firm))


def test_depot_over_its_limit_is_told_from_one_at_it() -> None:
    """A depot over its limit needs an agreement, one at its limit does not."""
    plan, works = quiet()
    rows = list(plan.programme.depot_weeks)
    rows[0] = replace(rows[0], away=rows[0].limit)
    rows[-1] = replace(rows[-1], away=rows[-1].limit + 1)
    plan = replace(plan, programme=replace(plan.programme, depot_weeks=tuple(rows)))
    said = {d.what: d.where for d in of(plan, works, "depot")}
    assert {"1 depot over the away-limit in some weeks"} < set(said)
    assert any("Quillmoor" in where for what, where in said.items() if "at the" in what)


def test_long_stay_inside_counts_working_days_past_the_promise() -> None:
    """Gate-in 28 Sep 2026, today 30 Oct: 25 working days of 20 promised, so 5 over."""
    plan, works = quiet()
    vehicles = list(works.vehicles)
    vehicles[8] = replace(vehicles[8], state="inside", gate_in=date(2026, 9, 28))
    (one,) = of(plan, replace(works, vehicles=tuple(vehicles)), "vehicle")
    assert one.weight == 5 and one.urgency is Urgency.HELD_UP


def test_stage_that_holds_up_weighs_its_growing_queue() -> None:
    """One vehicle a week too slow: 52.18 a year, waiting half a year each."""
    plan, works = quiet()
    slow = replace(plan.line.stages[0], gear=Gear.HOLDS_UP, able_a_week=plan.line.pace_a_week - 1)
    plan = replace(plan, line=replace(plan.line, stages=(slow,)))
    (one,) = of(plan, works, "stage")
    assert one.weight == pytest.approx(52.18 * 52.18 * 5 / 2)
    assert "1.00 vehicles a week" in one.why


def trade(mean: float, sd: float, able: float) -> TradeLoad:
    """A trade of which only the hours matter."""
    return replace(made_plan()[0].line.trades[0], hours_mean=mean, hours_sd=sd, hours_able=able)


@pytest.mark.parametrize(("mean", "sd", "able"), [(200, 20, 206), (200, 20, 180), (100, 5, 120)])
def test_hours_left_undone_against_numerical_integration(mean, sd, able) -> None:
    """E[(need - able)+] of a normal need, against scipy's quadrature of its survival function."""
    area, _ = integrate.quad(stats.norm(mean, sd).sf, able, mean + 12 * sd)
    assert short_share(trade(mean, sd, able)) == pytest.approx(area / mean, rel=1e-6, abs=1e-12)


def test_hours_left_undone_without_spread() -> None:
    """Without spread only the plain shortage is left; a trade with no work is never short."""
    assert short_share(trade(200, 0, 180)) == pytest.approx(0.1)
    assert short_share(trade(200, 0, 220)) == 0
    assert short_share(trade(0, 0, 0)) == 0


def test_mean_lateness_is_the_area_under_the_curve() -> None:
    """An exponential lateness curve of mean 2 days, cut fine, has mean 2 (scipy's expon)."""
    days = tuple(x / 10 for x in range(400))
    line = replace(
        made_plan()[0].floats.lines[0],
        late_days=days,
        late_chance=tuple(stats.expon(scale=2).sf(days)),
    )
    assert mean_late_days(line, 0.5) == pytest.approx(2, rel=1e-3)
    assert mean_late_days(replace(line, late_days=(), late_chance=(), ready_held=0.9), 0.5) == (
        pytest.approx(0.05)
    )


def test_short_float_names_quarantine_first() -> None:
    """Units in quarantine are cleared before new ones are bought."""
    plan, works = made_plan()
    found = of(plan, works, "unit kind")
    assert len(found) == sum(line.short > 0 for line in plan.floats.lines)
    assert any(d.remedy.startswith("Clear the 2 units in quarantine.") for d in found)


def test_names_are_data_not_markup() -> None:
    """A name with markup stays as it is here; escaping belongs to the page."""
    plan, works = made_plan()
    depot = replace(works.depots[5], name="<script>x</script>")
    works = replace(works, depots=(*works.depots[:5], depot, *works.depots[6:]))
    assert any("<script>" in d.where for d in of(plan, works, "depot"))
