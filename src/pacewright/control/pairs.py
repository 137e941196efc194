"""Matched units: two of different kinds that came off the same place together go on together."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from pacewright.events.standing import Standing, UnitStanding
from pacewright.events.things import Condition, Piece, Unit
from pacewright.parts.tables import UnitKind
from pacewright.works import Works

TOGETHER_DAYS = 30
"""Two units came off together when no more than so many calendar days lie between."""


@dataclass(frozen=True)
class Pairs:
    """The units off vehicles that are matched with another one.

    Parameters
    ----------
    mates : unit -> the one it goes with; both are serviceable or in repair.
    held : units whose mate is in quarantine: nothing is proposed for them until that is settled.
    """

    mates: dict[Unit, Unit]
    held: frozenset[Unit]


def pairs(works: Works, standing: Standing) -> Pairs:
    """Who is matched with whom, by what the units were last on.

    Two units are a pair when their kinds are kept together, they came off the same vehicle or
    assembly, and within a month. Of several on one carrier the first off goes with the first off,
    serials deciding ties: where positions matter on the carrier, enter them as kinds of their own.
    A unit whose mate was scrapped, or is on a vehicle, is matched with none: let its shop say
    whether it may go on alone.
    """
    mates: dict[Unit, Unit] = {}
    held: set[Unit] = set()
    kinds = [one for one in works.unit_kinds if one.keep_with_kind_id]
    by_carrier = _off(standing, _concerned(kinds))
    for kind in kinds:
        for one, other in _matched(kind, by_carrier):
            there = [_may_go(standing.units[unit]) for unit in (one, other)]
            if all(there):
                mates[one], mates[other] = other, one
            elif any(there) and _quarantined(standing, one, other):
                held.add(one if there[0] else other)
    return Pairs(mates, frozenset(held))


def _concerned(kinds: Iterable[UnitKind]) -> set[str]:
    return {name for one in kinds for name in (one.unit_kind_id, one.keep_with_kind_id) if name}


Off = dict[tuple[Piece, str], list[tuple[datetime, Unit]]]


def _off(standing: Standing, kinds: set[str]) -> Off:
    """(carrier, kind) -> units that were last on it, in the order in which they came off."""
    found: Off = defaultdict(list)
    for unit in standing.units:
        links = standing.unit_links.of.get(unit) if unit.unit_kind_id in kinds else None
        if links and links[-1].until is not None:
            found[links[-1].carrier, unit.unit_kind_id].append((links[-1].until, unit))
    for rows in found.values():
        rows.sort()
    return found


def _matched(kind: UnitKind, off: Off) -> Iterator[tuple[Unit, Unit]]:
    other_kind = kind.keep_with_kind_id or ""
    for (carrier, kind_id), rows in off.items():
        if kind_id != kind.unit_kind_id:
            continue
        left = list(off.get((carrier, other_kind), ()))
        for at, unit in rows:
            near = [row for row in left if abs(row[0] - at) <= timedelta(days=TOGETHER_DAYS)]
            if near:
                left.remove(near[0])
                yield unit, near[0][1]


def _may_go(known: UnitStanding) -> bool:
    good = known.condition in (Condition.SERVICEABLE, Condition.UNSERVICEABLE)
    return good and known.onto is None and known.issued_to is None


def _quarantined(standing: Standing, *units: Unit) -> bool:
    return any(standing.units[unit].condition is Condition.QUARANTINE for unit in units)
