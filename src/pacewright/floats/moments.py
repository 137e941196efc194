"""The moment of need under even call-in: which vehicles have given and which have drawn units."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from pacewright.floats.problem import Stream, TypeNeed
from pacewright.floats.turn_time import MOMENT_DAYS, longest_days, mean_and_sd
from pacewright.floats.type_order import even_order

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

PLACES = (96, 12)
"""Most vehicles of a type, one after the other, over which its chance is averaged: at the need,
and at later looks."""
RHYTHM_PLACES = (24, 4)
"""The same for kinds that go off in lots or by despatch, whose own rhythm outweighs it."""
PHASES = (24, 96)
"""Fewest and most moments within the despatch interval over which a chance is averaged."""
LOT_PHASES = 8
"""The same for lots, which fill when they will."""
CELLS, LEAST_ROWS = 30_000, 24
"""Moments times vehicles held at a time, and least moments."""


@dataclass(frozen=True, slots=True)
class Moments:
    """One row for each moment looked at, one column for each vehicle that may matter then.

    Parameters
    ----------
    group_index : the type whose need it is (place in ``groups``).
    look_index : which of the looks (days after the need).
    units : units the vehicle carries.
    needed : True when it draws its units no later than the vehicle in question.
    ago_days : from the removal of its units to the look (below 0: not removed yet).
    own_late : days from the need to the look.
    phase_days : how long before the look the last despatch left.
    own : column of the vehicle in question.
    """

    group_index: Ints
    look_index: Ints
    units: Ints
    needed: Flags
    ago_days: Array
    own_late: Array
    phase_days: Array
    own: int

    def part(self, places: Ints) -> "Moments":
        """The moments at ``places`` alone."""
        taken = {
            one.name: getattr(self, one.name)[places] for one in fields(self) if one.name != "own"
        }
        return replace(self, **taken)

    def despatch_wait(self, despatch_days: float, ago_days: Array) -> Array:
        """Days from ``ago_days`` before the look to the next despatch."""
        if despatch_days <= 0:
            return np.zeros_like(ago_days)
        wait: Array = np.mod(ago_days - self.phase_days[:, None], despatch_days)
        return wait


@dataclass(frozen=True, slots=True)
class _Order:
    # The call-in around one vehicle: days from its gate-in to theirs, and what they are.
    days: Array
    types: Ints
    own: int


def moments(stream: Stream, look_days: tuple[float, ...]) -> Iterator[Moments]:
    """Every moment to be looked at: types, their places in the order, despatch phases, looks.

    They come in portions of no more than some ``CELLS`` entries, so that little memory is held.

    Parameters
    ----------
    look_days : days after the need at which to look; the first, usually 0, is the need itself.
    """
    needs = groups(stream.needs)
    carried = sum(need.share for need in needs)
    shares = tuple(need.share for need in needs)
    if carried < 1 - 1e-9:
        shares = (*shares, 1 - carried)
    before, after = _reach(stream, max(look_days))
    rhythm = stream.lot_size > 1 or stream.despatch_days > 0
    # Where very many vehicles matter, one place in the order is much like another.
    most, few = (
        max(3, min(places, 500 * places // (before + after)))
        for places in (RHYTHM_PLACES if rhythm else PLACES)
    )
    rows, looks = [], []
    for group in range(len(needs)):
        around = _orders(shares, group, places_of(shares, group, most), (before, after))
        rows += [_row(stream, needs, order, group) for order in around]
        at_all = places_of(shares, group, few)
        looks += [len(look_days) if place < at_all else 1 for place in range(len(around))]
    yield from _with_looks(stream, rows, looks, look_days)


def places_of(shares: tuple[float, ...], group: int, most: int) -> int:
    """Vehicles of a type after which the order of types comes round again, or most nearly so."""
    best, best_gap = 1, 2.0
    for places in range(1, most + 1):
        others = [places * share / shares[group] for share in shares]
        gap = max(abs(count - round(count)) for count in others)
        if gap < 1e-6:
            return places
        if gap < best_gap or places <= 5:
            best, best_gap = places, gap
    return best


def alike(one: TypeNeed, other: TypeNeed) -> bool:
    """True when two types carry as many units and remove and need them on the same days."""
    return (one.per_vehicle, one.removed_day, one.needed_day) == (
        other.per_vehicle,
        other.removed_day,
        other.needed_day,
    )


def groups(needs: tuple[TypeNeed, ...]) -> list[TypeNeed]:
    """The needs with types that give and want alike put together: one type to the float."""
    found: list[TypeNeed] = []
    for need in needs:
        for place, group in enumerate(found):
            if alike(group, need):
                found[place] = replace(group, share=group.share + need.share)
                break
        else:
            found.append(need)
    return found


def _reach(stream: Stream, latest_look: float) -> tuple[int, int]:
    # How many vehicles before and after can still matter at the look.
    longest = max(longest_days(stream.turn), stream.purchase_days if stream.scrap_share else 0.0)
    longest += stream.despatch_days
    first = min(need.removed_day for need in stream.needs)
    last = max(need.needed_day for need in stream.needs)
    before = math.ceil((longest + last - first) / stream.takt_days) + 2
    after = math.ceil((last + latest_look - first) / stream.takt_days) + 2
    return before, after


def _orders(
    shares: tuple[float, ...], group: int, places: int, reach: tuple[int, int]
) -> list[_Order]:
    before, after = reach
    spare = math.ceil((places + 1) / shares[group]) if len(shares) > 1 else 1
    order = even_order(shares, before + spare + after + 1)
    own = before + np.flatnonzero(order[before : before + spare] == group)
    found = []
    for place in own[:places]:
        types = order[place - before : place + after + 1]
        found.append(_Order(np.arange(-before, after + 1, dtype=float), types, before))
    return found


def _row(
    stream: Stream, needs: list[TypeNeed], order: _Order, place: int
) -> tuple[int, Ints, Flags, Array, int]:
    need = needs[place]
    gate = order.days * stream.takt_days
    # The last entry stands for the types that carry none.
    units = np.array([one.per_vehicle for one in needs] + [0])[order.types]
    removed = gate + np.array([one.removed_day for one in needs] + [0.0])[order.types]
    needed_day = gate + np.array([one.needed_day for one in needs] + [0.0])[order.types]
    earlier = needed_day < need.needed_day - MOMENT_DAYS
    level = np.abs(needed_day - need.needed_day) <= MOMENT_DAYS
    needed = earlier | (level & (np.arange(gate.size) <= order.own))
    return place, units, needed, need.needed_day - removed, order.own


def _with_looks(
    stream: Stream,
    rows: list[tuple[int, Ints, Flags, Array, int]],
    looks: list[int],
    look_days: tuple[float, ...],
) -> Iterator[Moments]:
    # Each row at its first so many looks, and each of those at every phase of the despatch.
    phases = _phases(stream)
    middles = (np.arange(phases) + 0.5) / phases * stream.despatch_days
    row = np.repeat(np.repeat(np.arange(len(rows)), looks), phases)
    look = np.repeat(np.concatenate([np.arange(count) for count in looks]), phases)
    phase_days = np.tile(middles, sum(looks))
    groups_of = np.array([one[0] for one in rows])
    units, needed, ago_days = (np.stack([one[part] for one in rows]) for part in (1, 2, 3))
    step = max(LEAST_ROWS, CELLS // units.shape[1])
    for first in range(0, row.size, step):
        at = slice(first, first + step)
        late = np.asarray(look_days)[look[at]]
        yield Moments(
            group_index=groups_of[row[at]],
            look_index=look[at],
            units=units[row[at]],
            needed=needed[row[at]],
            ago_days=ago_days[row[at]] + late[:, None],
            own_late=late,
            phase_days=phase_days[at],
            own=rows[0][4],
        )


def _phases(stream: Stream) -> int:
    if stream.despatch_days <= 0:
        return 1
    # The less the turn scatters, the sharper a chance changes within the interval.
    if stream.lot_size > 1:
        return LOT_PHASES
    _, sd_days = mean_and_sd(stream.turn)
    fewest, most = PHASES
    return max(fewest, min(most, math.ceil(4 * stream.despatch_days / max(sd_days, 1e-9))))
