"""What changed in the forecast since the record stood as it stood before, beyond the noise."""

from dataclasses import replace
from datetime import datetime
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from pacewright.plans.promise import PromiseChange, PromiseList, VehiclePromise
from pacewright.simulate.releases import Releases

_Worked = dict[str, NDArray[np.float64]]

_MISSES = 0.05
"""Chance that any of all the intervals of one list misses."""


def changes_since(
    now: PromiseList, runs: Releases, old: PromiseList, old_runs: Releases
) -> PromiseList:
    """The list with what changed since an older one.

    Parameters
    ----------
    now, runs : the forecast of now and its runs.
    old, old_runs : that of before; both share seed and numbers of their runs, so that a vehicle
        has the same chance in both and the difference of a pair is what came to be known.

    Equations
    ---------
    Mean of the paired differences d of n runs, half width z s(d) / sqrt(n), z the normal quantile
    at 1 - 0.05 / (2 m) for m vehicles (Bonferroni, common practice).
    """
    was = {one.vehicle_id: one for one in old.vehicles}
    both = [one for one in now.vehicles if one.vehicle_id in was]
    z = NormalDist().inv_cdf(1 - _MISSES / (2 * max(1, len(both))))
    pair = worked_days(runs, now.now), worked_days(old_runs, now.now)
    changes = [_change(one, was[one.vehicle_id], pair, z) for one in both]
    told = [one for one in changes if one.beyond_noise or one.promise_was != one.promise_now]
    names = {one.vehicle_id for one in now.vehicles}
    return replace(
        now,
        since=old.now,
        changes=tuple(sorted(told, key=lambda one: (-abs(one.days_later), one.vehicle_id))),
        came=tuple(sorted(names - was.keys())),
        gone=tuple(sorted(was.keys() - names)),
    )


def _change(
    now: VehiclePromise, was: VehiclePromise, pair: tuple[_Worked, _Worked], z: float
) -> PromiseChange:
    later = pair[0][now.vehicle_id] - pair[1][now.vehicle_id]
    half = z * float(later.std(ddof=1)) / len(later) ** 0.5
    return PromiseChange(
        vehicle_id=now.vehicle_id,
        was=was.expected,
        now=now.expected,
        days_later=float(later.mean()),
        half_width=half,
        promise_was=was.promise,
        promise_now=now.promise,
        keeps_share_was=was.keeps_share,
        keeps_share_now=now.keeps_share,
    )


def worked_days(runs: Releases, now: datetime) -> dict[str, NDArray[np.float64]]:
    """Working days from a moment to the release of each vehicle, run by run.

    A run in which it is not released counts up to the end of the time run through.
    """
    clock, end = runs.clock, runs.table.days.end
    start = clock.worked(int((now - runs.monday).total_seconds() // 60))
    day = int(runs.table.days.minutes[0])
    found = {}
    for place, vehicle_id in enumerate(runs.vehicles):
        minutes = runs.released[:, place].tolist()
        worked = [clock.worked(minute if minute >= 0 else end) - start for minute in minutes]
        found[vehicle_id] = np.array(worked) / day
    return found
