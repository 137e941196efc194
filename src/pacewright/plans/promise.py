"""Promises: when each vehicle is forecast to be released, beside what was promised."""

from dataclasses import dataclass
from datetime import date, datetime

from pacewright.plans.card import ResultCard
from pacewright.plans.forecast import Cause


@dataclass(frozen=True, slots=True)
class Threat:
    """What a vehicle waits for longest in the runs in which it is late.

    Parameters
    ----------
    cause : what kind of wait; None: none, its own work takes longer than was promised.
    place_id, name : the stage, unit kind, assembly or crew; blank with no cause.
    shop_id : whose it is; blank when no shop's.
    days : wait for it, mean of those runs [working days].
    """

    cause: Cause | None
    place_id: str
    name: str
    shop_id: str
    days: float


@dataclass(frozen=True, slots=True)
class VehiclePromise:
    """One vehicle inside, at the gate or called in: what was promised and what is forecast.

    Parameters
    ----------
    phase : inside | at gate | called.
    stage_id : where it stands; blank when on no position.
    arrived : day it came; None: not yet.
    first_promise : the first of this visit, kept for ever; None: none was made.
    promise : the current one.
    expected : mean of the runs, on the works clock; None: not released in most runs.
    earliest, latest : range that holds the release in the share ``PromiseList.confidence`` of the
        runs, the rest evenly on both sides; None: beyond the time run through.
    keeps_first_share, keeps_share : share of the runs in which it is released on the day of the
        first and of the current promise, or before; None without a promise.
    to_promise : first day by whose end it is released in the share ``PromiseList.promise_target``
        of the runs: the promise that is kept so often; None: beyond the time run through.
    released_share : share of the runs in which it is released within the time run through.
    threat : what makes it late; None: it is late in no run, or has no promise.
    """

    vehicle_id: str
    type_id: str
    phase: str
    stage_id: str
    arrived: date | None
    first_promise: date | None
    promise: date | None
    expected: datetime | None
    earliest: datetime | None
    latest: datetime | None
    keeps_first_share: float | None
    keeps_share: float | None
    to_promise: date | None
    released_share: float
    threat: Threat | None


@dataclass(frozen=True, slots=True)
class PromiseChange:
    """What changed for one vehicle since the record as it stood before.

    Parameters
    ----------
    was, now : expected release then and now.
    days_later : now less then, mean of paired runs; negative: sooner [working days].
    half_width : of its interval; the chance that any of all the intervals misses is 5 %.
    promise_was, promise_now : current promise then and now.
    keeps_share_was, keeps_share_now : chance of keeping it.
    """

    vehicle_id: str
    was: datetime | None
    now: datetime | None
    days_later: float
    half_width: float
    promise_was: date | None
    promise_now: date | None
    keeps_share_was: float | None
    keeps_share_now: float | None

    @property
    def beyond_noise(self) -> bool:
        """True when the forecast moved by more than the noise of the runs."""
        return abs(self.days_later) > self.half_width


@dataclass(frozen=True, slots=True)
class PromiseList:
    """The forecast of every vehicle, from the record as it stands.

    Parameters
    ----------
    card : how it was made.
    now : moment of the works clock from which the runs go on.
    until : end of the time run through.
    runs : replications.
    confidence : share of runs within ``earliest`` to ``latest``.
    promise_target : wanted share of promises kept.
    vehicles : by expected release, those without one last.
    since : moment the changes count from; None: none were asked.
    changes : vehicles whose forecast moved beyond noise or whose promise changed, largest first.
    came, gone : vehicles new on the list since then, and no more on it.
    notes : what had to be assumed.
    """

    card: ResultCard
    now: datetime
    until: datetime
    runs: int
    confidence: float
    promise_target: float
    vehicles: tuple[VehiclePromise, ...]
    since: datetime | None = None
    changes: tuple[PromiseChange, ...] = ()
    came: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
