"""Months on the calendar: the day on which a time interval runs out."""

from calendar import monthrange
from datetime import date
from math import floor

MONTH_DAYS = 365.2425 / 12
"""Mean length of a month of the Gregorian calendar [days]."""

FAR_DAY = date(2400, 12, 31)
"""Stands for any day later than itself; no plan reaches so far."""
EARLY_DAY = date(1900, 1, 1)
"""Stands for any day before itself; the tables know no day so early."""

_FAR, _EARLY, _REACH = FAR_DAY.toordinal(), EARLY_DAY.toordinal(), 10**7
_ROUNDING = 1e-6
"""What a day may be short of whole by rounding of numbers alone [days]."""


def add_days(day: date, days: float) -> date:
    """The day ``days`` after ``day``, or before it (a part of a day is dropped, to the past).

    Returns
    -------
    ``FAR_DAY`` or ``EARLY_DAY`` when the day would lie beyond one of them.
    """
    number = day.toordinal() + floor(max(-_REACH, min(days, _REACH)) + _ROUNDING)
    if number >= _FAR:
        return FAR_DAY
    return date.fromordinal(number) if number > _EARLY else EARLY_DAY


def add_months(day: date, months: float) -> date:
    """The day ``months`` after ``day``: same number in its month, else the month's last day.

    Parameters
    ----------
    day : the day from which the interval runs; it is not counted itself.
    months : 0 or more; the part of a month is counted last, in days of ``MONTH_DAYS``, rounded.

    Returns
    -------
    The last day of the interval; ``FAR_DAY`` when it would lie beyond.

    Equations
    ---------
    German Civil Code section 188(2) and (3): a period in months ends on the day whose number is
    that of the event, or on the last day of the month if it lacks that number; section 189(2): the
    half month is counted last, as 15 days.

    Example
    -------
    >>> add_months(date(2023, 8, 31), 42)
    datetime.date(2027, 2, 28)
    """
    whole = int(months)
    place = day.year * 12 + day.month - 1 + whole
    year, month = place // 12, place % 12 + 1
    if year >= FAR_DAY.year:
        return FAR_DAY
    number = day.day if day.day <= 28 else min(day.day, monthrange(year, month)[1])
    same = date(year, month, number)
    return same if months == whole else add_days(same, round((months - whole) * MONTH_DAYS))
