"""Who there is: type, depot and use of every vehicle, and how long its interval lasts it."""

from dataclasses import dataclass, replace

import numpy as np

from pacewright.fleet.tables import Depot
from pacewright.invent.catalogue import Catalogue
from pacewright.invent.draws import Draws, Floats, Whole

DAYS_A_MONTH = 30.4375
# No depot of a works is made to run many more vehicles than this, up to five of each name.
_DEPOT_VEHICLES = 220
_DEPOTS_OF_A_NAME = 5
_VEHICLES_FOR_A_DEPOT = 40


@dataclass(frozen=True)
class Roll:
    """The fleet, one place a vehicle in every array.

    Parameters
    ----------
    depots : the depots, without their limits.
    type_at, depot_at : place in the list of types and of depots.
    distance_a_day : usual use [distance unit a calendar day].
    life_days : calendar days from one overhaul to the due date of the next.
    used_days : calendar days of them that are run before the works calls the vehicle in.
    """

    depots: tuple[Depot, ...]
    type_at: Whole
    depot_at: Whole
    distance_a_day: Floats
    life_days: Floats
    used_days: Floats


def roll_drawn(catalogue: Catalogue, vehicles: int, draws: Draws) -> Roll:
    """The fleet of a number of vehicles; vehicles stand in order of type."""
    depots, shares, use = _depots(catalogue, vehicles)
    type_at = np.sort(draws.by_share(vehicles, catalogue.shares("vehicle_types", "fleet_share")))
    depot_at = draws.by_share(vehicles, shares)
    scatter = np.clip(1 + 0.07 * draws.bell(vehicles), 0.75, 1.25)
    distance_a_day = np.array(use)[depot_at] * scatter
    months = np.array([one.interval_months or np.inf for one in catalogue.types])
    distance = np.array([one.interval_distance or np.inf for one in catalogue.types])
    life_days = np.minimum(months[type_at] * DAYS_A_MONTH, distance[type_at] / distance_a_day)
    used_days = life_days - catalogue.kind["called_ahead_days"]
    return Roll(depots, type_at, depot_at, distance_a_day, life_days, used_days)


def _depots(
    catalogue: Catalogue, vehicles: int
) -> tuple[tuple[Depot, ...], list[float], list[float]]:
    # A small fleet has the first few depots only, a large one several of each name.
    named = catalogue.depots
    kept = min(len(named), max(2, vehicles // _VEHICLES_FOR_A_DEPOT))
    times = -(-vehicles // (_DEPOT_VEHICLES * len(named)))
    copies = range(1, 1 + min(_DEPOTS_OF_A_NAME, max(1, times)))
    share = catalogue.shares("depots", "fleet_share")[:kept]
    use = catalogue.shares("depots", "distance_a_day")[:kept]
    depots = tuple(
        depot
        if copy == 1
        else replace(depot, depot_id=f"{depot.depot_id}-{copy}", name=f"{depot.name} {copy}")
        for copy in copies
        for depot in named[:kept]
    )
    return depots, share * len(copies), use * len(copies)
