"""The call-in programme: who comes in when."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from pacewright.plans.card import ResultCard


class Zone(StrEnum):
    """How far a call-in can be relied on."""

    FIRM = "firm"
    PLANNED = "planned"
    OUTLINE = "outline"


@dataclass(frozen=True, slots=True)
class LeastPace:
    """The least pace that keeps every vehicle inside its limit, and the interval that forces it.

    ``vehicles_a_day`` is exact: ``vehicles`` have their whole window between ``first`` and
    ``last``, which holds ``working_days``; vehicles already past their limit count at the start.
    """

    vehicles_a_day: float
    vehicles_a_week: float
    first: date
    last: date
    vehicles: int
    working_days: int
    bound_by: str = "all"


@dataclass(frozen=True, slots=True)
class Call:
    """One vehicle called in on one day.

    Parameters
    ----------
    week : index into ``Programme.weeks``.
    day : working day of arrival.
    order : place in the week's order of arrival, from 1.
    life_given_days : days of permitted life given away (due - day when early, else 0).
    spare_days : days left to the limit (negative: past it).
    chance_past_limit : chance that the true limit falls before ``day``, from forecast error.
    called_for : day its depot was told; None: it is not called in yet.
    """

    vehicle_id: str
    type_id: str
    depot_id: str
    visit: int
    week: int
    day: date
    order: int
    zone: Zone
    opens: date
    due: date
    limit: date
    latest: date
    due_by: str
    life_given_days: int
    spare_days: int
    chance_past_limit: float
    note: str = ""
    called_for: date | None = None


@dataclass(frozen=True, slots=True)
class BookedCall:
    """A vehicle called in that holds room in the programme without a call of it.

    It comes before the first day of the plan, or nobody can tell when it is due, so that it has no
    window to be judged by.

    Parameters
    ----------
    told : day its depot was told.
    day : working day on which it is planned to come; week : -1 before the plan starts.
    """

    vehicle_id: str
    type_id: str
    depot_id: str
    told: date
    day: date
    week: int


@dataclass(frozen=True, slots=True)
class Unplaced:
    """A vehicle the programme could not place inside its window, and why."""

    vehicle_id: str
    type_id: str
    depot_id: str
    due: date | None
    limit: date | None
    reason: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Relief:
    """The least easing of one rule that makes everything fit.

    ``kind`` is pace | depot | type | inside; ``where`` names the depot or type (empty for pace);
    ``amount`` is in ``unit`` and holds from ``first`` to ``last``; ``sentence`` says it all.
    """

    kind: str
    where: str
    first: date
    last: date
    amount: float
    unit: str
    vehicles: int
    sentence: str


@dataclass(frozen=True, slots=True)
class ProgrammeWeek:
    """One week of the programme; counts of vehicles."""

    index: int
    label: str
    monday: date
    working_days: int
    able: int
    called: int
    called_by_type: dict[str, int]
    inside_end: int
    zone: Zone


@dataclass(frozen=True, slots=True)
class DepotWeek:
    """Vehicles of one depot away in one week (most at once) against its limit."""

    depot_id: str
    week: int
    away: int
    limit: int | None


@dataclass(frozen=True, slots=True)
class Programme:
    """Who comes in when, how good that is, and what would not fit.

    Parameters
    ----------
    card : its objective is life given away; lateness, the first aim, stands in ``late_weeks``.
    pace_a_day : the pace the works is set to run: the last pace step inside the horizon, or, where
        the settings give none, the least at which whole vehicles fit.
    late_weeks : vehicle-weeks past the latest permitted week, vehicles not called counted to the
        end of the horizon; ``late_weeks_bound`` is the proven least.
    booked : vehicles called in that have no call among ``calls``.
    """

    card: ResultCard
    least_pace: LeastPace
    pace_a_day: float
    weeks: tuple[ProgrammeWeek, ...]
    calls: tuple[Call, ...]
    unplaced: tuple[Unplaced, ...]
    reliefs: tuple[Relief, ...]
    depot_weeks: tuple[DepotWeek, ...]
    notes: tuple[str, ...] = ()
    late_weeks: int = 0
    late_weeks_bound: int = 0
    booked: tuple[BookedCall, ...] = ()
