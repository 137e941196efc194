"""Units handed to needs in order: the first need takes the first unit there."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from pacewright.control.needs import Need
from pacewright.control.pool import Coming

_LEAST = 1e-9


class Taken(NamedTuple):
    """So much of one unit; ``unit`` None: nothing is in sight for it."""

    unit: Coming | None
    amount: float


class Taker:
    """Takes units in their order; what was taken is gone for the next."""

    def __init__(self, units: Sequence[Coming]) -> None:
        self._units = units
        self._place = 0
        self._left = units[0].amount if units else 0.0

    def take(self, amount: float) -> list[Taken]:
        """The next ``amount`` of units."""
        found = []
        while amount > _LEAST:
            if self._place == len(self._units):
                found.append(Taken(None, amount))
                break
            part = min(amount, self._left)
            if part > _LEAST:
                found.append(Taken(self._units[self._place], part))
            amount -= part
            self._left -= part
            if self._left <= _LEAST:
                self._place += 1
                if self._place < len(self._units):
                    self._left = self._units[self._place].amount
        return found


def in_order(wanted: Sequence[Need]) -> list[Need]:
    """The first need first; of equals that of which more is owed."""
    return sorted(wanted, key=lambda one: (one.needed_day, -one.owed, one.piece))


def firm_units(
    wanted: Sequence[Need], units: Sequence[Coming]
) -> Iterator[tuple[Need, list[Coming | None]]]:
    """What each need of one kind gets for the units owed to it, first need first.

    What is still expected to come off takes its part in between; None: nothing is in sight.
    """
    taker = Taker(units)
    for need in in_order(wanted):
        yield need, [taker.take(1.0)[-1].unit for _ in range(need.owed - need.issued)]
        taker.take(need.expected)


def whole_units(units: Sequence[Coming]) -> Iterator[Coming]:
    """Whole units one after another: each is there when the last part of it is."""
    taker = Taker(units)
    while (unit := taker.take(1.0)[-1].unit) is not None:
        yield unit
