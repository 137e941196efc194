"""What the runs say of one vehicle's release: mean, range, and the day that can be promised."""

from dataclasses import dataclass
from datetime import date, datetime
from math import ceil

import numpy as np
from numpy.typing import NDArray

from pacewright.simulate.calendars import DAY
from pacewright.simulate.releases import Releases

# Keeps what is a whole number in exact arithmetic one in floats.
_ROUNDING = 1e-9


@dataclass(frozen=True)
class ReleaseDays:
    """The releases of one vehicle, run by run.

    Parameters
    ----------
    runs : all of them.
    minutes : release of this vehicle in each run; -1: not in the time run through, which counts
        as later than any other.

    Equations
    ---------
    If the true release is one more draw of the law of the n runs, it comes before the k-th
    smallest of them with chance k / (n + 1) (order statistics; Wilks 1941, from memory).
    """

    runs: Releases
    minutes: NDArray[np.int64]

    def range(self, confidence: float) -> tuple[datetime | None, datetime | None]:
        """The range that holds the release with at least this chance; None: beyond the time run.

        Equations
        ---------
        Ranks i = floor((1 - c) / 2 (n + 1)) and n + 1 - i: between them with chance
        1 - 2 i / (n + 1) >= c.
        """
        count = len(self.minutes)
        rank = max(1, int((1 - confidence) / 2 * (count + 1) + _ROUNDING))
        return self._moment_of(rank), self._moment_of(count + 1 - rank)

    def to_promise(self, target: float) -> date | None:
        """First day by whose end it is released with the chance ``target``; None: beyond the runs.

        Equations
        ---------
        Day of the release of rank k = ceil(s (n + 1)), kept with chance k / (n + 1) >= s; never
        beyond the last run, so n >= s / (1 - s) runs are needed (9 for 90 %).
        """
        rank = ceil(target * (len(self.minutes) + 1) - _ROUNDING)
        moment = self._moment_of(rank) if rank <= len(self.minutes) else None
        return moment.date() if moment else None

    def expected(self) -> datetime | None:
        """The mean in working time, on the clock; None when most runs do not see it out."""
        out = self.minutes[self.minutes >= 0]
        if 2 * len(out) <= len(self.minutes):
            return None
        clock = self.runs.clock
        worked = float(np.mean([clock.worked(int(minute)) for minute in out]))
        return self.runs.moment(clock.end_of_work(0, 0, max(1, round(worked))))

    def late(self, promise: date) -> NDArray[np.bool_]:
        """Runs in which it is released after the day promised, or not at all."""
        end_of_day = ((promise - self.runs.monday.date()).days + 1) * DAY
        late: NDArray[np.bool_] = (self.minutes < 0) | (self.minutes >= end_of_day)
        return late

    def kept_share(self, promise: date | None) -> float | None:
        """Share of the runs in which the promise is kept; None without one."""
        return None if promise is None else float((~self.late(promise)).mean())

    def _moment_of(self, rank: int) -> datetime | None:
        never = self.runs.table.days.end
        minute = int(np.sort(np.where(self.minutes < 0, never, self.minutes))[rank - 1])
        return self.runs.moment(minute) if minute < never else None
