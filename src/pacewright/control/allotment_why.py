"""Why a vehicle gets a unit on another day than the shortage list says, which serves first needs.

Both know the same units on the same days. The list hands them out in the order of the needs; the
allotment to those who would otherwise stand longest beyond their promise.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from math import inf
from typing import NamedTuple

from pacewright.control.allotment_case import AllotmentCase, There, Wanted
from pacewright.control.first_needs import firm_units
from pacewright.events.scan import code_of
from pacewright.events.things import Unit

_LEAST_DAYS = 0.1
"""Sooner or later by less than this, about an hour, is neither."""


class Beside(NamedTuple):
    """Day of the shortage list for one need, None: none in sight; and why it differs, if so."""

    day: float | None
    why: str = ""


@dataclass(frozen=True)
class FirstNeeds:
    """The needs of an allotment as the shortage list would serve them.

    Parameters
    ----------
    case : the question.
    given : what each of its needs gets by the allotment, in their order.
    stands_days : vehicle number -> days it stands by the allotment.
    """

    case: AllotmentCase
    given: Sequence[There | None]
    stands_days: Sequence[float]

    def beside(self) -> Iterator[Beside]:
        """One answer a need, in the order of ``case.wanted``."""
        for place, one in enumerate(self.case.wanted):
            if one.need is None:
                yield Beside(None)
                continue
            day, there = self._days[place], self.given[place]
            mine = there.supply.ready_day if there else None
            same = self._date(day) == self._date(mine)
            yield Beside(day, "" if same else self._why(one, there, day))

    @cached_property
    def _days(self) -> dict[int, float | None]:
        """Place of a need among those wanted -> day of the list."""
        places = defaultdict(list)
        for place, one in enumerate(self.case.wanted):
            if one.need is not None:
                places[one.need.unit_kind_id, one.need.piece].append(place)
        seen, found = self.case.seen, dict[int, float | None]()
        for kind_id in {kind_id for kind_id, _ in places}:
            needs = [one for one in seen.needs if one.unit_kind_id == kind_id]
            pool = seen.pools.get(kind_id)
            units = pool.in_sight(seen.ahead.now_day) if pool else []
            for need, mine in firm_units(needs, units):
                for place, unit in zip(places[kind_id, need.piece], mine, strict=False):
                    found[place] = unit.day if unit else None
        return found

    def _date(self, day: float | None) -> date | None:
        return None if day is None else self.case.seen.ahead.clock.date_of(day)

    def _why(self, one: Wanted, there: There | None, listed: float | None) -> str:
        thing = there.thing if there else None
        mate = self.case.pairs.mates.get(thing) if isinstance(thing, Unit) else None
        if mate is not None:
            return f"matched with {code_of(mate)}: no other will do"
        sooner = listed is None or _ready(there) < listed
        other = self._other(one, _ready(there), sooner)
        if sooner and other is None:
            return "the list sets units aside for what is still to come off other vehicles"
        if other is None:
            return "one in store cannot go to it, or waits for the unit it is matched with"
        if sooner:
            return f"vehicle {other.vehicle_id} needs one first, and waits: {self._waits(other)}"
        return f"an earlier one goes to vehicle {other.vehicle_id}; this waits: {self._waits(one)}"

    def _other(self, one: Wanted, ready: float, sooner: bool) -> Wanted | None:
        """Of the same kind, who needs one before this and gets it later; or the reverse."""
        found = []
        for other, got in zip(self.case.wanted, self.given, strict=True):
            if other.slot.sort != one.slot.sort or other.vehicle_id == one.vehicle_id:
                continue
            first, second = (other, one) if sooner else (one, other)
            gets_later = (_ready(got) - ready) * (1 if sooner else -1) > _LEAST_DAYS
            if gets_later and first.slot.needed_day <= second.slot.needed_day:
                found.append(other)
        return min(found, key=lambda other: other.slot.needed_day, default=None)

    def _waits(self, one: Wanted) -> str:
        """What speaks for letting it wait."""
        got = self.given[self.case.wanted.index(one)]
        waits = self.case.problem.delay(one.slot, got.supply if got else None)
        if self.stands_days[one.slot.vehicle] > waits + _LEAST_DAYS:
            return "it stands longer for something else"
        if self.case.promise(one.vehicle_id) is None:
            return "nothing is promised of it"
        slack = self.case.slack_days(one.vehicle_id)
        return f"{slack:.1f} days before its promise" if slack > 0 else "less is lost so in all"


def _ready(there: There | None) -> float:
    return there.supply.ready_day if there else inf
