"""When a vehicle stands at which stage, were there no waiting: working days from gate-in."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from pacewright.shops.route import Route
from pacewright.shops.tables import Stage


@dataclass(frozen=True, slots=True)
class StageDays:
    """Earliest stretch of one stage [working days from gate-in]."""

    stage_id: str
    start: float
    end: float


def route_days(
    route: Route, positions: dict[str, int], stage_days: Callable[[Stage], float]
) -> dict[str, StageDays]:
    """The earliest stretch of every stage of a route, by the forward pass of the critical path.

    Parameters
    ----------
    route : the route of one vehicle type.
    positions : stage -> positions; when a vehicle has more pieces than positions they take turns.
    stage_days : mean time of one piece on a position [working days].
    """
    found: dict[str, StageDays] = {}
    for stage in route.stages:
        start = max((found[one].end for one in route.follows[stage.stage_id]), default=0.0)
        turns = math.ceil(route.passes[stage.stage_id] / positions[stage.stage_id])
        found[stage.stage_id] = StageDays(stage.stage_id, start, start + turns * stage_days(stage))
    return found
