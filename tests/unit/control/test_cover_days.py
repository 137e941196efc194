"""The float on the days ahead: its law against scipy's, and sums that must agree."""

from datetime import datetime

import numpy as np
import pytest
from scipy import stats

from control_case import look
from pacewright.control.cover import chances_back, net_demand
from pacewright.control.cover_days import cover_days
from pacewright.control.demand import Demand
from paper_ground import MONDAY, told


@pytest.mark.parametrize("a_day", [0.05, 0.4, 2.0])
def test_the_range_is_that_of_the_whole_law(a_day: float) -> None:
    """Mean, range and chance are those of a sum of yes-or-no counts and a Poisson, by scipy.

    The yes-or-no counts are convolved one by one here (definition of a sum of independent counts);
    the product works on transforms.
    """
    case = told()
    case.day(MONDAY)
    seen, _, pools = look(case.works, case.now, datetime(2026, 3, 11, 9, 0))
    pool = pools["motor"]
    made = cover_days(seen, pool, Demand({"motor": a_day}, None, "told"), days=25)
    ahead = np.arange(1.0, 26)
    missing = 1 - chances_back(pool, seen.now_day, ahead)
    net = np.maximum(net_demand(pool, a_day, ahead), 0.0)
    stock = pool.serviceable + missing.shape[1]
    for row, one in enumerate(made):
        law = np.ones(1)
        for chance in missing[row]:
            law = np.convolve(law, [1 - chance, chance])
        wide = np.convolve(law, stats.poisson.pmf(np.arange(400), net[row]))
        total = np.cumsum(wide)
        assert one.expected == pytest.approx(stock - missing[row].sum() - net[row])
        assert one.low == stock - int(np.argmax(total >= 0.95 - 1e-12))
        assert one.high == stock - int(np.argmax(total >= 0.05 - 1e-12))
        assert one.chance_out == pytest.approx(1 - total[stock], abs=1e-9)


def test_without_demand_the_float_only_grows() -> None:
    """Nothing wanted: what is away comes back, and nothing runs out."""
    case = told()
    seen, _, pools = look(case.works, case.now, datetime(2026, 3, 11, 9, 0))
    made = cover_days(seen, pools["motor"], Demand({}, None, "told"))
    expected = [one.expected for one in made]
    assert expected == sorted(expected)
    assert all(one.chance_out < 1e-9 for one in made)
    assert all(one.low <= one.high for one in made)
