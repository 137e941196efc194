"""Growth: what must be added to a works so that it keeps a pace and a promise, step by step."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from math import isnan

from pacewright.works import Works


class Added(StrEnum):
    """What is added."""

    PEOPLE = "people"
    POSITIONS = "positions"
    FLOAT = "units of the float"
    BENCHES = "benches"
    HOURS = "hours a day"
    """longer shifts of a shop, and of all its people in the same measure"""
    INSIDE = "vehicles inside"
    """most vehicles that may be inside at once"""


@dataclass(frozen=True, slots=True)
class Step:
    """One addition.

    Parameters
    ----------
    added, place_id : what, and where: a crew (``shop trade``), a stage, a unit kind, a shop; blank
        for the whole works.
    how_many : so many more.
    cost : of all of them: money, or counts where no price is given.
    why : what asked for it, in words.
    promise_chance, half_width : share of vehicles released in time after it, and its interval; not
        a number where no run was made between this step and the next.
    there_mean : vehicles at the gate and inside after it, mean over time.
    taken_back : so many of ``how_many`` the trimming found are not needed.
    """

    added: Added
    place_id: str
    how_many: int
    cost: float
    why: str
    promise_chance: float
    half_width: float
    there_mean: float
    taken_back: int = 0

    @property
    def stays(self) -> int:
        """So many more in the answer."""
        return self.how_many - self.taken_back

    @property
    def cost_stays(self) -> float:
        """Cost of what stays."""
        return self.cost * self.stays / self.how_many

    @property
    def was_run(self) -> bool:
        """Whether the works was run between this step and the next."""
        return not isnan(self.promise_chance)


@dataclass(frozen=True, slots=True)
class StepBack:
    """One of the answer's additions taken back by one, on trial: what the promise comes to then.

    Parameters
    ----------
    added, place_id : as in ``Step``.
    stays : so many the answer has.
    promise_chance : share in time with one less, told from the pairs with the answer.
    half_width : of the paired difference and of the answer's share together.
    replications : pairs.
    """

    added: Added
    place_id: str
    stays: int
    promise_chance: float
    half_width: float
    replications: int


@dataclass(frozen=True, slots=True)
class RampMonth:
    """One month of a ramp.

    Parameters
    ----------
    month : 1, 2, ...
    starts : its first day.
    pace_a_week : calls a full week from that day on.
    needed : what must be there for the first time, one row a place; ``how_many`` more than before.
    cost, cost_so_far : of what this month adds, and of everything there by then.
    promise_chance, half_width : share in time at this pace with what is there by then.
    """

    month: int
    starts: date
    pace_a_week: float
    needed: tuple[tuple[Added, str, int], ...]
    cost: float
    cost_so_far: float
    promise_chance: float
    half_width: float


@dataclass(frozen=True, slots=True)
class Growth:
    """The path to a wanted pace and promise.

    Parameters
    ----------
    works_name, inputs_hash, version : of the works as it is, and of this program.
    pace_a_week, turn_days, promise : what was wanted.
    start_chance, start_half_width, start_there : share in time, its interval, and vehicles there
        of the works as it is.
    steps : in the order they were taken.
    works : the works with what stayed.
    verified_chance, verified_half_width : share in time of it, over fresh chances.
    verified_replications : runs that rests on.
    reached : True when even the lower end of that interval is the promise or more.
    stopped_by : why no further step was taken.
    cost : of what stayed; ``priced`` False: a count.
    runs, replications : sets of replications made, and runs in all.
    seed, weeks, warm_up_weeks : of every set: chance, weeks counted, weeks left out before.
    backs : each addition of the answer with one less; empty when the trimming was not ended.
    put_back : additions that came back because the verification failed without them; ``backs`` were
        tried before.
    ramp : months from the present pace to the wanted one; empty when none was asked.
    notes : what had to be assumed.
    seconds : wall-clock time.
    """

    works_name: str
    inputs_hash: str
    version: str
    pace_a_week: float
    turn_days: float
    promise: float
    start_chance: float
    start_half_width: float
    start_there: float
    steps: tuple[Step, ...]
    works: Works
    verified_chance: float
    verified_half_width: float
    verified_replications: int
    reached: bool
    stopped_by: str
    cost: float
    priced: bool
    runs: int
    replications: int
    seed: int
    weeks: int
    warm_up_weeks: int
    backs: tuple[StepBack, ...] = ()
    put_back: int = 0
    ramp: tuple[RampMonth, ...] = ()
    notes: tuple[str, ...] = ()
    seconds: float = 0.0
