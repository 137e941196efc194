"""Grow a works to a wanted pace and promise: the dearest bottleneck first, what is idle taken back.

First the closed forms: whatever the pace alone overloads is brought below ``FULL``. Then step by
step: of the greatest hold-ups each is relieved by one on trial, with the same chances, and the one
that takes most vehicles off the floor for its cost stays. At last every step is taken back on
trial, the dearest first, and stays away if the promise holds without it.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import ceil, inf, nan

from pacewright.base.progress import Progress, silent
from pacewright.parts.tables import FloatHeld
from pacewright.plans.forecast import Cause
from pacewright.plans.growth import Added, Growth, Step
from pacewright.plans.line import Line
from pacewright.plans.plan import Plan
from pacewright.simulate.executors import Workers
from pacewright.simulate.figures import figures
from pacewright.simulate.places import hold_ups
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.replicate import HowSure, Stopped
from pacewright.simulate.solve import Question, Start, run_through
from pacewright.works import Works

FULL = 0.95
"""Use by the closed forms above which a place cannot keep the pace under chance."""
TRIALS = 4
"""Greatest hold-ups relieved on trial at each step."""
TRIMMED, VERIFIED = 1, 2
"""Fresh chances of the trimming and of the verification."""
RELIEF = {
    Cause.POSITION: Added.POSITIONS,
    Cause.PEOPLE: Added.PEOPLE,
    Cause.PART: Added.FLOAT,
}
"""What relieves a hold-up; other causes have no addition of their own."""


@dataclass(frozen=True)
class Wanted:
    """What is wanted, and how hard it is looked for.

    Parameters
    ----------
    pace_a_week, turn_days, promise : share ``promise`` of the vehicles within ``turn_days``.
    person_cost, position_cost : money; None for either: every unit of anything counts 1.
    most_steps : steps by simulation at the most.
    weeks, warm_up_weeks, replications, seed : of every set of runs.
    """

    pace_a_week: float
    turn_days: float
    promise: float
    person_cost: float | None = None
    position_cost: float | None = None
    most_steps: int = 40
    weeks: int = 52
    warm_up_weeks: int = 26
    replications: int = 10
    seed: int = 1


@dataclass(frozen=True)
class _Stand:
    """What one set of runs says."""

    chance: float
    half_width: float
    there: float
    asks: tuple[tuple[Added, str, str], ...]

    def keeps(self, promise: float) -> bool:
        return self.chance - self.half_width >= promise


class _Growing:
    """The works as it grows."""

    def __init__(
        self,
        works: Works,
        wanted: Wanted,
        plan_of: Callable[[Works], Plan],
        workers: Workers,
        progress: Progress,
    ) -> None:
        self.base, self.wanted, self.plan_of, self.workers = works, wanted, plan_of, workers
        self.progress, self.runs = progress, 0
        self.steps: list[Step] = []

    def works(self, steps: list[Step]) -> Works:
        grown = self.base
        for step in steps:
            if not step.taken_back:
                grown = with_more(grown, step.added, step.place_id, step.how_many)
        return grown

    def stand(self, works: Works, fresh: int = 0) -> _Stand:
        """Run the works through; ``fresh`` other than 0 gives other chances.

        Where the promise is kept on the mean but not yet surely, more runs come before more people.
        """
        count, promise = self.wanted.replications, self.wanted.promise
        found = self.once(works, fresh, count)
        while found.chance >= promise and not found.keeps(promise) and count < self.most_runs:
            count *= 4
            found = self.once(works, fresh, count)
        return found

    @property
    def most_runs(self) -> int:
        """Replications at which a mean just over the promise is no longer looked at closer."""
        return 16 * self.wanted.replications

    def once(self, works: Works, fresh: int, count: int) -> _Stand:
        wanted, plan = self.wanted, self.plan_of(works)
        self.progress(f"step {len(self.steps)}, set of runs {self.runs + 1}", 0.0)
        self.runs += 1
        flow = FlowOptions(
            calls=Calls.EVEN, weeks=wanted.weeks, pace_a_day=wanted.pace_a_week / works.week_days
        )
        sure = HowSure(count, seed=wanted.seed + 7919 * fresh)
        question = Question(Start.EMPTY, flow, wanted.warm_up_weeks, sure)
        through = run_through(works, plan, question, self.workers)
        if through.stopped is Stopped.INTERRUPTED and fresh != VERIFIED:
            raise KeyboardInterrupt
        data = through.data
        found = {one.key: one for one in figures(data)}
        kept = found["promise_chance"]
        asks = tuple(
            (RELIEF[one.cause], one.place_id, f"{one.cause.value}, {one.name}: "
             f"{one.vehicle_days_a_year:,.0f} vehicle-days a year")
            for one in hold_ups(data)
            if one.cause in RELIEF and not one.place_id.endswith(" doors")
        )  # fmt: skip
        there = found["inside_mean"].mean + found["gate_mean"].mean
        chance, half = (kept.mean, kept.half_width) if kept.mean == kept.mean else (0.0, inf)
        return _Stand(chance, half, there, asks)

    def cost(self, added: Added, place_id: str, how_many: int) -> float:
        wanted = self.wanted
        if wanted.person_cost is None or wanted.position_cost is None:
            return float(how_many)
        prices = {one.unit_kind_id: one.unit_cost for one in self.base.unit_kinds}
        each = {Added.PEOPLE: wanted.person_cost, Added.POSITIONS: wanted.position_cost}
        return how_many * each.get(added, prices.get(place_id, 0.0))

    def step(self, ask: tuple[Added, str, str], how_many: int, stand: _Stand | None) -> Step:
        added, place_id, why = ask
        chance, half, there = (
            (stand.chance, stand.half_width, stand.there) if stand else (nan, nan, nan)
        )
        cost = self.cost(added, place_id, how_many)
        return Step(added, place_id, how_many, cost, why, chance, half, there)

    def relieve(self, stand: _Stand) -> _Stand | None:
        """Take the step that takes most off the floor for its cost; None: nothing to relieve."""
        found: list[tuple[float, Step, _Stand]] = []
        for ask in stand.asks[:TRIALS]:
            trial = self.stand(with_more(self.works(self.steps), ask[0], ask[1], 1))
            step = self.step(ask, 1, trial)
            found.append(((stand.there - trial.there) / max(step.cost, 1e-9), step, trial))
            if trial.keeps(self.wanted.promise):
                break
        if not found:
            return None
        # Where no trial helps by itself the greatest hold-up is relieved all the same: two places
        # in a row may both be short. What turns out idle is taken back at the end.
        best = max(found, key=lambda one: one[0]) if any(one[0] > 0 for one in found) else found[0]
        if found[-1][2].keeps(self.wanted.promise):
            best = found[-1]
        self.steps.append(best[1])
        return best[2]

    def trim(self) -> None:
        """Take back what is not needed, the dearest first, over fresh chances."""
        for place in sorted(range(len(self.steps)), key=lambda n: -self.steps[n].cost):
            without = list(self.steps)
            without[place] = replace(self.steps[place], taken_back=True)
            if self.stand(self.works(without), fresh=TRIMMED).keeps(self.wanted.promise):
                self.steps = without


def grow(
    works: Works,
    wanted: Wanted,
    plan_of: Callable[[Works], Plan],
    workers: Workers,
    progress: Progress = silent,
) -> Growth:
    """The path from the works as it is to one that keeps a pace and a promise.

    Parameters
    ----------
    works : its types have ``wanted.turn_days`` as their turn time.
    wanted : see there.
    plan_of : makes the plan of a works at the wanted pace.
    workers : in whose hands the runs are.

    Returns
    -------
    The path; ``reached`` only if fresh chances say so. It is a good set by ranking bottlenecks,
    not proved to be the cheapest. With Ctrl-C: the path so far.
    """
    going = _Growing(works, wanted, plan_of, workers, progress)
    stand = start = going.stand(works)
    stopped = "the promise is kept"
    try:
        if not stand.keeps(wanted.promise):
            going.steps += [
                going.step(ask, more, None) for ask, more in overloaded(plan_of(works).line)
            ]
            stand = going.stand(going.works(going.steps)) if going.steps else stand
        while not stand.keeps(wanted.promise):
            if sum(step.there_mean == step.there_mean for step in going.steps) >= wanted.most_steps:
                stopped = f"the most steps, {wanted.most_steps}"
                break
            after = going.relieve(stand)
            if after is None:
                stopped = "no hold-up is left that people, positions or units relieve"
                break
            stand = after
        else:
            going.trim()
    except KeyboardInterrupt:
        stopped = "interrupted"
    final = going.works(going.steps)
    check = going.stand(final, fresh=VERIFIED)
    return Growth(
        pace_a_week=wanted.pace_a_week,
        turn_days=wanted.turn_days,
        promise=wanted.promise,
        start_chance=start.chance,
        start_there=start.there,
        steps=tuple(going.steps),
        works=final,
        verified_chance=check.chance,
        verified_half_width=check.half_width,
        reached=check.keeps(wanted.promise),
        stopped_by=stopped,
        cost=sum(step.cost for step in going.steps if not step.taken_back),
        runs=going.runs,
    )


def overloaded(line: Line) -> list[tuple[tuple[Added, str, str], int]]:
    """What the pace alone overloads by the closed forms, and how many bring it below ``FULL``."""
    found = []
    for stage in line.stages:
        more = ceil(stage.positions_mean / FULL - 1e-9) - stage.positions
        if more > 0:
            why = f"{stage.use_share:.0%} of its positions in use at the pace (closed form)"
            found.append(((Added.POSITIONS, stage.stage_id, why), more))
    for trade in line.trades:
        more = ceil(trade.people_mean / FULL - trade.people - 1e-9)
        if more > 0:
            why = f"{trade.use_share:.0%} of its hours needed at the pace (closed form)"
            found.append(((Added.PEOPLE, f"{trade.shop_id} {trade.trade_id}", why), more))
    return found


def with_more(works: Works, added: Added, place_id: str, how_many: int) -> Works:
    """The works with so many more at a place."""
    if added is Added.POSITIONS:
        stages = tuple(
            replace(one, positions=one.positions + how_many) if one.stage_id == place_id else one
            for one in works.stages
        )
        return replace(works, stages=stages)
    if added is Added.PEOPLE:
        people = tuple(
            replace(one, people=one.people + how_many)
            if f"{one.shop_id} {one.trade_id}" == place_id
            else one
            for one in works.people
        )
        return replace(works, people=people)
    floats = tuple(
        replace(one, serviceable=one.serviceable + how_many)
        if one.unit_kind_id == place_id
        else one
        for one in works.floats
    )
    if all(one.unit_kind_id != place_id for one in works.floats):
        floats += (FloatHeld(place_id, how_many, 0),)
    return replace(works, floats=floats)
