"""The least pace: the interval into which the most vehicles a working day must be fitted."""

from collections.abc import Iterator
from datetime import date

import numpy as np

from pacewright.callin.absence import Ints
from pacewright.callin.problem import Bools
from pacewright.plans.programme import LeastPace


def whole_inside(first: Ints, last: Ints, size: int) -> Iterator[tuple[int, Ints]]:
    """For each start s, last to first: how many windows lie wholly between s and t, by t.

    Parameters
    ----------
    first, last : first and last place of each window, from 0 to ``size`` - 1.
    size : number of places (working days or weeks).
    """
    order = np.argsort(first, kind="stable")
    bounds = np.searchsorted(first[order], np.arange(size + 1))
    counts = np.zeros(size, dtype=np.int64)
    for start in range(size - 1, -1, -1):
        begun = last[order[bounds[start] : bounds[start + 1]]]
        if len(begun):
            counts += np.bincount(begun, minlength=size).cumsum()
        yield start, counts[start:]


def worst_interval(first: Ints, last: Ints, size: int) -> tuple[int, int, int]:
    """The interval with the most whole windows a place, and their number.

    Of intervals equally bad the one that starts first and, of these, ends last is named.

    Equations
    ---------
    least pace = max over s <= t of N(s, t) / (t - s + 1), N(s, t) windows wholly inside: needed
    by counting; enough because, in earliest-limit-first order, a vehicle late at a smaller pace
    shows an interval that breaks it (Hall's condition for intervals; from memory).
    """
    worst, found = -1.0, (0, size - 1, 0)
    lengths = np.arange(1, size + 1)
    for start, counts in whole_inside(first, last, size):
        pace = counts / lengths[: size - start]
        place = size - start - 1 - int(pace[::-1].argmax())
        if pace[place] >= worst:
            worst, found = float(pace[place]), (start, start + place, int(counts[place]))
    return found


def least_pace(days: Ints, first: Ints, last: Ints, counts: Bools, week_days: int) -> LeastPace:
    """The exact least pace over the demands marked in ``counts``.

    Parameters
    ----------
    days : ordinal of each working day of the plan.
    first, last : permitted working days of each demand, as places in ``days``.
    counts : which demands count: those not past their limit at the start whose window has its
        end, and a working day, inside the horizon.
    week_days : working days of a full week.
    """
    start, end, vehicles = worst_interval(first[counts], last[counts], len(days))
    working_days = end - start + 1
    pace = vehicles / working_days
    return LeastPace(
        vehicles_a_day=pace,
        vehicles_a_week=pace * week_days,
        first=date.fromordinal(int(days[start])),
        last=date.fromordinal(int(days[end])),
        vehicles=vehicles,
        working_days=working_days,
    )


def fits(able: Ints, opens: Ints, latest: Ints) -> bool:
    """True when whole vehicles fit the weekly caps: every interval has room for all inside it."""
    total = np.concatenate([[0], able.cumsum()])
    return all(
        bool(np.all((counts == 0) | (counts <= total[start + 1 :] - total[start])))
        for start, counts in whole_inside(opens, latest, len(able))
    )
