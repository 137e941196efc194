"""The forecast: what happens when the plan is run through under chance, and how sure that is.

``mean`` and ``half_width`` of a figure go together: the mean of the whole works over the chances
lies within ``mean`` +- ``half_width`` with the confidence of the forecast (Student's t over
replications). A ``Band`` is another thing: between ``low`` and ``high`` lie nine of ten single
runs.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from pacewright.plans.card import ResultCard


class Cause(StrEnum):
    """Why a vehicle stands."""

    GATE = "gate"
    """too many are inside already"""
    POSITION = "position"
    """no position is free at the stage"""
    PART = "part"
    """a unit of the kind is not there"""
    ASSEMBLY = "assembly"
    """a parted-off assembly is not there to be married"""
    BATCH = "batch"
    """the charge of an oven or booth is not full"""
    PEOPLE = "people"
    """no people of the trade are free"""
    INSPECTION = "inspection"
    """a failed test is put right, or work is done again because a window was missed"""


@dataclass(frozen=True, slots=True)
class Estimate:
    """One figure with its interval.

    Parameters
    ----------
    key : stable name of the figure, its unit within it (``output_a_week``).
    name, unit : in words.
    mean, half_width : of the figure and of its interval; an infinite half width: too few
        replications to tell.
    low, high : mean -+ half_width, kept to what is possible (a share within 0 and 1).
    replications : number of replications in which the figure could be measured.
    """

    key: str
    name: str
    unit: str
    mean: float
    half_width: float
    low: float
    high: float
    replications: int


@dataclass(frozen=True, slots=True)
class Band:
    """A figure over single runs: its mean, and between which values nine of ten runs lie."""

    mean: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class WeekForecast:
    """One week of the run.

    Parameters
    ----------
    index : week of the run, 0 the week of the plan's start.
    label, monday, working_days : as in the programme.
    called : vehicles called in that week (even calls: at the pace).
    released, inside : vehicles released in it; vehicles inside at its end.
    measured : True when the week counts in the figures (after the warm-up).
    able : vehicles a week the pace steps allow; None where the programme has no such week.
    """

    index: int
    label: str
    monday: date
    working_days: int
    called: int
    released: Band
    inside: Band
    measured: bool
    able: int | None = None


@dataclass(frozen=True, slots=True)
class TurnForecast:
    """Turn time of one type, gate to gate, all waiting included [working days].

    Parameters
    ----------
    released_a_year : vehicles of the type released in a year of 52 weeks.
    mean : its interval.
    quantile_shares, quantile_days : share p of the vehicles takes at most so many days.
    histogram_from : first day of each bar, all one day apart; histogram_share : its share of the
        vehicles. The shares sum to 1.
    promised_days : from the line; None where the line does not know the type.
    promise_chance : share of vehicles released within the promise; None without a promise.
    to_promise_days : least whole days that the share ``promise_target`` of the settings takes at
        most: the promise that is kept so often.
    route_days, expected_days : by the critical path, and with mean waits, from the line.
    """

    type_id: str
    name: str
    released_a_year: float
    mean: Estimate
    quantile_shares: tuple[float, ...]
    quantile_days: tuple[float, ...]
    histogram_from: tuple[float, ...]
    histogram_share: tuple[float, ...]
    promised_days: float | None
    promise_chance: Estimate | None
    to_promise_days: float
    route_days: float | None = None
    expected_days: float | None = None


@dataclass(frozen=True, slots=True)
class HoldUp:
    """One cause at one place.

    Parameters
    ----------
    place_id, name : stage, unit kind, assembly or crew (``shop trade``); blank for the gate.
    shop_id : where it is; blank for the gate.
    vehicle_days_a_year, half_width : working days vehicles stand for it in a year of 52 weeks.
    touched_share : share of the vehicles that stand for it at all.
    days_each : mean days a touched vehicle stands for it.
    """

    cause: Cause
    place_id: str
    name: str
    shop_id: str
    vehicle_days_a_year: float
    half_width: float
    touched_share: float
    days_each: float


class UseOf(StrEnum):
    """What is in use."""

    STAGE = "stage"
    """positions held, also by pieces that wait there for people, parts or the next position"""
    CREW = "crew"
    """people at work, of those there; work on units included"""


@dataclass(frozen=True, slots=True)
class Use:
    """How far a place is in use.

    Parameters
    ----------
    place_id, name, shop_id : stage, or crew (``shop trade``).
    use_share, half_width : simulated share in use.
    plan_share : the line's use share; None where the line has none. Positions: the line counts
        time on the position by its hours, the simulation all time held, so blocking shows here.
    """

    of: UseOf
    place_id: str
    name: str
    shop_id: str
    use_share: float
    half_width: float
    plan_share: float | None


@dataclass(frozen=True, slots=True)
class Queue:
    """Pieces at one stage, for the picture of the flow; stages in route order.

    Parameters
    ----------
    waiting_mean, half_width : pieces that wait for a position of it (they stand elsewhere).
    on_positions_mean : pieces on its positions.
    passed_a_week : pieces that finish it in a week.
    """

    stage_id: str
    name: str
    shop_id: str
    assembly_id: str
    positions: int
    waiting_mean: float
    half_width: float
    on_positions_mean: float
    passed_a_week: float


@dataclass(frozen=True, slots=True)
class FloatForecast:
    """One unit kind's float as it came out.

    Parameters
    ----------
    held : units of the float at the start.
    ready_share, half_width : share of the vehicles (or pieces) carrying it that did not wait for
        it; one off which none came did not.
    ready_plan : the closed form's chance with the units held.
    on_shelf_mean : serviceable units on the shelf.
    owed_mean : units that vehicles and the second site wait for.
    wait_days_mean : mean wait of a demand, those served at once included [working days].
    demands_a_year : demands in a year of 52 weeks.
    needed : units needed by the closed form.
    """

    unit_kind_id: str
    name: str
    shop_id: str
    held: int
    needed: int
    ready_share: float
    half_width: float
    ready_plan: float
    on_shelf_mean: float
    owed_mean: float
    wait_days_mean: float
    demands_a_year: float


@dataclass(frozen=True, slots=True)
class Pile:
    """What waits for vehicles: finished assemblies stored, serviceable units on the shelf.

    Parameters
    ----------
    kind : ``assembly`` or ``unit``.
    place_id, name : assembly (``type assembly``) or unit kind.
    pieces_mean, half_width : mean number waiting.
    """

    kind: str
    place_id: str
    name: str
    pieces_mean: float
    half_width: float


@dataclass(frozen=True, slots=True)
class Beside:
    """One figure of the plan beside the same figure simulated.

    Parameters
    ----------
    figure, unit : in words.
    plan, simulated, half_width : the two values, and the interval of the second.
    agrees : True when the plan's value lies in the interval, or nearer than ``within``.
    why : where they differ, what in this run makes the difference, with its figures; else blank.
    within : difference too small to matter to anyone, in ``unit``.
    place_id : stage, crew, unit kind or type; blank for the works as a whole.
    """

    figure: str
    unit: str
    plan: float
    simulated: float
    half_width: float
    agrees: bool
    why: str
    within: float = 0.0
    place_id: str = ""


@dataclass(frozen=True, slots=True)
class Forecast:
    """What a plan comes to when it is run through many times.

    Parameters
    ----------
    card : the method, the seed, and the time taken; its objective is the half width reached of
        the chosen figure over its mean, its bound the one asked for (0: none was asked).
    replications : runs on which all figures rest.
    warm_up_days : working days at the start that do not count.
    first, last : first and last day measured.
    confidence : of every interval, e.g. 0.95.
    figures : the works as a whole; each type's chance to keep its promise as well.
    weeks, turns, holdups, uses, queues, floats, piles, beside : see there; hold-ups are ranked.
    start : ``empty``, ``now`` or ``steady``.
    stopped_by : ``replications`` (as many as asked), ``precision`` (reached), ``limit`` (most
        replications, precision not reached) or ``interrupted``.
    notes : what had to be assumed, in words.
    interrupted : True when the run was stopped before its end; the figures are whole all the same.
    pace_a_week : pace at which vehicles are meant to come in, full weeks.
    """

    card: ResultCard
    replications: int
    warm_up_days: float
    first: date
    last: date
    confidence: float
    figures: tuple[Estimate, ...]
    weeks: tuple[WeekForecast, ...]
    turns: tuple[TurnForecast, ...]
    holdups: tuple[HoldUp, ...]
    uses: tuple[Use, ...]
    queues: tuple[Queue, ...]
    floats: tuple[FloatForecast, ...]
    piles: tuple[Pile, ...]
    beside: tuple[Beside, ...]
    start: str
    stopped_by: str
    pace_a_week: float
    notes: tuple[str, ...] = ()
    interrupted: bool = False

    def figure(self, key: str) -> Estimate:
        """The figure of the works as a whole with this key.

        Raises
        ------
        KeyError : there is no such figure.
        """
        for one in self.figures:
            if one.key == key:
                return one
        raise KeyError(key)
