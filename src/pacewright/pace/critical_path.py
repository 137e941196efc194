"""The route of one type as a network of charges, and its critical path."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil

from pacewright.shops.route import Route
from pacewright.shops.tables import Stage

CRITICAL_DAYS = 1e-6
"""A slack below this is none."""

Charge = tuple[str, int]
"""A stage, and which of the charges of one vehicle there (0 first)."""


@dataclass(frozen=True, slots=True)
class ChargeTimes:
    """Earliest and latest start and end of one charge [working days from gate-in]."""

    earliest_start: float
    earliest_end: float
    latest_start: float
    latest_end: float

    @property
    def slack(self) -> float:
        """How much later it may start without delaying the vehicle."""
        return self.latest_start - self.earliest_start


@dataclass(frozen=True)
class Network:
    """What must come before what for one vehicle alone in the works.

    Parameters
    ----------
    days : charge -> time on the position [working days].
    before : charge -> charges that must end before it; every charge stands after those.
    delay : charge -> wait before it starts, added to its start [working days].
    """

    days: dict[Charge, float]
    before: dict[Charge, tuple[Charge, ...]]
    delay: dict[Charge, float]

    @property
    def length(self) -> float:
        """The longest way through [working days]."""
        return max((one.earliest_end for one in self.schedule().values()), default=0.0)

    def schedule(self) -> dict[Charge, ChargeTimes]:
        """Forward and backward pass of the critical path method (Kelley and Walker 1959)."""
        starts: dict[Charge, float] = {}
        for charge, earlier in self.before.items():
            ready = max((starts[one] + self.days[one] for one in earlier), default=0.0)
            starts[charge] = ready + self.delay[charge]
        end = max((starts[one] + self.days[one] for one in starts), default=0.0)
        latest_ends = dict.fromkeys(self.before, end)
        for charge in reversed(self.before):
            must_end = latest_ends[charge] - self.days[charge] - self.delay[charge]
            for one in self.before[charge]:
                latest_ends[one] = min(latest_ends[one], must_end)
        return {
            charge: ChargeTimes(
                earliest_start=starts[charge],
                earliest_end=starts[charge] + self.days[charge],
                latest_start=latest_ends[charge] - self.days[charge],
                latest_end=latest_ends[charge],
            )
            for charge in self.before
        }


def network_of(
    route: Route, days: Mapping[str, float], delay: Mapping[str, float] | None = None
) -> Network:
    """The network of one vehicle.

    Pieces of one vehicle go in charges of ``charge_size``; a charge waits for the positions that
    an earlier charge of the same vehicle holds; piece follows piece where both stages handle the
    same number, else all wait for all (parting and marrying).

    Parameters
    ----------
    route : the stages of the type.
    days : stage -> time on a position [working days].
    delay : stage -> mean wait before it; left out: none. It holds for the charges of the first
        round; those of later rounds wait for their own fellows anyway.
    """
    delay = delay or {}
    every = {stage.stage_id: stage for stage in route.stages}
    at_once = {stage.stage_id: stage.charges_at_once for stage in route.stages}
    before: dict[Charge, tuple[Charge, ...]] = {}
    for stage in route.stages:
        for number in range(charges_of(route, stage)):
            links = [
                link
                for one in route.follows[stage.stage_id]
                for link in _links(route, every[one], stage, number)
            ]
            if number >= stage.charges_at_once:
                links.append((stage.stage_id, number - stage.charges_at_once))
            before[stage.stage_id, number] = tuple(links)
    return Network(
        days={charge: days[charge[0]] for charge in before},
        before=before,
        delay={
            (stage_id, number): delay.get(stage_id, 0.0) if number < at_once[stage_id] else 0.0
            for stage_id, number in before
        },
    )


def charges_of(route: Route, stage: Stage) -> int:
    """How many charges the pieces of one vehicle make at the stage."""
    return ceil(route.passes[stage.stage_id] / stage.charge_size)


def _links(route: Route, earlier: Stage, stage: Stage, number: int) -> list[Charge]:
    pieces = route.passes[stage.stage_id]
    if route.passes[earlier.stage_id] != pieces:
        return [(earlier.stage_id, one) for one in range(charges_of(route, earlier))]
    mine = range(number * stage.charge_size, min(pieces, (number + 1) * stage.charge_size))
    needed = sorted({piece // earlier.charge_size for piece in mine})
    return [(earlier.stage_id, one) for one in needed]
