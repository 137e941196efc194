"""Units at the start as the record knows them: the pool, and what is on its way to it."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from functools import cached_property
from typing import NamedTuple

import numpy as np

from pacewright.events.standing import UnitStanding
from pacewright.events.things import Condition, Unit, Verdict
from pacewright.parts.tables import UnitKind
from pacewright.simulate.calendars import Clock, Stretch
from pacewright.simulate.chance import key_of
from pacewright.simulate.live_start import LiveStart, minute_of
from pacewright.simulate.start_pieces import share_below
from pacewright.simulate.start_table import AwayRows, Floats, Ints, Way
from pacewright.simulate.table import KindRows
from pacewright.works import Works

OVERDUE_SHARE = 0.999
"""A unit away longer than this share of its law is overdue: the law says no more of it."""
# What is due on a day comes in at its noon.
_COMES_IN = time(12)
_TAIL_SHARE = 0.9
"""What is left for an overdue unit is, in the mean, what the law leaves beyond this share."""


class _Away(NamedTuple):
    """One unit on its way; ``left_at`` orders those that stand in one line."""

    left_at: datetime
    kind: int
    key: int
    way: Way
    minutes: int
    share: float


@dataclass(frozen=True)
class UnitStarts:
    """What the record says of the units of a run.

    Parameters
    ----------
    works, stretch : of the table that is compiled.
    live : the record and the moment.
    kinds : the rows of the unit kinds as the tables of the works give them.
    """

    works: Works
    stretch: Stretch
    live: LiveStart
    kinds: KindRows

    def pool(self) -> KindRows:
        """The rows of the kinds with the pool as it stands.

        A kind of which the record knows no unit keeps what the table of floats holds.
        """
        ready = Counter(
            unit.unit_kind_id
            for unit, one in self._off
            if one.condition is Condition.SERVICEABLE and one.issued_to is None
        )
        known = {unit.unit_kind_id for unit in self.live.standing.units}
        serviceable, unserviceable = self.kinds.serviceable.copy(), self.kinds.unserviceable.copy()
        for k, one in enumerate(self.works.unit_kinds):
            if one.unit_kind_id in known:
                serviceable[k], unserviceable[k] = ready[one.unit_kind_id], 0
        return replace(self.kinds, serviceable=serviceable, unserviceable=unserviceable)

    def rows(self) -> tuple[AwayRows, Ints]:
        """Units on their way, those that left first first; units scrapped towards a lot."""
        away = [self._away(unit, one) for unit, one in self._off if self._in_repair(one)]
        bought, scrapped = self._bought()
        away = sorted(away + bought)
        return AwayRows(
            kind=_ints([one.kind for one in away]),
            key=np.array([one.key for one in away], np.uint64),
            way=_ints([int(one.way) for one in away]),
            minutes=_ints([one.minutes for one in away]),
            share=np.array([one.share for one in away], np.float64),
        ), scrapped

    @cached_property
    def _off(self) -> list[tuple[Unit, UnitStanding]]:
        units = self.live.standing.units.items()
        return [
            (unit, one)
            for unit, one in units
            if one.onto is None and unit.unit_kind_id in self._index
        ]

    @cached_property
    def _index(self) -> dict[str, int]:
        return {one.unit_kind_id: k for k, one in enumerate(self.works.unit_kinds)}

    @staticmethod
    def _in_repair(one: UnitStanding) -> bool:
        return one.condition is Condition.UNSERVICEABLE

    def _away(self, unit: Unit, one: UnitStanding) -> _Away:
        k = self._index[unit.unit_kind_id]
        kind = self.works.unit_kinds[k]
        key = key_of(f"{unit.unit_kind_id}:{unit.serial}")
        waits_for_lot = self.kinds.lot[k] > 1 or self.kinds.despatch_days[k] > 0
        at_shop = one.on_way or one.place_id == kind.shop_id
        if waits_for_lot and not at_shop:
            return _Away(one.last_at, k, key, Way.GATHERS, 0, 0.0)
        left_at = one.last_at if waits_for_lot else self._off_at(unit, one)
        minutes = self._worked_since(left_at)
        share = share_below(self.kinds.turn[k], minutes)
        if any(found.verdict is Verdict.SCRAP for found in one.found.values()):
            lead = int(self.kinds.purchase_minutes[k])
            return _Away(left_at, k, key, Way.BOUGHT, lead, 0.0)
        if share > OVERDUE_SHARE and not self.kinds.benches[k]:
            left = _mean_left(self.kinds.turn[k])
            return _Away(left_at, k, key, Way.OVERDUE, left, 0.0)
        way = Way.IN_REPAIR if at_shop else Way.MAY_GO
        return _Away(left_at, k, key, way, minutes, share)

    def _off_at(self, unit: Unit, one: UnitStanding) -> datetime:
        """When it came off what carried it last; else when it was last told of."""
        links = self.live.standing.unit_links.of.get(unit)
        off_at = links[-1].until if links else None
        return off_at or one.last_at

    def _worked_since(self, moment: datetime) -> int:
        start = self.stretch.days.start
        began = min(minute_of(self.stretch, moment), start)
        return self._clock.worked(start) - self._clock.worked(began)

    @cached_property
    def _clock(self) -> Clock:
        return Clock.of(self.stretch.days)

    def _bought(self) -> tuple[list[_Away], Ints]:
        """Units that are on order, and those scrapped that are short of a lot."""
        scrapped: dict[int, list[datetime]] = defaultdict(list)
        for unit, one in self.live.standing.units.items():
            if one.condition is Condition.SCRAPPED and unit.unit_kind_id in self._index:
                scrapped[self._index[unit.unit_kind_id]].append(one.last_at)
        if self.live.standing.orders:
            return self._ordered({k: len(moments) for k, moments in scrapped.items()})
        return self._guessed(scrapped)

    def _ordered(self, scrapped: dict[int, int]) -> tuple[list[_Away], Ints]:
        """Open orders by their due days, and what was scrapped and neither ordered nor bought.

        Of that whole lots are bought at the start of the run; what is past its due day comes in a
        working day later.
        """
        standing = self.live.standing
        short = np.zeros(len(self.works.unit_kinds), np.int64)
        found: list[_Away] = []
        for k, kind in enumerate(self.works.unit_kinds):
            waiting = standing.orders.get(kind.unit_kind_id, ())
            for one in waiting:
                found += self._lot(k, one.ordered_at, one.units, self._worked_until(one.due_in))
            there = standing.bought.get(kind.unit_kind_id, 0) + sum(one.units for one in waiting)
            missing = scrapped.get(k, 0) - there
            lots, short[k] = divmod(max(0, missing), kind.purchase_lot)
            lead = int(self.kinds.purchase_minutes[k])
            found += self._lot(k, self.live.now, lots * kind.purchase_lot, lead)
        return found, short

    def _worked_until(self, due_in: date) -> int:
        if due_in < self.live.now.date():
            return self._clock.minutes[0]
        start = self.stretch.days.start
        due = minute_of(self.stretch, datetime.combine(due_in, _COMES_IN))
        return max(1, self._clock.worked(max(due, start)) - self._clock.worked(start))

    def _lot(self, k: int, since: datetime, units: int, left: int) -> Iterator[_Away]:
        for n in range(units):
            key = key_of(f"{self.works.unit_kinds[k].unit_kind_id}/ordered/{since}/{n}")
            yield _Away(since, k, key, Way.BOUGHT, left, 0.0)

    def _guessed(self, scrapped: dict[int, list[datetime]]) -> tuple[list[_Away], Ints]:
        """Where the record holds no order: units bought for those scrapped within the lead time.

        A purchase is taken to be made when a whole lot has been scrapped, as the run makes it;
        a lot whose lead time is over is taken to have come in.
        """
        short = np.zeros(len(self.works.unit_kinds), np.int64)
        found: list[_Away] = []
        for k, moments in scrapped.items():
            lot = self.works.unit_kinds[k].purchase_lot
            short[k] = len(moments) % lot
            found += self._lots(k, sorted(moments), self.works.unit_kinds[k])
        return found, short

    def _lots(self, k: int, moments: list[datetime], kind: UnitKind) -> Iterator[_Away]:
        lot, lead = kind.purchase_lot, int(self.kinds.purchase_minutes[k])
        for last in range(lot - 1, len(moments), lot):
            left = lead - self._worked_since(moments[last])
            if left > 0:
                for n in range(lot):
                    key = key_of(f"{kind.unit_kind_id}/bought/{last}/{n}")
                    yield _Away(moments[last], k, key, Way.BOUGHT, left, 0.0)


def _mean_left(law: Floats) -> int:
    """What a law leaves in the mean beyond a share of it [min]."""
    shares = np.linspace(_TAIL_SHARE, 1.0, 101)
    points = np.interp(shares, np.linspace(0.0, 1.0, len(law)), law)
    return max(1, round(float(points.mean() - points[0])))


def _ints(values: list[int]) -> Ints:
    return np.array(values, np.int64)
