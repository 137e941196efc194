"""The ramp and the taking back, against what is worked by hand."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from pacewright.office.growing import make_growth
from pacewright.office.planning import make_plan
from pacewright.pace.solve import line
from pacewright.plans.growth import Added, Step
from pacewright.simulate.bottlenecks import not_below
from pacewright.simulate.grow import Wanted
from pacewright.simulate.ramp import Month, MonthNeeds, even_ramp, ramp_table
from pacewright.simulate.trials import Stand
from pacewright.simulate.trim import Bought, Taking, bought_by, cost_each, taken_back, without
from small_works import small_works

BODY, CREW = (Added.POSITIONS, "body"), (Added.PEOPLE, "body body")


class Told:
    """Stands for runs: keeps the promise or not, as it is told."""

    replications = 10

    def __init__(self, kept: bool) -> None:
        self.kept = kept

    def keeps(self, promise: float) -> bool:
        """As told."""
        return self.kept


def taking(needed: Bought, floor: Bought | None = None) -> Taking:
    """Taking back where the promise holds if and only if all that is needed is there."""

    def run(left: Bought, full: object) -> Told:
        return Told(all(left.get(place, 0) >= many for place, many in needed.items()))

    return Taking({BODY: 30.0, CREW: 40.0}, floor or {}, run, 0.9)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "needed", [{}, {BODY: 1}, {CREW: 3}, {BODY: 2, CREW: 1}, {BODY: 5, CREW: 7}]
)
def test_just_what_is_needed_stays(needed: Bought) -> None:
    """Whatever is needed of five positions and seven people, that and no more is left."""
    left, _, failed = taking(needed).least({BODY: 5, CREW: 7}, Told(True))  # type: ignore[arg-type]
    assert left == needed
    assert set(failed) == set(needed)


def test_what_the_hours_need_is_never_taken_back() -> None:
    """Two people that the closed forms ask for stay, though the runs do without any."""
    told: Stand = Told(True)  # type: ignore[assignment]
    left, _, failed = taking({}, {CREW: 2}).least({BODY: 5, CREW: 7}, told)
    assert (left, failed) == ({CREW: 2}, {})


def test_an_overload_by_hours_has_its_floor() -> None:
    """Nobody in the body crew: so many people as its hours need, whole; at half the pace half.

    From the line's own need n: the least whole number not below n, and not below n / 2.
    """
    works = small_works()
    people = tuple(
        replace(one, people=0.0) if one.shop_id == "body" else one for one in works.people
    )
    works = replace(works, people=people)
    paced = line(works, replace(make_plan(works).programme, pace_a_day=1.6 / works.week_days))
    crew = next(one for one in paced.trades if (one.shop_id, one.trade_id) == ("body", "body"))
    assert crew.people_mean > 1
    for share in (1.0, 0.5):
        found = not_below(paced, share)[CREW]
        assert found - 1 < share * crew.people_mean <= found


def test_what_came_last_goes_first() -> None:
    """Three and two people more, four are left: one of the last two is taken back."""
    nothing = (0.5, 0.1, 9.0)
    steps = [Step(*CREW, 3, 120.0, "", *nothing), Step(*CREW, 2, 80.0, "", *nothing)]
    assert bought_by(steps) == {CREW: 5}
    assert cost_each(steps) == {CREW: 40.0}
    found = taken_back(steps, {CREW: 4})
    assert [one.taken_back for one in found] == [0, 1]
    assert [one.cost_stays for one in found] == [120.0, 40.0]
    assert without({CREW: 1, BODY: 2}, [CREW, BODY]) == {BODY: 1}


def test_months_rise_by_the_same_and_begin_on_the_first() -> None:
    """Worked by hand: from 9 to 12 over three months from 20 November, into the next year."""
    found = even_ramp(date(2026, 11, 20), 9, 12, 3)
    assert found == [
        Month(date(2026, 11, 20), 10.0),
        Month(date(2026, 12, 1), 11.0),
        Month(date(2027, 1, 1), 12.0),
    ]


def test_each_addition_has_its_first_month() -> None:
    """What is there already is not asked for again; costs add up."""
    months = even_ramp(date(2026, 1, 1), 9, 12, 3)
    bought: list[Bought] = [{}, {BODY: 1}, {BODY: 2, CREW: 1}]
    needs = [MonthNeeds(m, b, 0.95, 0.01) for m, b in zip(months, bought, strict=True)]
    found = ramp_table(needs, {BODY: 30.0, CREW: 40.0})
    assert [one.needed for one in found] == [(), ((*BODY, 1),), ((*BODY, 1), (*CREW, 1))]
    assert np.cumsum([one.cost for one in found]).tolist() == [0.0, 30.0, 100.0]
    assert [one.cost_so_far for one in found] == [0.0, 30.0, 100.0]


def test_a_works_grows_into_its_ramp() -> None:
    """Worked by hand: one body position carries 40 / 30 = 1.33 a week, so 0.8 needs nothing.

    At 1.6 a second one is needed; over two months from 0.8 the first month asks 1.2, which one
    position carries at nine tenths use with long queues: whether it needs the second is for the
    runs to say, but the last month has the whole answer.
    """
    works = small_works()
    works = replace(
        works,
        people=tuple(replace(one, people=40.0) for one in works.people),
        floats=tuple(replace(one, serviceable=30) for one in works.floats),
        stages=tuple(
            replace(one, positions=1 if one.stage_id == "body" else 5) for one in works.stages
        ),
        upsets=(),
    )
    pace = replace(works.settings.plan.pace[0], vehicles_a_week=0.4)
    plan = replace(works.settings.plan, pace=(pace,))
    works = replace(works, settings=replace(works.settings, plan=plan))
    wanted = Wanted(1.6, 25, 0.8, weeks=40, warm_up_weeks=15, replications=4, ramp_months=3)
    growth = make_growth(works, wanted)
    assert [one.pace_a_week for one in growth.ramp] == pytest.approx([0.8, 1.2, 1.6])
    assert growth.ramp[0].needed == ()
    assert growth.ramp[-1].cost_so_far == pytest.approx(growth.cost)
    assert growth.cost > 0
