"""Float cover: days, day of running out, and the chance, against scipy and chance itself."""

from datetime import datetime
from math import inf

import numpy as np
import pytest
from scipy import stats

from control_case import Case
from events_story import Story
from pacewright.control.cover import CHANCE_DAYS, Cover, FloatCover, covers
from pacewright.control.demand import NEEDS, PACE, Demand, demand
from pacewright.control.pool import IN_REPAIR, Coming, Pool
from pacewright.control.turn_left import TurnTime
from pacewright.events.things import Condition, Unit
from pacewright.events.units import UnitEntered
from pacewright.works import Works
from small_works import SETTINGS, small_works

MONDAY = datetime(2026, 3, 9, 7, 0)


def cover_of(pool: Pool, a_day: float) -> FloatCover:
    """The cover of one pool at a demand."""
    case = Case()
    seen, _, _ = case.seen(MONDAY)
    moved = [
        Coming(one.unit, one.source, one.day + seen.now_day, one.spent_days) for one in pool.coming
    ]
    pool.coming[:] = moved
    (found,) = covers(seen, {"motor": pool}, Demand({"motor": a_day}, 1.0, "test"))
    return found


def motor_pool(works: Works, serviceable: int, spent: list[float], turn: TurnTime) -> Pool:
    """A pool of motors: some in store, some in repair for so long; days from now."""
    kind = next(one for one in works.unit_kinds if one.unit_kind_id == "motor")
    pool = Pool(kind, turn, serviceable=serviceable, unserviceable=len(spent))
    pool.coming = [Coming(Unit("motor", f"S-{n}"), "in store", 0.0) for n in range(serviceable)]
    left = turn.days_left(np.array(spent))
    pool.coming += [
        Coming(Unit("motor", f"R-{n}"), IN_REPAIR, float(left[n]), days)
        for n, days in enumerate(spent)
    ]
    return pool


def test_with_nothing_coming_back_the_chance_is_poisson() -> None:
    """Turns of 200 days: out within 10 days of demand 0.4 with 6 in store: scipy's P(D > 6)."""
    pool = motor_pool(small_works(), 6, [], TurnTime(200, 20))
    found = cover_of(pool, 0.4)
    assert found.chance_out == pytest.approx(stats.poisson(4).sf(6), abs=1e-6)
    assert found.cover_days == pytest.approx(15)
    assert found.word is Cover.TIGHT


def test_chance_with_returns_is_that_of_many_trials() -> None:
    """Two in store, five in repair: greatest daily chance against 200,000 seeded trials."""
    spent = [2.0, 4.0, 5.0, 7.0, 9.0]
    turn = TurnTime(9, 2)
    works = small_works()
    found = cover_of(motor_pool(works, 2, spent, turn), 0.5)
    rng, trials = np.random.default_rng(11), 200_000
    v = np.log1p((2 / 9) ** 2)
    law = stats.lognorm(s=v**0.5, scale=9 / np.exp(v / 2))
    left = np.empty((trials, len(spent)))
    for n, days in enumerate(spent):
        left[:, n] = law.isf(law.sf(days) * rng.random(trials)) - days
    kept = rng.random(left.shape) >= 0.02
    chances = []
    for day in range(1, CHANCE_DAYS + 1):
        off = law.expect(lambda t, day=day: max(0.0, day - t))
        wanted = rng.poisson(0.5 * day - 0.5 * 0.98 * off, trials)
        back = ((left <= day) & kept).sum(axis=1)
        chances.append(np.mean(wanted - back > 2))
    assert found.chance_out == pytest.approx(max(chances), abs=0.004)


def test_the_day_it_runs_out_counts_what_comes_back() -> None:
    """One a day wanted, 3 in store, 4 back on day 2 for sure: gone after 7, short on day 8."""
    turn = TurnTime(20, 0)
    pool = motor_pool(small_works(), 3, [18.0] * 4, turn)
    case = Case()
    seen, _, _ = case.seen(MONDAY)
    found = cover_of(pool, 1.0)
    assert found.runs_out_day is not None
    scrap = 0.02 * 4
    assert found.runs_out_day - seen.now_day == pytest.approx(np.floor(7 - scrap) + 1)
    assert found.word is Cover.RUNS_OUT


def test_a_float_in_balance_does_not_run_out() -> None:
    """Demand 0.1 a day, turn 9 days, 4 in store and one in repair: not in sight."""
    found = cover_of(motor_pool(small_works(), 4, [3.0], TurnTime(9, 2)), 0.1)
    assert found.runs_out_day is None
    assert found.word is Cover.COVERED


def test_words_for_empty_and_unasked_floats() -> None:
    """None left is said even when one comes tomorrow; without demand cover has no end."""
    assert cover_of(motor_pool(small_works(), 0, [9.0], TurnTime(9, 2)), 0.1).word is Cover.OUT
    unasked = cover_of(motor_pool(small_works(), 1, [], TurnTime(9, 2)), 0.0)
    assert (unasked.word, unasked.cover_days) == (Cover.NO_DEMAND, inf)


def test_the_first_to_run_out_stands_first() -> None:
    """An axle float that is out stands before a covered motor float."""
    case = Case()
    for n in range(9):
        case.tell(UnitEntered, Unit("motor", f"M-{n}"), Condition.SERVICEABLE, "store")
    seen, _, pool = case.seen(MONDAY)
    asked = Demand({"motor": 0.1, "axle": 0.2, "valve": 0.0}, 1.0, "test")
    assert [one.unit_kind_id for one in covers(seen, pool, asked)][:1] == ["axle"]


def test_demand_from_the_pace_of_the_settings() -> None:
    """One a week: 5 of 9 running vehicles are solo at 1/48 months, 4 long at 1/36 (by hand)."""
    works = small_works()
    found = demand(works, MONDAY.date(), (), 10.0)
    solo, long = 5 / 48, 4 / 36
    share = long / (solo + long)
    assert found.source == PACE
    assert found.vehicles_a_day == pytest.approx(0.2)
    assert found.a_day["axle"] == pytest.approx(0.2 * 0.9 * (1 - share + 2 * share))
    site = 0.5 / 5
    assert found.a_day["valve"] == pytest.approx(0.2 * (4 * (1 - share) + 6 * share) + site)


def test_demand_without_pace_is_that_of_the_vehicles_inside() -> None:
    """Without a pace in works.toml the needs of those inside are spread over the days."""
    settings = SETTINGS.split("[[plan.pace]]", maxsplit=1)[0]
    case = Case(small_works(settings_toml=settings))
    case.let_in_type("11")
    _, wanted, _ = case.seen(MONDAY)
    found = demand(case.works, MONDAY.date(), wanted, 10.0)
    assert found.source == NEEDS
    assert found.vehicles_a_day is None
    assert found.a_day["motor"] == pytest.approx(0.1)
    assert isinstance(case, Story)
