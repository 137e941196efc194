"""Prices for setting floats together, also for kinds whose price is not known."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median


@dataclass(frozen=True, slots=True)
class PricedKinds:
    """A price above 0 for each kind; ``unknown`` of them stand at ``assumed``."""

    costs: tuple[float, ...]
    unknown: int
    assumed: float


def priced(unit_costs: Sequence[float]) -> PricedKinds:
    """Prices as stated; where none is stated the middle one of the others (none at all: 1).

    Without a price the cheapest list would hold such a kind without end.
    """
    known = [cost for cost in unit_costs if cost > 0]
    assumed = float(median(known)) if known else 1.0
    costs = tuple(cost if cost > 0 else assumed for cost in unit_costs)
    return PricedKinds(costs, len(unit_costs) - len(known), assumed)
