"""Growth: what must be added to a works so that it keeps a pace and a promise, step by step."""

from dataclasses import dataclass
from enum import StrEnum

from pacewright.works import Works


class Added(StrEnum):
    """What is added."""

    PEOPLE = "people"
    POSITIONS = "positions"
    FLOAT = "units of the float"


@dataclass(frozen=True, slots=True)
class Step:
    """One addition.

    Parameters
    ----------
    added, place_id : what, and where: a crew (``shop trade``), a stage, or a unit kind.
    how_many : so many more.
    cost : money, or equal counts where no price is given.
    why : what asked for it, in words.
    promise_chance, half_width : share of vehicles released in time after it, and its interval; not
        a number where no run was made between this step and the next.
    there_mean : vehicles at the gate and inside after it, mean over time.
    taken_back : True when the trimming found that it is not needed.
    """

    added: Added
    place_id: str
    how_many: int
    cost: float
    why: str
    promise_chance: float
    half_width: float
    there_mean: float
    taken_back: bool = False


@dataclass(frozen=True, slots=True)
class Growth:
    """The path to a wanted pace and promise.

    Parameters
    ----------
    pace_a_week, turn_days, promise : what was wanted.
    start_chance, start_there : share in time and vehicles there of the works as it is.
    steps : in the order they were taken.
    works : the works with the steps that stayed.
    verified_chance, verified_half_width : share in time of it, over fresh chances.
    reached : True when even the lower end of that interval is the promise or more.
    stopped_by : why no further step was taken.
    cost : of the steps that stayed.
    runs : sets of replications made.
    """

    pace_a_week: float
    turn_days: float
    promise: float
    start_chance: float
    start_there: float
    steps: tuple[Step, ...]
    works: Works
    verified_chance: float
    verified_half_width: float
    reached: bool
    stopped_by: str
    cost: float
    runs: int
