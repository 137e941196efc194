"""Allotment: units to the vehicles that need them, bodies to frames, best for the promises.

It proposes and never books. What was issued stays; what the door of the record would refuse is not
proposed; must-change stays must-change, since every unit owed is a need, whatever is short.
"""

import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from math import isfinite

from pacewright.control.allotment_case import AllotmentCase, Door, Seen, There, Wanted
from pacewright.control.allotment_problem import NONE_IN_SIGHT_DAYS
from pacewright.control.allotment_solve import Allotted, allot
from pacewright.control.allotment_why import FirstNeeds
from pacewright.control.pool import IN_STORE, TO_COME_OFF
from pacewright.events.scan import code_of
from pacewright.events.things import Piece, Unit
from pacewright.plans.allotment import (
    Allotment,
    AssemblyAllotted,
    Awaiting,
    UnitAllotted,
    VehicleOutcome,
)
from pacewright.plans.card import ResultCard

__all__ = ["ISSUE_DAYS", "LOOK_DAYS", "Door", "Seen", "allotment"]

LOOK_DAYS = 15.0
"""Working days ahead whose needs are looked at, unless told otherwise."""
PROVEN_DAYS = 0.01
"""Weighted vehicle-days up to which cost and bound count as the same."""
ISSUE_DAYS = 3.0
"""Working days ahead whose needs are issued for; a unit given out sooner than that is tied down."""


def allotment(
    seen: Seen, look_days: float = LOOK_DAYS, issue_days: float = ISSUE_DAYS
) -> Allotment:
    """Which unit and which assembly for which vehicle.

    Parameters
    ----------
    seen : the works as it stands.
    look_days : needs within so many working days from now are weighed against each other.
    issue_days : of those, units are proposed for what is needed within so many.
    """
    began = time.perf_counter()
    made = AllotmentCase(seen, look_days)
    found = allot(made.problem)
    told = _Told(made, found)
    days = made.problem.stands_days(found.given)
    return Allotment(
        card=_card(found, time.perf_counter() - began),
        now=seen.ahead.now,
        until=seen.ahead.clock.date_of(made.last_day),
        units=tuple(told.units(seen.ahead.now_day + issue_days)),
        assemblies=tuple(told.assemblies()),
        awaiting=tuple(told.awaiting(days)),
        outcomes=tuple(told.outcomes(days)),
        held_back=tuple(sorted(map(code_of, told.held_back()))),
        notes=tuple(sorted(made.notes)),
    )


@dataclass(frozen=True)
class _Told:
    """The answer in the words of the works."""

    case: AllotmentCase
    found: Allotted

    def _given(self) -> Iterator[tuple[Wanted, There | None]]:
        for one, j in zip(self.case.wanted, self.found.given, strict=True):
            yield one, self.case.there[j] if j >= 0 else None

    def _date(self, day: float) -> date | None:
        return self.case.seen.ahead.clock.date_of(day) if isfinite(day) else None

    def _ready_now(self, there: There | None) -> bool:
        """Serviceable, and so is what it goes with."""
        if there is None or there.source != IN_STORE or not isinstance(there.thing, Unit):
            return False
        mate = self.case.pairs.mates.get(there.thing)
        there_now = self.case.there
        return mate is None or any(o.thing == mate and o.source == IN_STORE for o in there_now)

    def units(self, until_day: float) -> Iterator[UnitAllotted]:
        """What is to be issued now, the earliest need first."""
        given = [(w, t) for w, t in self._given() if w.need and self._ready_now(t)]
        rows = [row for row in given if row[0].slot.needed_day <= until_day]
        for one, there in sorted(rows, key=lambda row: (row[0].slot.needed_day, row[0].vehicle_id)):
            assert one.need is not None
            assert there is not None
            assert isinstance(there.thing, Unit)
            mate = self.case.pairs.mates.get(there.thing)
            yield UnitAllotted(
                unit=code_of(there.thing),
                to=code_of(one.piece),
                vehicle_id=one.vehicle_id,
                fit_stage_id=one.need.fit_stage_id,
                needed=self._date(one.slot.needed_day),
                with_unit=code_of(mate) if mate else "",
                scarce=self._have(one.slot.sort) < self._want(one.slot.sort),
                reason=self._why(one),
            )

    def _want(self, sort: str) -> int:
        return sum(one.slot.sort == sort for one in self.case.wanted)

    def _have(self, sort: str) -> int:
        return sum(t.supply.sort == sort and t.source == IN_STORE for t in self.case.there)

    def _why(self, one: Wanted) -> str:
        want, have = self._want(one.slot.sort), self._have(one.slot.sort)
        if have >= want:
            return "enough for all that need one"
        return (
            f"{have} in store for {want} needs: {self._to_spare(one.vehicle_id)}; those that get "
            "none now lose less by waiting, or wait for something else anyhow"
        )

    def _to_spare(self, vehicle_id: str) -> str:
        if self.case.promise(vehicle_id) is None:
            return "nothing is promised of it"
        days = self.case.slack_days(vehicle_id)
        if days < 0:
            return f"it is {-days:.1f} days past its promise"
        return f"its promise leaves it {days:.1f} days"

    def assemblies(self) -> Iterator[AssemblyAllotted]:
        """Who is to be married with whom."""
        for one, there in self._given():
            if one.need is None and there is not None and isinstance(there.thing, Piece):
                came = self.case.seen.standing.pieces[there.thing].came_from
                yield AssemblyAllotted(
                    assembly=code_of(there.thing),
                    vehicle_id=one.vehicle_id,
                    done=self._date(there.supply.ready_day),
                    needed=self._date(one.slot.needed_day),
                    own=came == one.vehicle_id,
                )

    def awaiting(self, stands_days: list[float]) -> Iterator[Awaiting]:
        """Needs for which nothing is there yet, the longest wait first."""
        rows = []
        given = list(self._given())
        first = FirstNeeds(self.case, [there for _, there in given], stands_days)
        for (one, there), beside in zip(given, first.beside(), strict=True):
            if self._ready_now(there) or (one.need is None and there is not None):
                continue
            days = self.case.problem.delay(one.slot, there.supply if there else None)
            rows.append(
                Awaiting(
                    sort=one.slot.sort,
                    vehicle_id=one.vehicle_id,
                    needed=self._date(one.slot.needed_day),
                    gets=_gets(there) if there else "",
                    expected=self._date(there.supply.ready_day) if there else None,
                    days_late=days,
                    first_need=None if beside.day is None else self._date(beside.day),
                    why=beside.why,
                )
            )
        yield from sorted(rows, key=lambda row: (-row.days_late, row.vehicle_id, row.sort))

    def outcomes(self, days: list[float]) -> Iterator[VehicleOutcome]:
        """Vehicles that stand, the latest first."""
        rows = []
        for name, stands in zip(self.case.vehicles, days, strict=True):
            slack = self.case.slack_days(name)
            late = max(0.0, stands - max(0.0, slack))
            if stands > 0:
                rows.append(VehicleOutcome(name, self.case.promise(name), slack, stands, late))
        yield from sorted(rows, key=lambda one: (-one.late_days, -one.stands_days, one.vehicle_id))

    def held_back(self) -> Iterator[Unit]:
        """Serviceable units of pairs that cannot go yet."""
        yield from self.case.pairs.held
        for _, there in self._given():
            waits = there is not None and there.source == IN_STORE and not self._ready_now(there)
            if waits and there is not None and isinstance(there.thing, Unit):
                yield there.thing


def _gets(there: There) -> str:
    if there.thing is None:
        return TO_COME_OFF if there.source == TO_COME_OFF else "new one on order"
    return code_of(there.thing)


def _card(found: Allotted, seconds: float) -> ResultCard:
    return ResultCard(
        method="assignment as a mixed-integer model, solved by HiGHS",
        status="optimal" if found.cost - found.bound <= PROVEN_DAYS else "feasible",
        objective=found.cost,
        bound=found.bound,
        gap=found.gap,
        unit=f"weighted vehicle-days; nothing in sight counts {NONE_IN_SIGHT_DAYS:g} days",
        seconds=seconds,
    )
