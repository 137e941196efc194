"""Readings of the test items of a run: within their limits when passed, outside when not."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from math import ceil, log10
from random import Random

from pacewright.events.stages import Tested
from pacewright.events.things import Event, Verdict
from pacewright.parts.tables import Operation, TestItem
from pacewright.simulate.told_ground import Ground
from pacewright.simulate.told_here import Here


class TestsTold:
    """Tells the test items of each stage.

    Parameters
    ----------
    ground, tell, chance : as for units.
    """

    __test__ = False

    def __init__(self, ground: Ground, tell: Callable[[Event], None], chance: Random) -> None:
        self._ground, self._tell, self._chance = ground, tell, chance

    def _items(self, here: Here) -> tuple[TestItem, ...]:
        return self._ground.test_items.get((self._ground.types[here.v], here.stage), ())

    def failed(self, at: datetime, here: Here) -> tuple[str, ...]:
        """One item fails, those before it pass; the items that failed."""
        items = [one for one in self._items(here) if one.item_id not in here.passed]
        if not items:
            return here.failed or ()
        wrong = int(len(items) * self._chance.random())
        for one in items[:wrong]:
            self._pass(at, here, one)
        item = items[wrong]
        reading = self._reading(item, passed=False)
        self._tell(Tested(at, here.piece, item.item_id, False, reading, item.reading_unit))
        return (item.item_id,)

    def passed(self, at: datetime, here: Here) -> None:
        """Every item not passed yet passes."""
        for one in self._items(here):
            if one.item_id not in here.passed:
                self._pass(at, here, one)

    def _pass(self, at: datetime, here: Here, item: TestItem) -> None:
        here.passed.add(item.item_id)
        reading = self._reading(item, passed=True)
        self._tell(Tested(at, here.piece, item.item_id, True, reading, item.reading_unit))

    def _reading(self, item: TestItem, passed: bool) -> float | None:
        least, most = item.least, item.most
        if least is None and most is None:
            return None
        return measured(least, most, passed, self._chance.random())


def measured(least: float | None, most: float | None, within: bool, u: float) -> float:
    """A value within limits of which one at least is given, or somewhat outside.

    Parameters
    ----------
    u : 0 to 1, where in its range it lies.
    """
    low = least if least is not None else _far(most or 0.0, 0.3)
    high = most if most is not None else _far(least or 0.0, 2.0)
    # As finely as the limits ask for: what is well within, or outside, is so when rounded.
    decimals = ceil(-log10(0.05 * (high - low))) if high > low else 3
    if within:
        value = low + (high - low) * (0.05 + 0.9 * u)
    elif least is not None and (most is None or u < 0.5):
        value = low - (high - low) * (0.05 + 0.3 * u)
    else:
        value = high + (high - low) * (0.05 + 0.3 * u)
    return round(value, decimals)


@dataclass(frozen=True, slots=True)
class Measured:
    """What an inspection wrote down of one operation: fields of a finding, in their order."""

    verdict: Verdict
    measurement: float | None = None
    limit: float | None = None
    reading_unit: str = ""


def inspected(operation: Operation, needed: bool, chance: Random) -> Measured:
    """Whether an operation is needed, by the measurement where the operation has a limit."""
    verdict = Verdict.REPAIR if needed else Verdict.USE
    least, most = operation.inspect_least, operation.inspect_most
    if least is None and most is None:
        return Measured(verdict)
    value = measured(least, most, not needed, chance.random())
    limit = most if most is not None else least
    return Measured(verdict, value, limit, operation.inspect_unit)


def _far(limit: float, share: float) -> float:
    return limit * share if limit else share
