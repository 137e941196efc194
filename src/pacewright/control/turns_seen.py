"""Turn times as they really were: removal to made good, of the last turn of each unit."""

from collections import defaultdict
from datetime import datetime, timedelta
from math import sqrt

from pacewright.control.clock import WorksClock
from pacewright.events.standing import Standing, UnitStanding

SEEN_DAYS = 365
"""Calendar days back within which a turn must have ended to count."""
LEAST_TURNS = 10
"""Turns of a kind below which the works' table is kept."""


def turns_seen(
    standing: Standing, clock: WorksClock, now: datetime
) -> dict[str, tuple[float, float, int]]:
    """Unit kind -> (mean, standard deviation, turns) of turns that ended in the last year.

    Read off the standing alone: the last time each unit was made good, and when it had come off
    before. Turns still under way are left out, which makes a shop that grows slower look a little
    better than it is; what `learn` makes of the whole record counts those too.

    Parameters
    ----------
    standing, clock, now : where everything stands, and when.
    """
    since = now - timedelta(days=SEEN_DAYS)
    lengths: dict[str, list[float]] = defaultdict(list)
    for unit, known in standing.units.items():
        good = known.made_good_at
        if good is None or good < since:
            continue
        off = _came_off_before(standing, known, good)
        if off is not None:
            lengths[unit.unit_kind_id].append(clock.days_between(off, good))
    found = {}
    for kind_id, days in lengths.items():
        count = len(days)
        if count >= LEAST_TURNS:
            mean = sum(days) / count
            spread = sqrt(sum((one - mean) ** 2 for one in days) / (count - 1))
            if mean > 0:
                found[kind_id] = (mean, spread, count)
    return found


def _came_off_before(standing: Standing, known: UnitStanding, good: datetime) -> datetime | None:
    # The last time it came off before it was made good; it may be on a vehicle again since.
    for link in reversed(standing.unit_links.of.get(known.unit, ())):
        if link.until is not None and link.until <= good:
            return link.until
    return None
