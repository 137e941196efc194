"""The shortage list, by hand."""

from datetime import datetime

import numpy as np
import pytest
from scipy import integrate, stats

from control_case import Case, days
from pacewright.control.pool import IN_REPAIR, IN_STORE, ON_ORDER
from pacewright.control.returns import Returns
from pacewright.control.shortages import Shortage, shortages
from pacewright.control.turn_left import TurnTime, turn_times
from pacewright.events.things import Piece, Unit, Verdict
from pacewright.events.units import Issued, Quarantined, Reconditioned, Scrapped, UnitFound
from small_works import small_works

MONDAY = datetime(2026, 3, 9, 7, 0)
V = np.log1p((2 / 9) ** 2)
LAW = stats.lognorm(s=V**0.5, scale=9 / np.exp(V / 2))
"""The lognormal law of the motor's turn: mean 9, standard deviation 2 days, by scipy."""


def in_fitout(case: Case, number: str, position: int) -> Piece:
    """A vehicle stands in the fit-out."""
    whole = case.married(number)
    case.passes(whole, "marry")
    case.put(whole, "fitout", position)
    return whole


def short(case: Case, now: datetime | None = None, look_days: float = 10) -> tuple[Shortage, ...]:
    """The shortage list of motors."""
    seen, wanted, pool = case.seen(now)
    return tuple(s for s in shortages(seen, wanted, pool, look_days) if s.unit_kind_id == "motor")


@pytest.mark.parametrize("spent", [0.0, 3.0, 9.0, 14.0])
def test_time_left_is_that_of_the_law(spent: float) -> None:
    """E(T - t | T > t) of a lognormal law of mean 9 and sd 2 by scipy 1.x quadrature."""
    law = LAW
    beyond, _ = integrate.quad(law.sf, spent, 80)
    turn = TurnTime(9, 2)
    at = np.array([spent])
    assert turn.days_left(at)[0] == pytest.approx(beyond / law.sf(spent), rel=1e-5)
    chance = 1 - law.sf(spent + 2) / law.sf(spent)
    assert turn.chances_within(at, np.array([2.0]))[0] == pytest.approx(chance, abs=1e-6)


def test_time_left_of_a_constant_turn_runs_down() -> None:
    """Nine days without spread: five are left after four, none after twenty."""
    turn = TurnTime(9, 0)
    assert list(turn.days_left(np.array([0, 4, 20]))) == [9, 5, 0]
    chances = turn.chances_within(np.array([4.0]), np.array([4.0, 5.0, -1.0]))
    assert list(chances) == [0, 1, 0]


def test_an_overdue_unit_keeps_the_time_left_of_the_last_age_the_law_speaks_of() -> None:
    """Past its 1 in 10,000 a unit is overdue, and its time left is that at that age."""
    turn = TurnTime(9, 2)
    assert turn.overdue_days == pytest.approx(
        stats.lognorm(s=0.2195, scale=8.7858).isf(1e-4), rel=1e-3
    )
    late, last = turn.days_left(np.array([400.0, turn.overdue_days]))
    assert late == last > 0


def test_real_turn_times_stand_before_the_table() -> None:
    """A kind seen in the record turns as seen there, and says so; an unseen one as the table."""
    turns = turn_times(small_works(), {"motor": (12.0, 3.0, 40), "axle": (5.0, 1.0, 0)})
    assert (turns["motor"].mean_days, turns["motor"].source) == (12.0, "record")
    assert (turns["axle"].mean_days, turns["axle"].source) == (6.0, "unit_kinds table")


def test_a_unit_in_store_leaves_nothing_short() -> None:
    """The motor owed in the fit-out is there."""
    case = Case()
    whole = in_fitout(case, "11", 1)
    case.off(whole, "motor", "M-1")
    case.in_store("motor", "M-9")
    assert short(case) == ()


def test_the_unit_in_repair_comes_late() -> None:
    """The only motor came off just now: late by the median of its turn, from its own shop."""
    case = Case()
    whole = in_fitout(case, "11", 1)
    case.off(whole, "motor", "M-1")
    (one,) = short(case)
    median = LAW.median()
    assert one.days_late == pytest.approx(median, abs=0.01)
    assert one.vehicle_days == pytest.approx(median, abs=0.01)
    assert (one.source, one.serial, one.owner) == (IN_REPAIR, "M-1", "elec")
    assert (one.behind, one.units, one.vehicle_id) == (0, 1, "11")
    assert (one.serviceable, one.unserviceable, one.quarantine, one.issued) == (0, 1, 0, 0)
    assert one.turn_source == "unit_kinds table"
    assert one.chance == pytest.approx(0, abs=1e-6)


def test_first_needs_take_first_units() -> None:
    """One motor in store goes to the vehicle in the fit-out, not to the one that comes to it."""
    case = Case()
    whole = in_fitout(case, "11", 1)
    later = case.married("12")
    case.off(later, "motor", "M-2")
    case.off(whole, "motor", "M-1")
    case.in_store("motor", "M-9")
    (one,) = short(case)
    assert one.vehicle_id == "12"
    assert one.serial == "M-2", "the first to come off is the first expected back"


def test_issued_units_are_for_one_vehicle_and_no_other() -> None:
    """A motor given out for vehicle 12 does not serve vehicle 11."""
    case = Case()
    whole = in_fitout(case, "11", 1)
    later = case.married("12")
    case.off(later, "motor", "M-2")
    case.off(whole, "motor", "M-1")
    case.in_store("motor", "M-9")
    case.tell(Issued, Unit("motor", "M-9"), later)
    (one,) = short(case)
    assert (one.vehicle_id, one.issued, one.serviceable) == ("11", 1, 0)


def test_vehicles_behind_are_counted_by_what_they_wait() -> None:
    """One stands 9 days in one of two positions; one comes in a day and waits half of eight."""
    case = Case()
    whole = in_fitout(case, "11", 1)
    behind = case.married("12")
    case.put(behind, "marry")
    case.off(whole, "motor", "M-1")
    seen, _, _ = case.seen()
    begin = next(one.begins for one in seen.vehicles["12"].coming if one.stage_id == "fitout")
    rows = short(case)
    first = next(one for one in rows if one.vehicle_id == "11")
    waits = first.expected_day - begin if first.expected_day else 0
    assert first.behind == 1
    assert first.vehicle_days == pytest.approx(first.days_late + waits / 2)


def test_what_is_set_aside_or_condemned_is_not_expected() -> None:
    """Of three motors off, one is in quarantine, one found to be scrapped, one scrapped."""
    case = Case()
    whole = in_fitout(case, "11", 1)
    case.off(whole, "motor", "M-1", "M-2", "M-3")
    case.tell(Quarantined, Unit("motor", "M-1"), "frame cracked?")
    case.tell(UnitFound, Unit("motor", "M-2"), "shaft", Verdict.SCRAP)
    case.tell(Scrapped, Unit("motor", "M-3"))
    seen, wanted, pool = case.seen()
    motor = pool["motor"]
    assert (motor.quarantine, motor.unserviceable, motor.condemned) == (1, 1, 1)
    assert [one.source for one in motor.coming] == [ON_ORDER]
    assert seen.days_from_now(motor.coming[0].day) == pytest.approx(60, abs=0.01)
    (row,) = (s for s in shortages(seen, wanted, pool) if s.unit_kind_id == "motor")
    assert row.source == "none in sight"
    assert row.expected_day is None
    assert row.units == 3
    assert row.days_late == pytest.approx(10), "to the end of the look ahead"


def test_a_reconditioned_unit_is_in_store() -> None:
    """Made good, a unit can be had at once."""
    case = Case()
    whole = in_fitout(case, "11", 1)
    case.off(whole, "motor", "M-1")
    case.tell(Reconditioned, Unit("motor", "M-1"), "elec")
    assert [one.source for one in case.seen()[2]["motor"].coming] == [IN_STORE]
    assert short(case) == ()


def test_only_those_due_within_the_look_ahead_are_listed() -> None:
    """A vehicle 12 days from its fit-out is not listed when looking 10 days ahead."""
    case = Case()
    whole = case.let_in_type("11")
    case.day(MONDAY)
    case.put(whole, "strip")
    case.off(whole, "motor", "M-1")
    seen, wanted, pool = case.seen()
    fitout = next(one.begins for one in seen.vehicles["11"].coming if one.stage_id == "fitout")
    away = seen.days_from_now(fitout)
    case.tell(Scrapped, Unit("motor", "M-1"))
    assert short(case, look_days=away - 0.5) == ()
    assert len(short(case, look_days=away + 0.5)) == 1
    assert wanted
    assert pool


def test_what_must_be_changed_is_listed_when_short() -> None:
    """Valves are must-change: not one in store, so they are short and said to be must-change."""
    case = Case()
    in_fitout(case, "11", 1)
    seen, wanted, pool = case.seen(MONDAY + days(1))
    rows = [one for one in shortages(seen, wanted, pool) if one.unit_kind_id == "valve"]
    assert [(one.units, one.must_change) for one in rows] == [(4, True)]


def test_the_dearest_stands_first() -> None:
    """Ranks run from 1 on, by vehicle-days falling."""
    case = Case()
    for number, position in (("11", 1), ("12", 2)):
        whole = in_fitout(case, number, position)
        case.off(whole, "motor", f"M-{number}")
    seen, wanted, pool = case.seen()
    rows = shortages(seen, wanted, pool)
    assert [one.rank for one in rows] == list(range(1, len(rows) + 1))
    costs = [one.vehicle_days for one in rows]
    assert costs == sorted(costs, reverse=True)
    assert len(rows) == 4, "motor and valves of two vehicles"


def test_of_many_away_the_first_is_back_before_any_is_expected() -> None:
    """Forty motors off at once: mean day of the k-th back in 20,000 trials, within a tenth."""
    rng = np.random.default_rng(5)
    trials = np.sort(LAW.rvs(size=(20_000, 40), random_state=rng), axis=1)
    returns = Returns(TurnTime(9, 2), np.zeros(40), np.ones(40))
    wanted = np.arange(40) + 0.5
    found = returns.days_until(wanted)
    means = trials.mean(axis=0)
    assert np.abs(found[2:-2] - means[2:-2]).max() < 0.1
    assert found[0] < 6, "though each of them is expected in 9 days"
    assert TurnTime(9, 2).days_left(np.zeros(1))[0] == pytest.approx(9)


def test_chance_of_so_many_back_is_that_of_trials() -> None:
    """Of 12 away for 0 to 11 days, five back within 4 days: against 100,000 seeded trials."""
    spent = np.arange(12.0)
    returns = Returns(TurnTime(9, 2), spent, np.ones(12))
    rng = np.random.default_rng(6)
    draws = LAW.isf(LAW.sf(spent)[None, :] * rng.random((100_000, 12))) - spent
    for within in (2.0, 4.0, 6.0):
        back = (draws <= within).sum(axis=1)
        for units in (1, 5, 8):
            (chance,) = returns.chances(np.array([float(units)]), np.array([within]))
            assert chance == pytest.approx((back >= units).mean(), abs=0.03)
