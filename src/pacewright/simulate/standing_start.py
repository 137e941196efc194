"""Where the pieces and units of the vehicles inside are at the start of a run.

A vehicle is known to stand at one stage. If it is whole there, that is all. If it is parted, its
other pieces stand at the stage of their own way that would be reached on the same working day of
the mean route without waiting; a piece that would be done by then is stored (the leading piece
stands at its last stage). Every stage begun is taken to be done anew, so the first days of a run
show a little more work than there is.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from pacewright.shops.route import Route
from pacewright.shops.tables import Stage
from pacewright.simulate.chains import Chain, TypeChains
from pacewright.simulate.crews import mean_minutes
from pacewright.simulate.table import IN_STORE, NOT_THERE
from pacewright.works import Works

_DONE = 10**9


@dataclass(frozen=True)
class MeanRoute:
    """When the stages of a type begin and end on the mean route without waiting [working days].

    Parameters
    ----------
    works : its shops' hours.
    route : the type's route.
    """

    works: Works
    route: Route

    @cached_property
    def ends(self) -> dict[str, float]:
        """Stage -> its end."""
        ends: dict[str, float] = {}
        for stage in self.route.stages:
            ends[stage.stage_id] = self._begin(stage, ends) + self._days(stage)
        return ends

    def begin(self, stage: Stage) -> float:
        """The day on which a stage begins."""
        return self._begin(stage, self.ends)

    def _begin(self, stage: Stage, ends: dict[str, float]) -> float:
        return max((ends[one] for one in self.route.follows[stage.stage_id]), default=0.0)

    def _days(self, stage: Stage) -> float:
        hours = 24.0 if stage.night_goes_on else self.works.shop_hours_a_day[stage.shop_id]
        return mean_minutes(stage) / 60 / hours


@dataclass(frozen=True)
class Standing:
    """One vehicle inside: how far each of its chains has come.

    Parameters
    ----------
    chains : the chains of its type.
    mean_route : of its type.
    stage_id : where it is known to stand.
    """

    chains: TypeChains
    mean_route: MeanRoute
    stage_id: str

    @cached_property
    def day(self) -> float:
        """Working day of the mean route on which it stands."""
        return self.mean_route.begin(self._stage)

    @cached_property
    def _stage(self) -> Stage:
        return next(s for s in self.mean_route.route.stages if s.stage_id == self.stage_id)

    @cached_property
    def reached(self) -> dict[int, int]:
        """First step of each chain -> its step now; -1 not begun, very many when done."""
        chains = self.chains
        before, after = self._place(chains.before), self._place(chains.after)
        if before >= 0:
            return self._all(before, -1, -1)
        if after >= 0:
            return self._all(_DONE, _DONE, after)
        found = self._all(_DONE, 0, -1)
        for chain in chains.parts:
            place = self._place(chain)
            found[chain.first_step] = place if place >= 0 else self._like_day(chain)
        lead = chains.parts[0]
        found[lead.first_step] = min(found[lead.first_step], lead.end_step - 1)
        return found

    def _all(self, before: int, parts: int, after: int) -> dict[int, int]:
        found = {chain.first_step: parts for chain in self.chains.parts}
        return {**found, self.chains.before.first_step: before, self.chains.after.first_step: after}

    def _place(self, chain: Chain) -> int:
        for place, stage in enumerate(chain.stages):
            if stage.stage_id == self.stage_id:
                return chain.first_step + place
        return -1

    def _like_day(self, chain: Chain) -> int:
        for place, stage in enumerate(chain.stages):
            if self.day < self.mean_route.ends[stage.stage_id]:
                return chain.first_step + place
        return _DONE

    def start_steps(self) -> Iterator[int]:
        """The step (or NOT_THERE, IN_STORE) of the leading piece, then of every other piece."""
        chains, reached = self.chains, self.reached
        before = reached[chains.before.first_step]
        after = reached[chains.after.first_step]
        whole = before if before < _DONE else after
        parted = chains.parts and whole < 0
        yield reached[chains.parts[0].first_step] if parted else whole
        for chain in chains.parts[1:]:
            step = reached[chain.first_step]
            there = IN_STORE if step >= _DONE else step
            yield from [there if parted else NOT_THERE] * chain.pieces

    def passed(self, stage_id: str) -> bool:
        """True when the stage is behind it."""
        for chain in self.chains.all:
            for place, stage in enumerate(chain.stages):
                if stage.stage_id == stage_id:
                    return chain.first_step + place < self.reached[chain.first_step]
        return False

    def days_since(self, stage_id: str) -> float:
        """Working days since the stage ended, on the mean route."""
        return max(0.0, self.day - self.mean_route.ends[stage_id])
