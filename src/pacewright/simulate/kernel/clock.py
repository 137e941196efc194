"""Clock minutes and working minutes, always seen from the present minute of the run.

The same as ``calendars.Clock``: what that works out for any minute is kept here for one, so that
every reckoning from it is a few additions.
"""

from pacewright.simulate.calendars import DAY
from pacewright.simulate.kernel.compiled import compiled, woven
from pacewright.simulate.kernel.memory import NONE, RUN, Words
from pacewright.simulate.table import FAR


@woven
def set_now(m: Words, minute: int) -> None:
    """It is now ``minute``: which working day, how far into it, how much was worked so far."""
    m[RUN.now] = minute
    since = minute - m[RUN.open_minute]
    own = m[RUN.own_minutes]
    d = since // DAY if since >= 0 else NONE
    day = m[RUN.days]
    next_day = day
    into = FAR
    worked = day * own
    if d == NONE:
        day = next_day = worked = 0
    elif d + 1 < m[RUN.before_count]:
        day = m[m[RUN.before] + d]
        next_day = m[m[RUN.before] + d + 1]
        worked = day * own
        if next_day > day:
            into = since - d * DAY
            worked += min(own, into)
    m[RUN.day] = day
    m[RUN.next_day] = next_day
    m[RUN.into] = into
    m[RUN.worked] = worked
    m[RUN.measured] = max(worked, m[RUN.measured_from])


@woven
def worked_of(m: Words, length: int) -> int:
    """Working minutes so far of a calendar of so many minutes a day."""
    into = m[RUN.into]
    return m[RUN.day] * length + (0 if into == FAR else min(length, into))


@woven
def opening(m: Words, day: int) -> int:
    """Minute at which a working day begins; FAR beyond the table."""
    return m[m[RUN.workday] + day] * DAY + m[RUN.open_minute] if day < m[RUN.days] else FAR


@compiled
def day_from_now(m: Words) -> int:
    """The first working day that begins now or later."""
    return m[RUN.day] if m[RUN.into] == 0 else m[RUN.next_day]


@woven
def is_open(m: Words, length: int) -> bool:
    """True when a calendar of so many minutes a day works now."""
    return m[RUN.into] < length


@woven
def end_of_work(m: Words, length: int, work: int) -> int:
    """The minute at which ``work`` minutes are done that begin now or at the next opening.

    Parameters
    ----------
    length : minutes a day of the calendar.
    """
    into = m[RUN.into]
    if into + work <= length and work > 0:
        return m[RUN.now] + work
    return end_on_another_day(m, length, work)


@compiled
def end_on_another_day(m: Words, length: int, work: int) -> int:
    """The same when it is not this very day."""
    day = m[RUN.day]
    into = m[RUN.into]
    if into >= length:
        day = m[RUN.next_day]
        into = 0
    total = into + max(0, work)
    if work > 0 and total > length:
        full = (total - 1) // length
        day += full
        total -= full * length
    begin = opening(m, day)
    return begin if begin == FAR else begin + total
