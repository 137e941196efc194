"""The paper the fleet hands to call-in: the window in which each vehicle may come."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class DueBy(StrEnum):
    """What makes a vehicle due first."""

    TIME = "time"
    DISTANCE = "distance"
    LICENCE = "licence"


class Standing(StrEnum):
    """What the window of a vehicle says to the programme."""

    DUE = "due"
    """has a window inside the horizon"""
    OVERDUE = "overdue"
    """its limit has passed on the plan's start: it must stand until called in"""
    LATER = "later"
    """its window opens after the horizon"""
    INSIDE = "inside"
    """is in the works now"""
    WITHDRAWN = "withdrawn"
    """has left the fleet, or leaves before it is due"""
    UNKNOWN = "unknown"
    """cannot be told; never counted as not due"""


@dataclass(frozen=True, slots=True)
class DueWindow:
    """When one vehicle may, should and must come in.

    Parameters
    ----------
    visit : 1 for its next visit, 2 for the one after within the horizon.
    opens : first day it may come; no service life is given away after ``due``.
    due : day the first of its intervals runs out, on the usual distance a day.
    limit : last day it may run (late tolerance used up).
    latest : last day the programme may use: ``limit`` less the guard kept for forecast error.
    due_by : which interval binds; None when unknown.
    sd_days : standard deviation of ``due`` as forecast today [days]; 0 when time binds.
    firm_sd_days : what will remain of it when the call-in becomes firm [days].
    distance_a_day : usual distance of the vehicle [distance unit a day]; None when unknown.
    readings : odometer readings the rate rests on.
    note : what the planner must know of it ("odometer unknown: planned by time only").
    limit_by : which interval sets ``limit``; it need not be the one that makes it due.
    limit_sd_days : standard deviation of ``limit`` as forecast today [days]; 0 when not distance.
    """

    vehicle_id: str
    type_id: str
    depot_id: str
    visit: int
    standing: Standing
    opens: date | None
    due: date | None
    limit: date | None
    latest: date | None
    due_by: DueBy | None
    sd_days: float = 0.0
    firm_sd_days: float = 0.0
    distance_a_day: float | None = None
    readings: int = 0
    note: str = ""
    limit_by: DueBy | None = None
    limit_sd_days: float = 0.0
