"""Sets of runs of a works on trial: at one pace, with the same chances as all other trials."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import inf, isnan, sqrt

import numpy as np

from pacewright.base.progress import Progress
from pacewright.plans.forecast import HoldUp, Use
from pacewright.plans.line import Line
from pacewright.plans.programme import Programme
from pacewright.plans.stopped import Stopped
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.estimate import share, student_t
from pacewright.simulate.executors import Workers
from pacewright.simulate.gathered import Gathered
from pacewright.simulate.places import hold_ups, uses
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.replicate import HowSure, replicate
from pacewright.simulate.run import Run
from pacewright.simulate.sample import Measure, Sample, worked_minutes
from pacewright.simulate.stopping import runs_until_stopped
from pacewright.simulate.table import Floats
from pacewright.works import Works

CONFIDENCE = 0.95
"""Of the interval of the promise kept."""
CLOSER = 4
"""So many times the runs before a promise is taken as kept: few runs show it too often by luck."""
CLOSEST = 16
"""So many times the runs at the most, where it is still open then."""
FRESH = 7919
"""Seeds of other chances stand so far apart."""


@dataclass(frozen=True)
class TrialRuns:
    """How every set of runs is made.

    Parameters
    ----------
    programme : gives the mix of types. ``line`` : of the works as it is, for its closed forms.
    turn_days, promise : what is promised to how many.
    weeks, warm_up_weeks : counted, and left out before.
    replications, seed : usual count, and all chance.
    """

    programme: Programme
    line: Line
    turn_days: float
    promise: float
    weeks: int
    warm_up_weeks: int
    replications: int
    seed: int


@dataclass(frozen=True)
class Stand:
    """What one set of runs says.

    Parameters
    ----------
    data : its samples.
    late : vehicles there beyond their promise, mean over time, one a replication.
    enough : runs below which no promise is taken as kept.
    """

    data: Gathered
    late: Floats
    enough: int

    @cached_property
    def kept_each(self) -> Floats:
        """Share of vehicles in time of each replication; 0 where no promise fell due."""
        due, kept = (self.data.rows(one).sum(axis=1) for one in ("due_types", "kept_types"))
        return np.asarray(kept / np.maximum(due, 1), float)

    @cached_property
    def _kept(self) -> tuple[float, float]:
        due, kept = self.data.rows("due_types"), self.data.rows("kept_types")
        found = share(kept.sum(axis=1, keepdims=True), due.sum(axis=1, keepdims=True), CONFIDENCE)
        mean, half = found[0]
        return (0.0, inf) if isnan(mean) else (mean, half)

    @property
    def chance(self) -> float:
        """Share of vehicles in time; 0 when no promise fell due."""
        return self._kept[0]

    @property
    def half_width(self) -> float:
        """Of the interval of ``chance``."""
        return self._kept[1]

    @property
    def there(self) -> float:
        """Vehicles at the gate and inside, mean over time."""
        both = self.data.integral("inside") + self.data.integral("gate")
        return float(both.mean() / self.data.measure.minutes)

    @property
    def replications(self) -> int:
        """Runs it rests on."""
        return len(self.late)

    @cached_property
    def holdups(self) -> tuple[HoldUp, ...]:
        """Every cause at every place, the heaviest first."""
        return hold_ups(self.data)

    @cached_property
    def uses(self) -> tuple[Use, ...]:
        """Use of positions and crews."""
        return uses(self.data)

    def keeps(self, promise: float) -> bool:
        """Whether even the lower end of the interval is the promise or more."""
        return self.replications >= self.enough and self.chance - self.half_width >= promise

    def beside(self, other: "Stand") -> tuple[float, float]:
        """Share in time told from pairs with a works that was run more often; its half width.

        Equations
        ---------
        X + mean(y_i - x_i) over the runs both have, X from all runs of the other: with shared
        chances the difference is known far better than either share (control variates; Law,
        Simulation Modeling and Analysis, ch. 11, from memory). The half width is of the
        difference alone.
        """
        many = min(self.replications, other.replications)
        differs = self.kept_each[:many] - other.kept_each[:many]
        half = student_t(CONFIDENCE, many - 1) * float(differs.std(ddof=1)) / sqrt(many)
        return other.chance + float(differs.mean()), half


class Trials:
    """Makes sets of runs and counts them."""

    def __init__(self, how: TrialRuns, workers: Workers, progress: Progress) -> None:
        self.how, self.workers, self.progress = how, workers, progress
        self.sets = 0
        self.replications = 0

    def look(self, works: Works, pace_a_week: float, count: int, fresh: int = 0) -> Stand:
        """One set of ``count`` runs, from empty, one vehicle a takt.

        Raises
        ------
        KeyboardInterrupt : Ctrl-C.
        """
        self.sets += 1
        self.progress(f"{pace_a_week:g} a week: set of runs {self.sets}", 0.0)
        how = self.how
        options = FlowOptions(
            calls=Calls.EVEN,
            inside_now=False,
            weeks=how.weeks + how.warm_up_weeks,
            measure_from_week=how.warm_up_weeks,
            pace_a_day=pace_a_week / works.week_days,
        )
        table = compile_flow(works, how.programme, options)
        measure = Measure.of(table, _promised(works, how.turn_days))
        nothing = Stand(
            Gathered(works, how.line, measure, (), CONFIDENCE),
            np.empty(0),
            CLOSER * how.replications,
        )
        return self._up_to(nothing, count, fresh)

    def settle(
        self, works: Works, pace_a_week: float, fresh: int = 0, full: Stand | None = None
    ) -> Stand:
        """Runs until it is shown that the promise is kept, or it does not look so any more.

        Whoever falls short is dropped early; what seems to keep the promise is looked at again with
        ``CLOSER`` and, where that leaves it open, ``CLOSEST`` times as many runs. So more runs come
        before more people.

        Parameters
        ----------
        full : runs, with the same chances, of a works that has a little more; the pairs with it
            tell early what falls short.
        """
        usual, promise = self.how.replications, self.how.promise
        found = self.look(works, pace_a_week, usual, fresh)
        if self._hopeless(found, full):
            return found
        found = self._up_to(found, CLOSER * usual, fresh)
        if found.keeps(promise) or found.chance < promise or self._hopeless(found, full):
            return found
        return self._up_to(found, CLOSEST * usual, fresh)

    def _hopeless(self, found: Stand, full: Stand | None) -> bool:
        """Whether even the most runs would not show the promise kept, as far as can be told."""
        promise = self.how.promise
        if full is None:
            return found.chance + found.half_width < promise
        # The interval of the most runs, and how far above the promise its middle must be for it.
        share = full.replications / (CLOSEST * self.how.replications)
        return sum(found.beside(full)) < promise + full.half_width * sqrt(share)

    def surely(self, works: Works, pace_a_week: float, fresh: int) -> Stand:
        """As many runs as are ever made."""
        return self.look(works, pace_a_week, CLOSEST * self.how.replications, fresh)

    def _up_to(self, before: Stand, count: int, fresh: int) -> Stand:
        """The same runs and as many more as make ``count``."""
        data = before.data
        first, seed = before.replications, self.how.seed + FRESH * fresh
        shared = data.measure, seed, first
        more = HowSure(count - first, seed=seed)
        done = replicate(_late_samples, shared, more, _always, self.workers)
        if done.stopped is Stopped.INTERRUPTED:
            raise KeyboardInterrupt
        self.replications += count - first
        samples = [*data.samples, *(one for one, _ in done.results)]
        late = [*before.late, *(late for _, late in done.results)]
        return replace(before, data=replace(data, samples=samples), late=np.array(late))


def _promised(works: Works, turn_days: float) -> Mapping[str, float]:
    return {one.type_id: turn_days for one in works.vehicle_types}


def _always(_: Sequence[tuple[Sample, float]]) -> bool:
    return True


def _late_samples(
    shared: tuple[Measure, int, int], numbers: Sequence[int]
) -> list[tuple[Sample, float]]:
    measure, seed, first = shared
    runs = runs_until_stopped(measure.table, seed, [first + number for number in numbers])
    return [(measure.sample(run), late_mean(measure, run)) for run in runs]


def late_mean(measure: Measure, run: Run) -> float:
    """Vehicles there beyond their promise, mean over the time measured.

    Equations
    ---------
    By Little's law rate x mean days late. Other than the mean turn time of those released it counts
    every vehicle that is still there, so it tells better from worse in a works that overflows.
    """
    days = measure.table.days
    came = (run.arrived >= 0) & (measure.table.vehicles.inside == 0)
    low, end = worked_minutes(days, np.array([days.measure_from, days.end]))
    begins = worked_minutes(days, np.where(came, run.arrived, 0))
    begins = begins + measure.promised_minutes[measure.table.vehicles.type]
    ends = worked_minutes(days, np.where(run.released >= 0, run.released, days.end))
    late = np.minimum(ends, end) - np.maximum(begins, low)
    return float(np.clip(late[came], 0, None).sum() / max(1, end - low))
