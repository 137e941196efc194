"""Vehicle readiness by the simulation against cases H1, H3 and H5 of float-cases.json.

A vehicle is ready when it finds the units of all kinds at once. The cases are computed outside this
project (products, an identity, an exhaustive search). Chance is fixed by seeds; with other seeds
all figures of this file together would raise a false alarm once in a hundred times (intervals of
1 - 0.01 / FIGURES by batch means: Bonferroni's bound).
"""

import numpy as np
import pytest
from scipy import stats

from float_flow import DAY, Pool, float_table, on_time
from pacewright.simulate.laws import constant
from pacewright.simulate.table import QUANTILES, Floats
from published.float_case import CASES
from queue_flow import batch_means, holds, law_of, poisson_arrivals, ran

FIGURES = 30
"""No fewer intervals than are looked at in this file."""
ALARM = 0.01 / FIGURES
SLACK = 0.003
"""Share by which whole minutes and a table of straight lines may move a figure."""
T_LIMIT = stats.t.ppf(1 - ALARM / 2, 39)
PACED = np.arange(40_000) * DAY + 5


def ready_with(share: float, offset_days: float) -> Floats:
    """A turn time over by the offset with this chance, and else within the next takt of a day.

    Without a float and at one vehicle a day a vehicle is then ready with that very chance.
    """
    wide = 0.8 * DAY
    place = int(share * (QUANTILES - 1))
    within = share * (QUANTILES - 1) - place
    points = np.full(QUANTILES, offset_days * DAY + (1 - within) * wide)
    points[: place + 1] = offset_days * DAY - within * wide
    return points


@pytest.mark.parametrize(("kinds", "name"), [(5, "each"), (12, "twelve")])
def test_h1_independent_kinds_multiply(kinds: int, name: str) -> None:
    """H1: five kinds ready with 0.98 each; twelve with what each needs for 0.95 together."""
    given, wanted = CASES["H1"]["inputs"], CASES["H1"]["expected"]
    each, joint = {
        "each": (given["each"], wanted["joint"]),
        "twelve": (wanted["each_needed_for_joint_95_with_12_types"], 0.95),
    }[name]
    law = ready_with(each, 8)
    one = float_table(PACED, Pool(law, 0, 8))
    holds(on_time(one, ran(one)), each, ALARM, SLACK)
    table = float_table(PACED, *[Pool(law, 0, 8)] * kinds)
    run = ran(table)
    holds(on_time(table, run), joint, ALARM, SLACK)
    assert (run.lacked[100 : 100 + 30_000] == 1 - on_time(table, run)[:30_000]).all()


def test_h3_random_call_in_does_not_multiply() -> None:
    """H3: three kinds, the same constant turn, random calls: as ready as the scarcest.

    The product of the three is far outside the interval.
    """
    given, wanted = CASES["H3"]["inputs"], CASES["H3"]["expected"]
    turn = constant(given["turn"] * DAY)
    arrivals = poisson_arrivals(given["rate"] / DAY, 25_000, seed=41)
    table = float_table(arrivals, *[Pool(turn, units) for units in given["S"]])
    ready = on_time(table, ran(table))
    holds(ready, wanted["joint"], ALARM, SLACK)
    with pytest.raises(AssertionError):
        holds(ready, wanted["product"], ALARM, SLACK)


def h5_ready(floats: list[int]) -> np.ndarray:
    """1 for every vehicle that found all units of the four kinds of H5 at once."""
    pools = [
        Pool(
            law_of(
                stats.gamma(
                    1 / one["turn_cv"] ** 2, scale=one["turn_mean"] * one["turn_cv"] ** 2 * DAY
                )
            ),
            units,
            one["offset"],
            one["per_vehicle"],
        )
        for one, units in zip(CASES["H5"]["inputs"]["types"], floats, strict=True)
    ]
    table = float_table(PACED, *pools)
    return on_time(table, ran(table))


@pytest.mark.parametrize("place", range(len(CASES["H5"]["expected"]["greedy_path_tail"])))
def test_h5_joint_readiness_along_the_path(place: int) -> None:
    """H5: four kinds, three offsets, two units of one kind: ready together, float by float."""
    floats, _, ready = CASES["H5"]["expected"]["greedy_path_tail"][place]
    holds(h5_ready(floats), ready, ALARM, SLACK)


@pytest.mark.parametrize("target", ["0.9", "0.95", "0.98"])
def test_h5_cheapest_floats_keep_the_target(target: str) -> None:
    """H5: the floats of the exhaustive search keep the target; one unit less of any kind does not.

    "Does not" as far as chance lets one see: no interval contradicts it.
    """
    _, floats = CASES["H5"]["expected"]["optimum_cost_alloc"][target]
    mean, error = batch_means(h5_ready(floats))
    assert mean + T_LIMIT * error >= float(target)
    for kind in range(len(floats)):
        fewer = [units - (n == kind) for n, units in enumerate(floats)]
        less, error = batch_means(h5_ready(fewer))
        assert less - T_LIMIT * error < float(target)
        assert less < mean
