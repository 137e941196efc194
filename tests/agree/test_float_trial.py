"""The exact laws against a trial by chance alone (``float_trial``), which knows no law.

Each comparison allows 4.5 standard errors (batch means of 40 batches) plus 0.002 for the finite
run; the seeds are fixed. With fresh seeds about one comparison in 20,000 would alarm falsely.
"""

from dataclasses import replace

import numpy as np
import pytest

from agree.float_trial import trial
from pacewright.floats.even_call_in import even_readiness
from pacewright.floats.loaded_shop import loaded_readiness
from pacewright.floats.problem import Bench, Stream, TypeNeed
from pacewright.floats.random_call_in import random_readiness
from pacewright.floats.readiness import ReadyTable
from pacewright.floats.turn_time import ConstantTurn, LognormalTurn

LOOKS = (0.0, 3.0)
ONE = (TypeNeed("a", 1.0, 1, 0.0, 6.0),)
PAIR = (TypeNeed("a", 1.0, 2, 0.0, 6.0),)
# A tenth of the vehicles carries none; offsets and units differ.
TWO = (TypeNeed("a", 0.6, 1, 2.0, 8.3), TypeNeed("b", 0.3, 2, 3.0, 7.0))
ODD_TAKT = 2**-0.5
SKEW = LognormalTurn(9.0, 3.0)


def turns(law: ConstantTurn | LognormalTurn):
    """How the trial draws turn times."""
    if isinstance(law, ConstantTurn):
        return lambda rng, count: np.full(count, law.turn_days)
    variance = np.log1p((law.sd_days / law.mean_days) ** 2)
    centre = np.log(law.mean_days) - variance / 2
    return lambda rng, count: rng.lognormal(centre, np.sqrt(variance), count)


def agree(table: ReadyTable, run, looks: tuple[float, ...], also: float = 0.002) -> int:
    """Compare every float, type and look; returns how many comparisons had something to say."""
    telling = 0
    for place in range(len(table.type_ids)):
        for look in range(len(looks)):
            for units in range(table.most):
                wanted = table.ready[look, place, units]
                found, error = run.ready(place, look, units)
                assert found == pytest.approx(wanted, abs=4.5 * error + also), (
                    f"type {place}, {looks[look]} days late, {units} units"
                )
                telling += 0.02 < wanted < 0.998
    return telling


STREAMS = {
    "types that differ": Stream(0.5, TWO, SKEW, 0.8),
    "two units a vehicle": Stream(0.5, PAIR, SKEW),
    "lots, constant turn": Stream(0.5, ONE, ConstantTurn(9.2), lot_size=4),
    "lots, part removed": Stream(0.5, PAIR, SKEW, 0.7, lot_size=5),
    "despatch": Stream(ODD_TAKT, ONE, SKEW, despatch_days=5.0),
    "scrap": Stream(0.5, PAIR, SKEW, 0.8, scrap_share=0.1, purchase_days=20.0),
    "scrap, bought in threes": Stream(
        0.5, TWO, SKEW, 0.8, scrap_share=0.1, purchase_days=30.0, purchase_lot=3
    ),
    "second site": Stream(0.5, TWO, SKEW, 0.8, site_a_day=0.4, site_transit_days=2.0),
    "everything": Stream(
        ODD_TAKT,
        TWO,
        SKEW,
        0.8,
        lot_size=3,
        despatch_days=2.5,
        scrap_share=0.1,
        purchase_days=30.0,
        purchase_lot=3,
        site_a_day=0.4,
        site_transit_days=2.0,
    ),
}


@pytest.mark.parametrize("name", list(STREAMS))
def test_even_call_in_is_what_happens(name: str) -> None:
    """Readiness of every type at the need and three days later, for every float."""
    stream = STREAMS[name]
    run = trial(stream, LOOKS, 40_000, 11, turns(stream.turn))
    assert agree(even_readiness(stream, LOOKS), run, LOOKS) >= 4


@pytest.mark.parametrize("name", ["types that differ", "scrap", "second site"])
def test_random_call_in_is_what_happens(name: str) -> None:
    """The same vehicles at random."""
    stream = STREAMS[name]
    run = trial(stream, (0.0,), 40_000, 12, turns(stream.turn), at_random=True)
    assert agree(random_readiness(stream), run, (0.0,)) >= 4


@pytest.mark.parametrize("offset", [2.0, 6.3, 8.0])
@pytest.mark.parametrize("units", [1, 2])
def test_loaded_shop_is_what_happens(offset: float, units: int) -> None:
    """Two benches 90 % loaded by an even call-in of one type."""
    needs = (TypeNeed("a", 1.0, units, 0.0, offset),)
    stream = Stream(0.5, needs, ConstantTurn(8.0))
    bench = Bench(2, 0.9 / units)
    table, turn = loaded_readiness(stream, bench, LOOKS)
    run = trial(stream, LOOKS, 40_000, 13, turns(ConstantTurn(turn.rest_days)), bench)
    assert agree(table, run, LOOKS) >= 4


def test_loaded_shop_takes_types_as_a_mix() -> None:
    """With types in even order the mix, drawn vehicle by vehicle, is out by 0.04 at most."""
    needs = (TypeNeed("a", 0.6, 1, 0.0, 6.3), TypeNeed("b", 0.4, 2, 0.0, 6.3))
    stream = Stream(0.5, needs, ConstantTurn(8.0), 0.8)
    bench = Bench(2, 0.9 * 2 * 0.5 / stream.units_a_takt)
    table, turn = loaded_readiness(stream, bench, LOOKS)
    run = trial(stream, LOOKS, 40_000, 14, turns(ConstantTurn(turn.rest_days)), bench)
    assert agree(table, run, LOOKS, also=0.04) >= 4


def test_poisson_would_ask_for_more_float() -> None:
    """Even call-in needs fewer units than the same pace at random: the reason for the exact law."""
    stream = replace(STREAMS["two units a vehicle"], needs=(TypeNeed("a", 1.0, 1, 0.0, 6.0),))
    even = even_readiness(stream).least_float(0.98)
    at_random = random_readiness(stream).least_float(0.98)
    assert even is not None
    assert at_random is not None
    assert even < at_random
