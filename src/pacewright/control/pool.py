"""The pool of each unit kind as it stands, and when each unit in it is expected back."""

from dataclasses import dataclass, field
from datetime import datetime
from math import isfinite

from pacewright.control.clock import WorksClock
from pacewright.control.turn_left import TurnTime, TurnTimes
from pacewright.events.standing import Standing, UnitStanding
from pacewright.events.things import Condition, Unit, Verdict
from pacewright.parts.tables import UnitKind
from pacewright.works import Works

IN_STORE, IN_REPAIR, ON_ORDER = "in store", "in repair", "on order"


@dataclass(frozen=True, slots=True)
class Coming:
    """One unit that the pool has or gets.

    Parameters
    ----------
    unit : kind and serial; None: a new one, on order.
    source : ``in store``, ``in repair`` or ``on order``.
    day : when it is there, on the clock; now when it is in store.
    spent_days : how long its turn has lasted.
    overdue : its turn has lasted longer than the law of its kind can speak of.
    """

    unit: Unit | None
    source: str
    day: float
    spent_days: float = 0.0
    overdue: bool = False


@dataclass(slots=True)
class Pool:
    """Units of one kind that are off vehicles; the conditions are never summed.

    Parameters
    ----------
    kind, turn : the unit kind, and the turn time used for it.
    serviceable : ready, and given out for nothing.
    issued : ready, and given out for one vehicle.
    unserviceable : waiting for repair, or in it.
    quarantine : set aside.
    condemned : unserviceable, and found beyond repair.
    coming : what can be had: in store first, then by day.
    """

    kind: UnitKind
    turn: TurnTime
    serviceable: int = 0
    issued: int = 0
    unserviceable: int = 0
    quarantine: int = 0
    condemned: int = 0
    coming: list[Coming] = field(default_factory=list)

    def chance_by(self, one: Coming, day: float, now_day: float) -> float:
        """Chance that a unit is there by ``day``: sure in store, the turn's law in repair."""
        if one.source == IN_STORE:
            return 1.0
        if one.source == ON_ORDER:
            return float(one.day <= day)
        return self.turn.chance_within(one.spent_days, day - now_day)


def pools(
    works: Works, standing: Standing, clock: WorksClock, now: datetime, turns: TurnTimes
) -> dict[str, Pool]:
    """Unit kind -> its pool now.

    A unit in repair is expected by the time since it came off and the turn time of its kind. A
    scrapped unit of a kind that is bought is taken to have been ordered on the day it was
    scrapped; one found beyond repair is counted apart and not expected.
    """
    found = {one.unit_kind_id: Pool(one, turns[one.unit_kind_id]) for one in works.unit_kinds}
    now_day = clock.day_of(now)
    for unit, known in standing.units.items():
        pool = found.get(unit.unit_kind_id)
        if pool is not None and known.onto is None:
            _count(pool, standing, clock, now_day, known)
    for pool in found.values():
        pool.coming.sort(key=lambda one: (one.day, one.source, one.unit or Unit("", "")))
    return found


def _count(
    pool: Pool, standing: Standing, clock: WorksClock, now_day: float, known: UnitStanding
) -> None:
    if known.condition is Condition.SERVICEABLE:
        if known.issued_to is not None:
            pool.issued += 1
            return
        pool.serviceable += 1
        pool.coming.append(Coming(known.unit, IN_STORE, now_day))
    elif known.condition is Condition.UNSERVICEABLE:
        pool.unserviceable += 1
        if any(one.verdict is Verdict.SCRAP for one in known.found.values()):
            pool.condemned += 1
            return
        spent = max(0.0, now_day - clock.day_of(came_off(standing, known)))
        left = pool.turn.days_left(spent)
        overdue = spent > pool.turn.overdue_days
        pool.coming.append(Coming(known.unit, IN_REPAIR, now_day + left, spent, overdue))
    elif known.condition is Condition.QUARANTINE:
        pool.quarantine += 1
    elif pool.kind.purchase_days:
        day = clock.day_of(known.last_at) + pool.kind.purchase_days
        if day > now_day and isfinite(day):
            pool.coming.append(Coming(None, ON_ORDER, day))


def came_off(standing: Standing, known: UnitStanding) -> datetime:
    """When a unit last came off what carried it; entered as a unit: its last event."""
    links = standing.unit_links.of.get(known.unit)
    off = links[-1].until if links else None
    return off or known.last_at
