"""The shortage list: which vehicle due to rebuild will stand for want of which unit."""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from pacewright.control.ahead import Ahead
from pacewright.control.first_needs import Taker, in_order
from pacewright.control.needs import Need
from pacewright.control.pool import Coming, Pool

LOOK_DAYS = 10
"""Working days ahead for which shortages are looked for, unless told otherwise."""

LEAST_LATE_DAYS = 0.1
"""What comes later by less than this, about an hour, is not told."""


@dataclass(frozen=True, slots=True)
class Shortage:
    """Units of one kind that come later than one vehicle needs them.

    Parameters
    ----------
    rank : 1 for what costs most.
    units : short for this vehicle, of firm needs and expected ones.
    needed_day, expected_day : on the clock; expected None: none in sight.
    serial : of the unit it would get; empty: new, or none.
    source : ``in repair``, ``on order``, ``still to come off`` or ``none in sight``.
    owner : shop that must turn it out.
    days_late : expected less needed; to the end of the look ahead where none is in sight.
    behind : vehicles or assemblies that come to the stage while it would stand there.
    vehicle_days : what it costs, by the equation of ``shortages``.
    chance : chance that the unit comes in time after all.
    serviceable, issued, unserviceable, quarantine : units of the kind off vehicles; not to be
        summed.
    overdue : the unit is overdue: ask its shop for a date.
    turn_source : where the turn time comes from.
    """

    rank: int
    unit_kind_id: str
    name: str
    vehicle_id: str
    type_id: str
    piece: str
    fit_stage_id: str
    units: float
    must_change: bool
    needed_day: float
    expected_day: float | None
    serial: str
    source: str
    owner: str
    days_late: float
    behind: int
    vehicle_days: float
    chance: float
    serviceable: int
    issued: int
    unserviceable: int
    quarantine: int
    overdue: bool
    turn_source: str


def shortages(
    seen: Ahead, wanted: Sequence[Need], pool: Mapping[str, Pool], look_days: float = LOOK_DAYS
) -> tuple[Shortage, ...]:
    """Units short for vehicles that come to the stage where they go on within ``look_days``.

    Each kind's units go to the first need first: those in store, then those in repair, on order
    or still to come off by the day they are expected. What must be changed is never left out.

    Parameters
    ----------
    seen, wanted, pool : of one standing.
    look_days : working days looked ahead.

    Equations
    ---------
    The k-th unit to come back is expected on the day by which the expected number back reaches
    k - 1/2 (``returns``). vehicle_days = late + sum over what comes to the stage while the
    vehicle stands there of (expected - its begin) / positions of the stage: a vehicle that stands
    takes one of them.
    """
    last = seen.now_day + look_days
    by_kind: dict[str, list[Need]] = defaultdict(list)
    for need in wanted:
        if need.unit_kind_id in pool and need.needed_day <= last:
            by_kind[need.unit_kind_id].append(need)
    found = [
        draft
        for kind_id in sorted(by_kind)
        for draft in _short_of(seen, by_kind[kind_id], pool[kind_id], last)
    ]
    # Dearest first; equals by need, kind and vehicle, so that the order never wavers.
    found.sort(
        key=lambda one: (
            -one.vehicle_days,
            one.need.needed_day,
            one.need.unit_kind_id,
            one.need.piece,
        )
    )
    chances = _chances(found, pool, seen.now_day)
    return tuple(
        _shortage(rank, one, pool[one.need.unit_kind_id], chance)
        for rank, (one, chance) in enumerate(zip(found, chances, strict=True), 1)
    )


class _Draft(NamedTuple):
    """A need whose last unit comes late; ``upto`` : units all needs up to this one take."""

    need: Need
    upto: float
    units: float
    unit: Coming | None
    until: float
    behind: int
    vehicle_days: float


def _short_of(seen: Ahead, wanted: Sequence[Need], pool: Pool, last: float) -> Iterator[_Draft]:
    taker = Taker(pool.in_sight(seen.now_day))
    upto = 0.0
    for need in in_order(wanted):
        upto += need.wanted
        late = [
            one
            for one in taker.take(need.wanted)
            if one.unit is None or one.unit.day > need.needed_day + LEAST_LATE_DAYS
        ]
        if late:
            unit = late[-1].unit
            # Where none is in sight the vehicle stands at least to the end of the look ahead.
            until = unit.day if unit else max(last, need.needed_day + 1)
            behind, cost = _cost(seen, need, until)
            yield _Draft(need, upto, sum(one.amount for one in late), unit, until, behind, cost)


def _cost(seen: Ahead, need: Need, until: float) -> tuple[int, float]:
    rows = seen.begins_at.get(need.fit_stage_id, [])
    first = bisect_right(rows, need.needed_day, key=lambda row: row[0])
    last = bisect_left(rows, until, key=lambda row: row[0])
    name = str(need.piece)
    waits = [until - begin for begin, other in rows[first:last] if other != name]
    positions = seen.positions[need.fit_stage_id]
    return len(waits), until - need.needed_day + sum(waits) / positions


def _chances(found: Sequence[_Draft], pool: Mapping[str, Pool], now_day: float) -> list[float]:
    chances = [0.0] * len(found)
    by_kind: dict[str, list[int]] = defaultdict(list)
    for place, one in enumerate(found):
        if one.unit is not None:
            by_kind[one.need.unit_kind_id].append(place)
    for kind_id, places in by_kind.items():
        mine = pool[kind_id]
        units = np.array([found[place].upto - mine.serviceable for place in places])
        days = np.array([found[place].need.needed_day for place in places])
        for place, chance in zip(places, mine.chances_of(units, days, now_day), strict=True):
            chances[place] = chance
    return chances


def _shortage(rank: int, one: _Draft, pool: Pool, chance: float) -> Shortage:
    need, unit = one.need, one.unit
    return Shortage(
        rank=rank,
        unit_kind_id=need.unit_kind_id,
        name=pool.kind.name,
        vehicle_id=need.vehicle_id,
        type_id=need.type_id,
        piece=str(need.piece),
        fit_stage_id=need.fit_stage_id,
        units=one.units,
        must_change=need.must_change,
        needed_day=need.needed_day,
        expected_day=unit.day if unit else None,
        serial=unit.unit.serial if unit and unit.unit else "",
        source=unit.source if unit else "none in sight",
        owner=pool.kind.shop_id,
        days_late=one.until - need.needed_day,
        behind=one.behind,
        vehicle_days=one.vehicle_days,
        chance=chance,
        serviceable=pool.serviceable,
        issued=pool.issued,
        unserviceable=pool.unserviceable,
        quarantine=pool.quarantine,
        overdue=bool(unit and unit.overdue),
        turn_source=pool.turn.source,
    )
