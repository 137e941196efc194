"""The question put to the flow simulation, as plain data."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Calls(StrEnum):
    """Where the vehicles that come in are taken from."""

    PROGRAMME = "programme"
    """the call-in programme"""
    EVEN = "even"
    """one every takt, the types mixed evenly, for as long as the run goes on"""


@dataclass(frozen=True, slots=True)
class AbsenceWave:
    """A stretch in which fewer people come than usual.

    Parameters
    ----------
    first, last : its first and last day.
    absent_share : share of those usually present who stay away, 0 to 1.
    shop_id, trade_id : only this shop, only this trade; blank: all.
    """

    first: date
    last: date
    absent_share: float
    shop_id: str = ""
    trade_id: str = ""


@dataclass(frozen=True, slots=True)
class Loss:
    """Positions of a stage or benches of a unit kind that are lost for a stretch of days.

    Parameters
    ----------
    stage_id, unit_kind_id : what is lost; one of the two.
    first, last : first and last day on which it is lost.
    how_many : places lost, 1 or more.
    """

    stage_id: str
    unit_kind_id: str
    first: date
    last: date
    how_many: int = 1


@dataclass(frozen=True, slots=True)
class FlowOptions:
    """What is run, and which chances are at work.

    Parameters
    ----------
    calls : where the vehicles come from.
    inside_now : True: the vehicles inside today are there at the start; False: from empty.
    weeks : weeks run from the plan's start; None: the plan's horizon.
    measure_from_week : week of the run from which the time integrals count (a warm-up before it).
    pace_a_day : vehicles a working day; None: the programme's. Even calls come at this pace, and
        the work on units is taken off the crews at it.
    scatter : False: every duration at its mean, every chance to the likelier side (for tests).
    absence, upsets, late_calls : whether people stay away by chance, plant breaks down, depots
        send late.
    robbing : None: as the settings say.
    waves, losses : what-if: waves of absence, places lost for a stretch.
    """

    calls: Calls = Calls.PROGRAMME
    inside_now: bool = True
    weeks: int | None = None
    measure_from_week: int = 0
    pace_a_day: float | None = None
    scatter: bool = True
    absence: bool = True
    upsets: bool = True
    late_calls: bool = True
    robbing: bool | None = None
    waves: tuple[AbsenceWave, ...] = ()
    losses: tuple[Loss, ...] = ()
