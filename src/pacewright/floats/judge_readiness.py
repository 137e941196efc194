"""A second reckoning of the readiness of one kind: counts added vehicle by vehicle, no transform.

It shares nothing with the engine but the order of types, which is part of the question: its own
survival and plain convolution. It covers kinds without lots, despatch, second site, purchase
lots and loaded benches.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pacewright.floats.type_order import even_order
from pacewright.parts.tables import UnitKind

Array = NDArray[np.float64]

DUST_DAYS = 1e-9
PHASES = range(8, 41)
"""Vehicles of the type, one after the other, over which is averaged: that at which it closes."""
WIDTH = 1024
"""Counts from -512 to 511 are kept."""


@dataclass(frozen=True, slots=True)
class JudgedType:
    """One type as the judge needs it; a type that does not carry the kind has ``units`` 0."""

    share: float
    units: int
    removed_day: float
    needed_day: float


def away_chance(kind: UnitKind, days: float) -> float:
    """Chance that a unit removed ``days`` ago is not back, condemned ones included."""
    at = days + DUST_DAYS
    if at < 0:
        return 1.0
    repair = 1.0 if at < kind.turn_days else 0.0
    if kind.turn_sd_days > 0:
        log_sd = math.sqrt(math.log(1 + (kind.turn_sd_days / kind.turn_days) ** 2))
        score = (math.log(at) - math.log(kind.turn_days)) / log_sd + log_sd / 2 if at > 0 else -99
        repair = 0.5 * math.erfc(score / math.sqrt(2))
    bought = 1.0 if at < kind.purchase_days else 0.0
    return (1 - kind.scrap_share) * repair + kind.scrap_share * bought


def judged_ready(kind: UnitKind, types: list[JudgedType], place: int, takt_days: float) -> Array:
    """Chance that a vehicle of type ``place`` does not wait, for floats 0, 1, 2 ...

    Raises
    ------
    ValueError : more units are short at once than the judge can count.
    """
    share = 1.0 if kind.must_change else kind.removal_share
    others = _short_by_others(kind, types, place, takt_days, share)
    own = _short_by_own(kind, types[place], share)
    middle = WIDTH // 2
    waits = np.zeros(middle)
    above = np.cumsum(others.mean(axis=0)[::-1])[::-1]
    if above[middle + 480] > 1e-9:
        raise ValueError(f"unit kind {kind.unit_kind_id}: more than 480 units short at once")
    for count, chance in enumerate(own):
        # Waits with S units when others' count + own count > S.
        first = middle + 1 - count
        waits += chance * np.append(above, np.zeros(WIDTH))[first : first + middle]
    return 1 - waits


def _short_by_others(
    kind: UnitKind, types: list[JudgedType], place: int, takt_days: float, share: float
) -> Array:
    """Law of the units short by all other vehicles, a row for each place in the order."""
    before, after = _reach(kind, types, takt_days)
    around = _around(types, place, before, after)
    law = np.zeros((around.shape[0], WIDTH))
    law[:, WIDTH // 2] = 1.0
    for column, vehicle in enumerate(range(-before, after + 1)):
        if vehicle == 0:
            continue
        for index, one in enumerate(types):
            mine = (around[:, column] == index)[:, None]
            chance, step = _part(kind, one, types[place].needed_day, vehicle * takt_days)
            for _ in range(one.units if share * chance > 1e-12 and mine.any() else 0):
                moved = np.roll(law, step, axis=1)
                law = np.where(mine, law + share * chance * (moved - law), law)
    return law


def _part(kind: UnitKind, one: JudgedType, need_day: float, gate_day: float) -> tuple[float, int]:
    # What one unit of a vehicle adds to the count: +1 while out and drawn for, -1 when back early.
    gap = need_day - gate_day - one.needed_day
    away = away_chance(kind, need_day - gate_day - one.removed_day)
    if gap > DUST_DAYS or (abs(gap) <= DUST_DAYS and gate_day < 0):
        return away, 1
    return 1 - away, -1


def _reach(kind: UnitKind, types: list[JudgedType], takt_days: float) -> tuple[int, int]:
    longest = kind.turn_days + 1
    while away_chance(kind, longest) > 1e-9:
        longest *= 1.25
    carriers = [one for one in types if one.units]
    span = max(one.needed_day for one in carriers) - min(one.removed_day for one in carriers)
    return math.ceil((longest + span) / takt_days) + 1, math.ceil(span / takt_days) + 1


def _around(types: list[JudgedType], place: int, before: int, after: int) -> NDArray[np.int64]:
    """Types of the vehicles around one of type ``place``, a row for each place in the order."""
    shares = tuple(one.share for one in types)
    if len({(one.units, one.removed_day, one.needed_day) for one in types}) == 1:
        return np.full((1, before + after + 1), place)
    phases = min(PHASES, key=lambda count: _open_gap(count, shares, place))
    spare = math.ceil((phases + 2) / shares[place])
    order = even_order(shares, before + spare + after + 1)
    spots = before + np.flatnonzero(order[before : before + spare] == place)[:phases]
    return np.stack([order[spot - before : spot + after + 1] for spot in spots])


def _open_gap(count: int, shares: tuple[float, ...], place: int) -> float:
    # How far from whole the vehicles of other types are that ``count`` of this type span.
    spanned = [count * share / shares[place] for share in shares]
    return max(abs(vehicles - round(vehicles)) for vehicles in spanned)


def _short_by_own(kind: UnitKind, one: JudgedType, share: float) -> list[float]:
    # Chances that 0, 1, 2 ... of its own are out while something did come off.
    away = share * away_chance(kind, one.needed_day - one.removed_day)
    law = np.ones(1)
    for _ in range(one.units):
        law = np.convolve(law, [1 - away, away])
    law[0] -= (1 - share) ** one.units
    return [float(chance) for chance in law]
