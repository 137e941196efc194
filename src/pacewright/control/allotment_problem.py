"""Who gets what, as plain data: an assignment of what there is and what comes to the needs."""

from dataclasses import dataclass

NONE_IN_SIGHT_DAYS = 60.0
"""Days that a need is taken to wait when nothing at all is in sight for it (our rule)."""

STANDING_WEIGHT = 0.1
"""A day that a vehicle stands within its slack, against a day late (our rule)."""

UNPROMISED_WEIGHT = 0.5
"""A day late of a vehicle to which nothing is promised, against one that has a promise."""


@dataclass(frozen=True, slots=True)
class Slot:
    """One unit or assembly that one vehicle needs.

    Parameters
    ----------
    sort : unit kind or assembly.
    vehicle : number of the vehicle in the problem.
    needed_day : on the clock of the works.
    """

    sort: str
    vehicle: int
    needed_day: float


@dataclass(frozen=True, slots=True)
class Supply:
    """One unit or assembly that is there, or comes.

    Parameters
    ----------
    sort : unit kind or assembly.
    ready_day : when it can be had, on the clock.
    vehicles : numbers of the vehicles it may go to; None: all that need the sort.
    mate : number of the supply it is matched with and goes together with; -1: none.
    own_vehicle : vehicle it came with, preferred where all else is equal; -1: none.
    """

    sort: str
    ready_day: float
    vehicles: frozenset[int] | None = None
    mate: int = -1
    own_vehicle: int = -1

    def may_go_to(self, slot: Slot) -> bool:
        """True when it is of the sort and may go to the vehicle."""
        fits = self.vehicles is None or slot.vehicle in self.vehicles
        return self.sort == slot.sort and fits


@dataclass(frozen=True)
class AllotmentProblem:
    """Needs, what there is, and what a day costs.

    Parameters
    ----------
    slots, supplies : what is needed; what is there or comes.
    slack_days : per vehicle: days it may stand before its promise breaks, 0 or more.
    weight : per vehicle: what a day late counts.

    Equations
    ---------
    Vehicle v stands d_v = max over its slots i of (ready day of what i gets - needed day of i)+,
    ``NONE_IN_SIGHT_DAYS`` for a slot that gets nothing. Its cost is
    w_v ((d_v - slack_v)+ + 0.1 d_v); the allotment has the least sum over all vehicles.
    """

    slots: tuple[Slot, ...]
    supplies: tuple[Supply, ...]
    slack_days: tuple[float, ...]
    weight: tuple[float, ...]

    def delay(self, slot: Slot, supply: Supply | None) -> float:
        """Days that a slot makes its vehicle stand."""
        if supply is None:
            return NONE_IN_SIGHT_DAYS
        return max(0.0, supply.ready_day - slot.needed_day)

    def cost(self, given: tuple[int, ...]) -> float:
        """The cost of giving slot i the supply ``given[i]`` (-1: none) [weighted days]."""
        stands = self.stands_days(given)
        return sum(
            weight * (max(0.0, days - slack) + STANDING_WEIGHT * days)
            for days, slack, weight in zip(stands, self.slack_days, self.weight, strict=True)
        )

    def stands_days(self, given: tuple[int, ...]) -> list[float]:
        """Days each vehicle stands."""
        days = [0.0] * len(self.slack_days)
        for slot, j in zip(self.slots, given, strict=True):
            mine = self.delay(slot, self.supplies[j] if j >= 0 else None)
            days[slot.vehicle] = max(days[slot.vehicle], mine)
        return days

    def faults(self, given: tuple[int, ...]) -> tuple[str, ...]:
        """Every rule that an assignment breaks; empty when it is sound."""
        found = []
        taken = [j for j in given if j >= 0]
        if len(taken) != len(set(taken)):
            found.append("something is given out twice")
        to: dict[int, int] = {}
        for slot, j in zip(self.slots, given, strict=True):
            if j < 0:
                continue
            to[j] = slot.vehicle
            if not self.supplies[j].may_go_to(slot):
                found.append(f"supply {j} cannot go to vehicle {slot.vehicle} as {slot.sort}")
        for j, vehicle in to.items():
            mate = self.supplies[j].mate
            if mate >= 0 and to.get(mate) != vehicle:
                found.append(f"supply {j} goes without its mate {mate}")
        return tuple(found)
