"""Grow a works to a wanted pace and promise: what helps most for its cost, what is idle taken back.

First the closed forms: whatever the pace alone overloads is brought below ``FULL``. Then step by
step: what the greatest hold-ups and the fullest places ask for goes on trial, one by one, with the
same chances; what takes most late vehicles off the works for its cost stays, several at a time
while the promise is far off. At last everything is taken back on trial until nothing more can go.
"""

import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from math import hypot, nan

from pacewright.base.progress import Progress, silent
from pacewright.plans.growth import Growth, RampMonth, Step, StepBack
from pacewright.plans.line import Line
from pacewright.plans.programme import Programme
from pacewright.simulate.additions import Prices, cost_of, with_more, with_steps
from pacewright.simulate.bottlenecks import Ask, asks, not_below, overloaded
from pacewright.simulate.executors import Workers
from pacewright.simulate.ramp import Month, MonthNeeds, ramp_table
from pacewright.simulate.trials import Stand, TrialRuns, Trials
from pacewright.simulate.trim import (
    Bought,
    Place,
    Taking,
    bought_by,
    cost_each,
    taken_back,
)
from pacewright.works import Works

LOOK = 3
"""Runs of each addition on trial; shared chances make so few enough to rank by."""
FAR, NEAR = 0.3, 0.1
"""Shares of vehicles short of the promise: above the first up to ``MANY_FAR`` additions are taken
at a time, above the second ``MANY_NEAR``, else one."""
MANY_FAR, MANY_NEAR = 6, 3
WORTH = 0.25
"""What is taken along brings at least this share of what the best brings for its cost."""
KEPT = "the promise is kept over the chances of the search"
"""How a search ends that found what it looked for."""
TRIMMED, VERIFIED = 1, 2
"""Fresh chances of the trimming and of the verification."""
MOST_BACK = 5
"""So many additions come back at the most where the verification fails; each time over chances of
its own, so that no luck is picked."""


@dataclass(frozen=True)
class Wanted:
    """What is wanted, and how hard it is looked for.

    Parameters
    ----------
    pace_a_week, turn_days, promise : share ``promise`` of the vehicles within ``turn_days``.
    prices : of what can be added.
    most_steps : rounds of steps by simulation at the most.
    weeks, warm_up_weeks, replications, seed : of every set of runs.
    ramp_months : months from the present pace to the wanted one; 0: no ramp.
    """

    pace_a_week: float
    turn_days: float
    promise: float
    prices: Prices = field(default_factory=Prices)
    most_steps: int = 40
    weeks: int = 52
    warm_up_weeks: int = 26
    replications: int = 10
    seed: int = 1
    ramp_months: int = 0


@dataclass(frozen=True)
class Ground:
    """What a works is grown from.

    Parameters
    ----------
    works : as it is; its types have ``Wanted.turn_days`` as their turn time.
    programme : gives the mix of types.
    line_of : closed forms of a works at the wanted pace.
    months : paces of the ramp, the wanted pace last; empty: none.
    names : works, hash of its inputs, version of this program.
    """

    works: Works
    programme: Programme
    line_of: Callable[[Works], Line]
    months: Sequence[Month] = ()
    names: tuple[str, str, str] = ("", "", "")


class _Growing:
    """The works as it grows."""

    def __init__(self, ground: Ground, wanted: Wanted, trials: Trials) -> None:
        self.ground, self.wanted, self.trials = ground, wanted, trials
        self.steps: list[Step] = []
        self.rounds = 0
        self.put_back = 0
        self.backs: tuple[StepBack, ...] = ()
        self.ramp: tuple[RampMonth, ...] = ()

    def works(self, steps: Sequence[Step]) -> Works:
        return with_steps(self.ground.works, steps)

    def settle(self, works: Works, fresh: int = 0) -> Stand:
        return self.trials.settle(works, self.wanted.pace_a_week, fresh)

    def cost(self, works: Works, ask: Ask) -> float:
        return cost_of(works, self.wanted.prices, ask.added, ask.place_id, ask.how_many)

    def add(self, taken: Sequence[Ask], stand: Stand) -> None:
        """Write steps down; what the runs say stands at the last of them."""
        works = self.works(self.steps)
        for place, ask in enumerate(taken, start=1):
            said = (nan, nan, nan)
            if place == len(taken):
                said = stand.chance, stand.half_width, stand.there
            cost = self.cost(works, ask)
            step = Step(ask.added, ask.place_id, ask.how_many, cost, ask.why, *said)
            self.steps.append(step)
            works = with_steps(works, [step])

    def start_by_closed_forms(self, stand: Stand) -> Stand:
        """What the pace alone overloads is relieved at once."""
        prices = self.wanted.prices
        first = [
            ask
            for ask in overloaded(self.ground.line_of(self.ground.works))
            if prices.sells(ask.added)
        ]
        if not first:
            return stand
        after = self.settle(_with(self.ground.works, first))
        self.add(first, after)
        return after

    def relieve(self, stand: Stand) -> Stand | None:
        """One round; None: nothing is left that an addition relieves."""
        self.rounds += 1
        works, pace = self.works(self.steps), self.wanted.pace_a_week
        gap = self.wanted.promise - stand.chance
        asked = asks(works, stand, self.ground.line_of(works), self.wanted.prices, gap > FAR)
        base = self.trials.look(works, pace, LOOK)
        worth = []
        for ask in asked:
            trial = self.trials.look(_with(works, [ask]), pace, LOOK)
            gain = float(base.late.mean() - trial.late.mean())
            worth.append((gain / max(self.cost(works, ask), 1e-9), ask))
        if not worth:
            return None
        worth.sort(key=lambda one: -one[0])
        many = MANY_FAR if gap > FAR else MANY_NEAR if gap > NEAR else 1
        best = worth[0][0]
        # Where nothing helps by itself the first asked for are relieved together all the same:
        # two places in a row may both be short. What turns out idle is taken back at the end.
        taken = (
            [ask for value, ask in worth[:many] if value >= WORTH * best]
            if best > 0
            else list(asked[:MANY_NEAR])
        )
        after = self.settle(_with(works, taken))
        self.add(taken, after)
        return after

    def with_bought(self, bought: Bought) -> Works:
        """The works as it is with so much added."""
        works = self.ground.works
        for (added, place_id), many in bought.items():
            works = with_more(works, added, place_id, many)
        return works

    def least(self, bought: Bought, pace: float) -> tuple[Bought, Stand | None, dict[Place, Stand]]:
        """What is needed at a pace, its runs, and the runs with one less of each place."""
        stand = self.trials.surely(self.with_bought(bought), pace, TRIMMED)
        promise = self.wanted.promise
        if not stand.keeps(promise):
            return bought, None, {}

        def run(left: Bought, full: Stand) -> Stand:
            return self.trials.settle(self.with_bought(left), pace, TRIMMED, full)

        floor = not_below(self.trials.how.line, pace / self.wanted.pace_a_week)
        return Taking(cost_each(self.steps), floor, run, promise).least(bought, stand)

    def trim(self) -> None:
        """Take back what is not needed, and keep the evidence that the rest is."""
        bought, stand, failed = self.least(bought_by(self.steps), self.wanted.pace_a_week)
        self.steps = taken_back(self.steps, bought)
        if stand is None:
            return
        for place, trial in failed.items():
            chance, half = trial.beside(stand)
            # Both are uncertain: the answer's own share, and the difference from it.
            half = hypot(half, stand.half_width)
            back = StepBack(*place, bought[place], chance, half, trial.replications)
            self.backs = (*self.backs, back)

    def verify(self) -> Stand:
        """Over chances not used before; where that fails, what went last comes back, one by one."""
        fresh = VERIFIED
        stand = self.surely(fresh)
        while not stand.keeps(self.wanted.promise) and fresh < VERIFIED + MOST_BACK:
            place = next(
                (n for n in reversed(range(len(self.steps))) if self.steps[n].taken_back), None
            )
            if place is None:
                break
            step = self.steps[place]
            self.steps[place] = replace(step, taken_back=step.taken_back - 1)
            fresh += 1
            stand = self.surely(fresh)
            self.put_back += 1
        return stand

    def surely(self, fresh: int) -> Stand:
        """As many runs as are ever made of the works as it has grown."""
        return self.trials.surely(self.works(self.steps), self.wanted.pace_a_week, fresh)

    def plan_ramp(self) -> None:
        """What each month needs, from the last month back: no month needs more than the next."""
        bought = bought_by(self.steps)
        needs: list[MonthNeeds] = []
        for month in reversed(self.ground.months):
            if needs:
                bought, _, _ = self.least(bought, month.pace_a_week)
            stand = self.trials.surely(self.with_bought(bought), month.pace_a_week, VERIFIED)
            needs.append(MonthNeeds(month, bought, stand.chance, stand.half_width))
        self.ramp = ramp_table(needs[::-1], cost_each(self.steps))

    def search(self, stand: Stand) -> str:
        """Add until the promise is kept, over the chances of the trimming as well; why it ended."""
        promise, most = self.wanted.promise, self.wanted.most_steps
        if not stand.keeps(promise):
            stand = self.start_by_closed_forms(stand)
        while True:
            if stand.keeps(promise):
                stand = self.surely(TRIMMED)
                if stand.keeps(promise):
                    return KEPT
            if self.rounds >= most:
                return f"the most rounds, {most}"
            after = self.relieve(stand)
            if after is None:
                return "no hold-up is left that anything for sale relieves"
            stand = after


def _with(works: Works, taken: Sequence[Ask]) -> Works:
    for ask in taken:
        works = with_more(works, ask.added, ask.place_id, ask.how_many)
    return works


def grow(ground: Ground, wanted: Wanted, workers: Workers, progress: Progress = silent) -> Growth:
    """The path from the works as it is to one that keeps a pace and a promise.

    Parameters
    ----------
    ground : see there. ``wanted`` : see there.
    workers : in whose hands the runs are.

    Returns
    -------
    The path; ``reached`` only if fresh chances say so. No single addition of it can be taken back
    (``backs``); it is not proved the cheapest of all. With Ctrl-C: the path so far.

    Raises
    ------
    KeyboardInterrupt : Ctrl-C before the works as it is was run, or while the answer is verified.
    """
    began = time.perf_counter()
    how = TrialRuns(
        programme=ground.programme,
        line=ground.line_of(ground.works),
        turn_days=wanted.turn_days,
        promise=wanted.promise,
        weeks=wanted.weeks,
        warm_up_weeks=wanted.warm_up_weeks,
        replications=wanted.replications,
        seed=wanted.seed,
    )
    trials = Trials(how, workers, progress)
    going = _Growing(ground, wanted, trials)
    start = going.settle(ground.works)
    stopped = "interrupted"
    with suppress(KeyboardInterrupt):
        stopped = going.search(start)
        if stopped == KEPT:
            stopped = "interrupted while taking back what is not needed"
            going.trim()
            stopped = KEPT
    check = going.verify() if stopped == KEPT else going.settle(going.works(going.steps), VERIFIED)
    if stopped == KEPT and ground.months:
        stopped = "interrupted in the ramp"
        with suppress(KeyboardInterrupt):
            going.plan_ramp()
            stopped = KEPT
    return _growth(going, (start, check), stopped, time.perf_counter() - began)


def _growth(going: _Growing, both: tuple[Stand, Stand], stopped: str, seconds: float) -> Growth:
    wanted, trials = going.wanted, going.trials
    start, check = both
    return Growth(
        *going.ground.names,
        pace_a_week=wanted.pace_a_week,
        turn_days=wanted.turn_days,
        promise=wanted.promise,
        start_chance=start.chance,
        start_half_width=start.half_width,
        start_there=start.there,
        steps=tuple(going.steps),
        works=going.works(going.steps),
        verified_chance=check.chance,
        verified_half_width=check.half_width,
        verified_replications=check.replications,
        reached=check.keeps(wanted.promise),
        stopped_by=stopped,
        cost=sum(step.cost_stays for step in going.steps),
        priced=wanted.prices.given,
        runs=trials.sets,
        replications=trials.replications,
        seed=wanted.seed,
        weeks=wanted.weeks,
        warm_up_weeks=wanted.warm_up_weeks,
        backs=going.backs,
        put_back=going.put_back,
        ramp=going.ramp,
        notes=tuple(check.data.measure.table.notes),
        seconds=seconds,
    )
