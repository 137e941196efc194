"""Robbing: what it would cost to take a unit off one vehicle for another; the register of those."""

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True, slots=True)
class RobSide:
    """What robbing does to one of the two vehicles.

    Parameters
    ----------
    hours : work of taking off and refitting [working hours].
    before, after : expected release without and with it; None: not in most runs.
    days_later, half_width : paired difference of the runs and its interval of 95 % [working days].
    promise : current promise; ``keeps_before``, ``keeps_after``: chance of keeping it.
    """

    vehicle_id: str
    hours: float
    before: datetime | None
    after: datetime | None
    days_later: float
    half_width: float
    promise: date | None
    keeps_before: float | None
    keeps_after: float | None


@dataclass(frozen=True, slots=True)
class RobCost:
    """What it costs; nothing is booked by it.

    Parameters
    ----------
    unit, off, to : what is taken, off what, for what, by their codes (``motor:M-7``).
    refused : why the record would not take it, a sentence each; empty: it may be done.
    cautions : what the two who approve must know.
    robbed, helped : the two vehicles; None when it is refused.
    others_days : what it does to all other vehicles [vehicle-days].
    """

    now: datetime
    unit: str
    off: str
    to: str
    runs: int
    seed: int
    refused: tuple[str, ...]
    cautions: tuple[str, ...]
    robbed: RobSide | None
    helped: RobSide | None
    others_days: float

    @property
    def hours(self) -> float:
        """Work on both [working hours]."""
        return sum(one.hours for one in (self.robbed, self.helped) if one)

    @property
    def vehicle_days(self) -> float:
        """What it costs in all; less than nothing: it gains [vehicle-days]."""
        sides = sum(one.days_later for one in (self.robbed, self.helped) if one)
        return sides + self.others_days


@dataclass(frozen=True, slots=True)
class RobberyEntry:
    """One robbing of the register.

    Parameters
    ----------
    unit, off, to : by their codes.
    robbed_id, helped_id : the two vehicles.
    hours : work it took by the settings, both vehicles together [working hours].
    made_good : day on which the robbed one got a unit of the kind again; None: not yet.
    owed_days : working days it was, or is, without.
    """

    at: datetime
    unit: str
    off: str
    to: str
    robbed_id: str
    helped_id: str
    approved_by: str
    second_approval: str
    reason: str
    hours: float
    made_good: date | None
    owed_days: float
