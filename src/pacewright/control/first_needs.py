"""Units handed to needs in order: the first need takes the first unit there."""

from collections.abc import Sequence
from typing import NamedTuple

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
