"""The float list of a whole works, and the judge that must accept it and refuse what is altered."""

from dataclasses import replace

import pytest

from made_plan import made_plan
from pacewright.floats.checks import check_floats
from pacewright.floats.solve import float_list
from pacewright.parts.tables import Fit, FloatHeld
from pacewright.plans.card import ResultCard
from pacewright.plans.floatlist import FloatList
from pacewright.plans.line import Line, TypeTurn, UnitSlack
from pacewright.works import Works
from small_works import small_works

CARD = ResultCard("given", "closed form", 0.0, 0.0, 0.0, "", 0.0)
PLACES = {"motor": (2.0, 7.0), "axle": (3.0, 4.5), "valve": (2.0, 7.0)}


def given_line(works: Works, takt_days: float = 1.25, later: float = 0.0) -> Line:
    """A line of two types, 60 and 40 %, with offsets stated; ``later`` moves every need."""
    units = tuple(
        UnitSlack(fit.type_id, fit.unit_kind_id, off, on + later, on + later - off, 0.0, 0.0)
        for fit in works.fits
        for off, on in (PLACES[fit.unit_kind_id],)
    )
    turns = tuple(TypeTurn(t, share, 15, 15, 15, 12) for t, share in (("solo", 0.6), ("long", 0.4)))
    pace = 1 / takt_days
    return Line(
        CARD, pace, 5 * pace, takt_days, 8 * takt_days, 12, turns, (), (), (), (), units, "", 4.0
    )


@pytest.fixture(scope="module")
def works() -> Works:
    """The small works of the tests: motors, axles and valves."""
    return small_works()


@pytest.fixture(scope="module")
def floats(works: Works) -> FloatList:
    """Its float list at four vehicles a week."""
    return float_list(works, given_line(works))


def with_kind(works: Works, kind_id: str, **changed: object) -> Works:
    """The works with one unit kind altered."""
    kinds = tuple(
        replace(kind, **changed) if kind.unit_kind_id == kind_id else kind
        for kind in works.unit_kinds
    )
    return replace(works, unit_kinds=kinds)


def one(floats: FloatList, kind_id: str):
    return next(line for line in floats.lines if line.unit_kind_id == kind_id)


def test_the_judge_accepts_the_list(works: Works, floats: FloatList) -> None:
    """Every kind is there, the target is reached, the card says it is proven."""
    assert check_floats(works, given_line(works), floats) == ()
    assert [line.unit_kind_id for line in floats.lines] == ["motor", "axle", "valve"]
    assert floats.ready_needed >= floats.target == 0.95
    assert floats.card.status == "optimal"
    assert floats.cost_buy <= floats.cost_short


def test_the_judge_accepts_a_full_sized_list() -> None:
    """Forty kinds and two types that differ."""
    plan, works = made_plan()
    assert check_floats(works, plan.line, float_list(works, plan.line)) == ()


def test_demand_is_that_of_the_pace(works: Works, floats: FloatList) -> None:
    """Arithmetic: four vehicles a week; 0.6 x 1 + 0.4 x 2 axles, nine in ten removed."""
    axle = one(floats, "axle")
    assert axle.per_vehicle == pytest.approx(1.4)
    assert axle.removed_a_week == pytest.approx(4 * 1.4 * 0.9)
    assert axle.takt_worth_units == pytest.approx(1.4 * 0.9)
    assert one(floats, "valve").removed_a_week == pytest.approx(4 * (0.6 * 4 + 0.4 * 6))


def test_bought_a_year_is_scrap_at_the_pace(works: Works, floats: FloatList) -> None:
    """Removed a week x scrap share x weeks worked a year (about 50 with holidays and shutdown)."""
    motor = one(floats, "motor")
    weeks = motor.bought_a_year / (motor.removed_a_week * 0.02)
    assert 48 < weeks < 52.2
    assert 0 < motor.purchase_stock <= motor.needed


def test_one_takt_of_offset_is_worth_the_units_of_a_vehicle(works: Works) -> None:
    """All removed and none scrapped: one takt more is exactly q units more."""
    plain = with_kind(works, "motor", scrap_share=0.0)
    motor = one(float_list(plain, given_line(plain)), "motor")
    assert motor.takt_worth_units == 1.0
    assert motor.ready_one_takt == pytest.approx(motor.ready_one_more, abs=1e-9)
    later = one(float_list(plain, given_line(plain, later=1.25)), "motor")
    assert later.ready_held == pytest.approx(motor.ready_one_takt, abs=1e-9)


def test_late_by_some_days_is_readiness_at_a_longer_offset(works: Works, floats: FloatList) -> None:
    """Late by more than d days = not ready when every need came d days later."""
    for days in (2.0, 5.0):
        later = float_list(works, given_line(works, later=days))
        for kind_id in ("motor", "axle"):
            chance = one(floats, kind_id).late_chance[int(days)]
            assert chance == pytest.approx(1 - one(later, kind_id).ready_held, abs=1e-6)


def test_a_shop_slower_than_the_pace_is_named_with_its_remedy(works: Works) -> None:
    """Load above 1: no float can cure it; the others are still set."""
    slow = with_kind(works, "motor", benches=1, bench_hours=14.0)
    line = given_line(slow)
    floats = float_list(slow, line)
    motor = one(floats, "motor")
    assert floats.card.status == "impossible"
    assert (floats.ready_needed, motor.ready_needed, motor.short) == (0.0, 0.0, 0)
    assert motor.shop_use_share == pytest.approx(0.8 * 0.98 * 14 / 8)
    assert "no float can cure it" in motor.note
    assert "2 benches" in motor.note
    assert any("motor" in note for note in floats.notes)
    assert one(floats, "axle").ready_needed > 0.95
    assert check_floats(slow, line, floats) == ()


def test_a_loaded_shop_sets_its_own_turn(works: Works) -> None:
    """Above 70 % the queue counts: the same mean turn, but some vehicles wait far longer."""
    calm = with_kind(works, "motor", benches=None, scrap_share=0.0)
    loaded = with_kind(works, "motor", benches=1, bench_hours=9.2, scrap_share=0.0)
    line = given_line(works)
    before, after = one(float_list(calm, line), "motor"), one(float_list(loaded, line), "motor")
    assert "loaded shop" in after.law
    assert after.shop_use_share == pytest.approx(0.92)
    assert after.turn_days >= 9.0 - 1e-9
    assert after.late_chance[8] > 10 * before.late_chance[8]
    assert check_floats(loaded, line, float_list(loaded, line)) == ()


def test_kinds_without_a_price_stand_at_the_middle_price(works: Works) -> None:
    """A blank price must not fill the store for nothing."""
    unpriced = with_kind(works, "valve", unit_cost=0.0)
    floats = float_list(unpriced, given_line(unpriced))
    assert one(floats, "valve").cost_short == 0.0
    assert any("1 unit kinds have no price" in note for note in floats.notes)
    assert check_floats(unpriced, given_line(unpriced), floats) == ()


def test_a_kind_no_type_of_the_mix_carries_is_left_out(works: Works) -> None:
    """Nothing comes off, so nothing is needed."""
    fits = (*(fit for fit in works.fits if fit.unit_kind_id != "axle"), Fit("axle", "ghost", 1))
    other = replace(works, fits=fits)
    floats = float_list(other, given_line(works))
    assert [line.unit_kind_id for line in floats.lines] == ["motor", "valve"]


def test_surplus_counts_when_buying(works: Works, floats: FloatList) -> None:
    """Plenty of valves held: fewer motors or axles may do; never dearer than topping up."""
    rich = replace(works, floats=(*works.floats[:2], FloatHeld("valve", 60, 0)))
    found = float_list(rich, given_line(rich))
    assert found.cost_buy <= found.cost_short + 1e-9
    assert one(found, "valve").buy == 0
    assert found.ready_bought >= found.target - 1e-9


MUTATIONS = {
    "needed": lambda line: replace(line, needed=line.needed - 1),
    "held": lambda line: replace(line, held=line.held + 1),
    "short": lambda line: replace(line, short=line.short + 1),
    "cost_short": lambda line: replace(line, cost_short=line.cost_short + 5),
    "removed": lambda line: replace(line, removed_a_week=line.removed_a_week * 1.1),
    "offset": lambda line: replace(line, offset_days=line.offset_days + 1),
    "ready_held": lambda line: replace(line, ready_held=line.ready_held + 0.01),
    "ready_held_by_type": lambda line: replace(
        line, ready_held_by_type=tuple(x - 0.01 for x in line.ready_held_by_type)
    ),
    "ready_needed_by_type": lambda line: replace(
        line, ready_needed_by_type=tuple(x - 0.01 for x in line.ready_needed_by_type)
    ),
    "late": lambda line: replace(line, late_chance=line.late_chance[::-1]),
    "chance above 1": lambda line: replace(line, ready_one_more=1.2),
    "takt worth": lambda line: replace(line, takt_worth_units=line.takt_worth_units + 1),
    "quarantine": lambda line: replace(line, quarantine=line.quarantine + 1),
    "price": lambda line: replace(line, unit_cost=line.unit_cost + 1),
    "types": lambda line: replace(line, types=line.types[:1]),
    "buy": lambda line: replace(line, buy=-1),
}


@pytest.mark.parametrize("name", list(MUTATIONS))
@pytest.mark.parametrize("place", [0, 1])
def test_the_judge_refuses_an_altered_line(
    works: Works, floats: FloatList, name: str, place: int
) -> None:
    """Each figure of a line is looked at."""
    lines = list(floats.lines)
    lines[place] = MUTATIONS[name](lines[place])
    assert check_floats(works, given_line(works), replace(floats, lines=tuple(lines)))


WHOLE = {
    "a line missing": lambda f: replace(f, lines=f.lines[1:]),
    "order": lambda f: replace(f, lines=f.lines[::-1]),
    "target": lambda f: replace(f, target=0.9),
    "ready_needed": lambda f: replace(f, ready_needed=f.ready_needed + 0.01),
    "ready_held": lambda f: replace(f, ready_held=f.ready_held + 0.01),
    "ready_bought": lambda f: replace(f, ready_bought=0.5),
    "cost_short": lambda f: replace(f, cost_short=f.cost_short + 1),
    "cost_buy": lambda f: replace(f, cost_buy=f.cost_buy + 1),
    "bound": lambda f: replace(f, card=replace(f.card, bound=f.card.objective + 10)),
    "gap": lambda f: replace(f, card=replace(f.card, bound=f.card.objective - 50)),
    "objective": lambda f: replace(f, card=replace(f.card, objective=1.0, bound=1.0)),
    "status": lambda f: replace(f, card=replace(f.card, status="impossible")),
    "curve": lambda f: replace(f, curve=f.curve[::-1]),
}


@pytest.mark.parametrize("name", list(WHOLE))
def test_the_judge_refuses_an_altered_list(works: Works, floats: FloatList, name: str) -> None:
    """Each figure of the list is looked at."""
    assert check_floats(works, given_line(works), WHOLE[name](floats))


def test_the_judge_refuses_a_unit_too_many(works: Works) -> None:
    """Consistent in every sum, but dearer than need be."""
    line = given_line(works)
    best = float_list(works, line)
    richer = replace(works.settings.plan, readiness_target=0.999)
    rich = replace(works, settings=replace(works.settings, plan=richer))
    lavish = replace(float_list(rich, line), target=best.target)
    assert any("one unit fewer" in fault for fault in check_floats(works, line, lavish))
