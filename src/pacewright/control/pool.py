"""The pool of each unit kind as it stands, and when each unit in it is expected back."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime, time

import numpy as np

from pacewright.control.clock import WorksClock
from pacewright.control.returns import Returns
from pacewright.control.turn_left import Floats, TurnTime, TurnTimes
from pacewright.events.standing import OpenOrder, Standing, UnitStanding
from pacewright.events.things import Condition, Unit, Verdict
from pacewright.parts.tables import UnitKind
from pacewright.works import Works

IN_STORE, IN_REPAIR, ON_ORDER = "in store", "in repair", "on order"
ORDER_LATE = "on order, past its due day"
TO_COME_OFF = "still to come off"
_AWAY = (IN_REPAIR, TO_COME_OFF)
_ORDERED = (ON_ORDER, ORDER_LATE)
# What is due on a day is counted on from its noon.
_COMES_IN = time(12)


@dataclass(frozen=True, slots=True)
class Coming:
    """What the pool has or gets: one unit, or what a vehicle is expected to give.

    Parameters
    ----------
    unit : kind and serial; None: a new one, or one still on its vehicle.
    source : ``in store``, ``in repair``, ``on order``, ``on order, past its due day`` or
        ``still to come off``.
    day : when it is there, on the clock; now when it is in store.
    spent_days : how long its turn has lasted; below 0: it begins in so many days.
    amount : units; less than one by the removal share of what has not come off yet.
    overdue : its turn has lasted longer than the law of its kind can speak of.
    """

    unit: Unit | None
    source: str
    day: float
    spent_days: float = 0.0
    overdue: bool = False
    amount: float = 1.0


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
    coming : what can be had of them: in store first, then by day.
    to_come_off : what vehicles inside will give, by day; the need it makes is told beside it.
    """

    kind: UnitKind
    turn: TurnTime
    serviceable: int = 0
    issued: int = 0
    unserviceable: int = 0
    quarantine: int = 0
    condemned: int = 0
    coming: list[Coming] = field(default_factory=list)
    to_come_off: list[Coming] = field(default_factory=list)

    def in_sight(self, now_day: float) -> list[Coming]:
        """All that can be had, units still to come off too: in store first, then by day.

        The days of what is away are those of the first, the second ... to be back of them all.
        """
        away = sorted([one for one in self._away() if one.amount > 0], key=_soonest)
        rest = [one for one in self.coming if one.source in (IN_STORE, *_ORDERED)]
        if self.turn.sd_days > 0 and away:
            amounts = np.array([one.amount for one in away])
            days = now_day + self._returns(away).days_until(np.cumsum(amounts) - amounts / 2)
            away = [
                Coming(one.unit, one.source, float(day), one.spent_days, one.overdue, one.amount)
                for one, day in zip(away, days, strict=True)
            ]
        return sorted([*rest, *away], key=_soonest)

    def chances_of(self, units: Floats, days: Floats, now_day: float) -> list[float]:
        """Chance, one by one, that so many units beyond those in store are there by ``days``."""
        away = self._away()
        if not away:
            return [0.0] * len(units)
        ordered = np.array([one.day for one in self.coming if one.source in _ORDERED])
        here = (ordered[None, :] <= days[:, None]).sum(axis=1)
        return self._returns(away).chances(units - here, days - now_day)

    def _away(self) -> list[Coming]:
        return [one for one in (*self.coming, *self.to_come_off) if one.source in _AWAY]

    def _returns(self, away: Sequence[Coming]) -> Returns:
        spent = np.array([one.spent_days for one in away])
        return Returns(self.turn, spent, np.array([one.amount for one in away]))

    def chances_by(self, days: Floats, now_day: float) -> Floats:
        """Chance that each that comes (columns, in order) is there by each of ``days`` (rows).

        Sure in store, a yes or no on order, by the turn's law in repair; scrap is left out.
        """
        spent = np.array([one.spent_days for one in self.coming])
        repair = np.array([one.source == IN_REPAIR for one in self.coming], dtype=bool)
        ready = np.array([one.day for one in self.coming])
        found = (ready[None, :] <= np.asarray(days)[:, None]).astype(float)
        if repair.any():
            more = np.asarray(days)[:, None] - now_day
            found[:, repair] = self.turn.chances_within(spent[repair][None, :], more)
        return found


def _soonest(one: Coming) -> tuple[float, bool, str, Unit]:
    return (one.day, one.source != IN_STORE, one.source, one.unit or Unit("", ""))


def pools(
    works: Works, standing: Standing, clock: WorksClock, now: datetime, turns: TurnTimes
) -> dict[str, Pool]:
    """Unit kind -> its pool now.

    A unit in repair is expected by the time since it came off and the turn time of its kind; one
    found beyond repair is counted apart and not expected. A unit on order is expected at noon of
    the day it is due in, and where that is past, on the next working day, which is the soonest. Of
    a record that holds no order at all, a scrapped unit of a kind that is bought is taken to have
    been ordered on the day it was scrapped.
    """
    found = {one.unit_kind_id: Pool(one, turns[one.unit_kind_id]) for one in works.unit_kinds}
    spent: dict[str, list[tuple[float, Unit]]] = {kind_id: [] for kind_id in found}
    now_day = clock.day_of(now)
    for unit, known in standing.units.items():
        if known.onto is not None:
            continue
        pool = found.get(unit.unit_kind_id)
        if pool is None:
            continue
        if _counted(pool, now_day, known):
            since = clock.day_of(came_off(standing, known))
            spent[unit.unit_kind_id].append((max(0.0, now_day - since), unit))
        elif not standing.orders and known.condition is Condition.SCRAPPED:
            pool.coming += _guessed_on_order(pool.kind, clock, now_day, known)
    for kind_id, pool in found.items():
        pool.coming += _in_repair(pool.turn, now_day, spent[kind_id])
        pool.coming += _on_order(standing.orders.get(kind_id, ()), clock, now)
        pool.coming.sort(key=_soonest)
    return found


def _counted(pool: Pool, now_day: float, known: UnitStanding) -> bool:
    # Counts a unit by its condition; True when it is in repair and expected back.
    if known.condition is Condition.SERVICEABLE and known.issued_to is not None:
        pool.issued += 1
    elif known.condition is Condition.SERVICEABLE:
        pool.serviceable += 1
        pool.coming.append(Coming(known.unit, IN_STORE, now_day))
    elif known.condition is Condition.QUARANTINE:
        pool.quarantine += 1
    elif known.condition is Condition.UNSERVICEABLE:
        pool.unserviceable += 1
        if any(one.verdict is Verdict.SCRAP for one in known.found.values()):
            pool.condemned += 1
            return False
        return True
    return False


def _guessed_on_order(
    kind: UnitKind, clock: WorksClock, now_day: float, known: UnitStanding
) -> Iterator[Coming]:
    if kind.purchase_days:
        day = clock.day_of(known.last_at) + kind.purchase_days
        if day > now_day:
            yield Coming(None, ON_ORDER, day)


def _on_order(waiting: Sequence[OpenOrder], clock: WorksClock, now: datetime) -> Iterator[Coming]:
    now_day = clock.day_of(now)
    for one in waiting:
        late = one.due_in < now.date()
        due = clock.day_of(datetime.combine(one.due_in, _COMES_IN))
        day = clock.start_of_day(now_day) + 1 if late else max(due, now_day)
        for _ in range(one.units):
            yield Coming(None, ORDER_LATE if late else ON_ORDER, day)


def _in_repair(turn: TurnTime, now_day: float, spent: list[tuple[float, Unit]]) -> list[Coming]:
    left = turn.days_left(np.array([days for days, _ in spent]))
    return [
        Coming(unit, IN_REPAIR, now_day + float(more), days, days > turn.overdue_days)
        for (days, unit), more in zip(spent, left, strict=True)
    ]


def came_off(standing: Standing, known: UnitStanding) -> datetime:
    """When a unit last came off what carried it; entered as a unit: its last event."""
    links = standing.unit_links.of.get(known.unit)
    off = links[-1].until if links else None
    return off or known.last_at
