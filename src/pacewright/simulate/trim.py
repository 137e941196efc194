"""What is not needed of a set of additions: taken back in blocks, then one by one."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from pacewright.plans.growth import Added, Step
from pacewright.simulate.trials import Stand

Place = tuple[Added, str]
Bought = dict[Place, int]
"""How many of what has been added where; nothing stands with 0."""


def bought_by(steps: Sequence[Step]) -> Bought:
    """What stays of the steps, place by place."""
    found: Bought = {}
    for step in steps:
        if step.stays:
            place = step.added, step.place_id
            found[place] = found.get(place, 0) + step.stays
    return found


def cost_each(steps: Sequence[Step]) -> dict[Place, float]:
    """Cost of one at each place, as it was paid."""
    found: dict[Place, tuple[float, int]] = {}
    for step in steps:
        cost, many = found.get((step.added, step.place_id), (0.0, 0))
        found[step.added, step.place_id] = cost + step.cost, many + step.how_many
    return {place: cost / many for place, (cost, many) in found.items()}


def taken_back(steps: Sequence[Step], left: Bought) -> list[Step]:
    """The steps of which only ``left`` stays; what came last at a place goes first."""
    over = {place: many - left.get(place, 0) for place, many in bought_by(steps).items()}
    made = []
    for step in reversed(steps):
        back = min(step.stays, over.get((step.added, step.place_id), 0))
        if back:
            over[step.added, step.place_id] -= back
        made.append(replace(step, taken_back=step.taken_back + back))
    return made[::-1]


def without(bought: Bought, block: Sequence[Place]) -> Bought:
    """One less at each place named, as often as it is named."""
    left = dict(bought)
    for place in block:
        left[place] -= 1
    return {place: many for place, many in left.items() if many}


class Taking:
    """Taking back what is not needed at one pace.

    Parameters
    ----------
    each : cost of one at each place.
    floor : so many at each place are never taken back.
    run : runs of so much added; told the runs of the fuller works it is taken from.
    promise : what must be shown to be kept.
    """

    def __init__(
        self,
        each: dict[Place, float],
        floor: Bought,
        run: Callable[[Bought, Stand], Stand],
        promise: float,
    ) -> None:
        self.each, self.floor, self.run, self.promise = each, floor, run, promise

    def free(self, bought: Bought) -> Bought:
        """What may be taken back at all."""
        over = {place: many - self.floor.get(place, 0) for place, many in bought.items()}
        return {place: many for place, many in over.items() if many > 0}

    def least(self, bought: Bought, stand: Stand) -> tuple[Bought, Stand, dict[Place, Stand]]:
        """What is needed of so much added.

        Parameters
        ----------
        stand : its runs, which show the promise kept.

        Returns
        -------
        What is left, its runs, and for each place of it the runs with one less, none of which shows
        the promise kept.
        """
        return self._one_by_one(*self._blocks(bought, stand))

    def _blocks(self, bought: Bought, stand: Stand) -> tuple[Bought, Stand]:
        """Blocks of additions, the dearest first: all, half of them, a quarter, ... two."""
        pieces = [place for place, many in self.free(bought).items() for _ in range(many)]
        pieces.sort(key=lambda place: -self.each[place])
        size = len(pieces)
        while size > 1:
            place = 0
            while place < len(pieces):
                left = without(bought, pieces[place : place + size])
                trial = self.run(left, stand)
                if trial.keeps(self.promise):
                    bought, stand = left, trial
                    del pieces[place : place + size]
                else:
                    place += size
            size = (size + 1) // 2 if size > 2 else 1
        return bought, stand

    def _one_by_one(self, bought: Bought, stand: Stand) -> tuple[Bought, Stand, dict[Place, Stand]]:
        """One at a time, the dearest first, until none can go.

        The runs that failed are all of what is left: what was tried before a success is tried
        again.
        """
        failed: dict[Place, Stand] = {}
        while any(place not in failed for place in self.free(bought)):
            for place in sorted(bought, key=lambda one: -self.each[one]):
                while place in self.free(bought) and place not in failed:
                    left = without(bought, [place])
                    trial = self.run(left, stand)
                    if trial.keeps(self.promise):
                        bought, stand, failed = left, trial, {}
                    else:
                        failed[place] = trial
        return bought, stand, failed
