"""Promises of small invented works held to what happened by their told records.

Small works scatter more than large ones, and whole vehicles wait for one crew or one position: a
promise that a large works keeps is kept there by a half to nine tenths. A works that promises
the days its own run through says are kept by ``promise_target`` keeps them so often, though the
run of the record has other chances and other shares and hours than the tables.
"""

from datetime import date, timedelta
from functools import cache

import numpy as np
from scipy import stats

from pacewright.base.progress import silent
from pacewright.events.gate import Promised, Released
from pacewright.invent.works import TODAY
from pacewright.office.example_story import story_of
from pacewright.simulate.told import told

WORLDS = [("trolleybus", vehicles, seed) for vehicles in (100, 200) for seed in range(3, 9)]
MONTHS = 9
FALSE_ALARM = 1e-3


@cache
def kept(kind: str, vehicles: int, seed: int) -> tuple[float, float]:
    """Share of the first promises due that were kept; and had the catalogue's days been promised.

    A promise is due when its day is past, whether the vehicle is out or not.
    """
    story = story_of(kind, vehicles, seed, MONTHS, silent)
    first: dict[str, tuple[date, date]] = {}
    out: dict[str, date] = {}
    catalogue = 20
    for event in told(story.table, story.run, story.before):
        if isinstance(event, Promised) and event.vehicle_id not in first:
            usual = story.before.calendar.add(event.at.date(), catalogue)
            first[event.vehicle_id] = event.release_day, usual
        if isinstance(event, Released):
            out[event.vehicle_id] = event.at.date()
    due = [(v, *days) for v, days in first.items() if max(days) < TODAY - timedelta(days=1)]
    assert len(due) >= 10
    never = date.max
    return (
        float(np.mean([out.get(v, never) <= day for v, day, _ in due])),
        float(np.mean([out.get(v, never) <= usual for v, _, usual in due])),
    )


def limit_of(shares: np.ndarray) -> float:
    """How far the mean over worlds may lie off by chance (Student's t, one-sided)."""
    return float(stats.t.ppf(1 - FALSE_ALARM, len(shares) - 1) * stats.sem(shares))


def test_promises_are_kept_as_often_as_the_works_says() -> None:
    """Over twelve invented works the share kept is no less than the 90 % asked."""
    shares = np.array([kept(*world)[0] for world in WORLDS])
    limit = limit_of(shares)
    assert limit < 0.15, "so few worlds, or such as differ so much, tell nothing"
    assert shares.mean() >= 0.9 - limit, f"{shares} is less than 90 % - {limit}"
    assert shares.mean() > 0.85  # a floor of our own beside it


def test_one_turn_time_for_works_of_every_size_is_kept_less() -> None:
    """The days of the catalogue, meant for a large works, are kept by fewer: world by world."""
    both = np.array([kept(*world) for world in WORLDS])
    gained = both[:, 0] - both[:, 1]
    assert gained.mean() > limit_of(gained), f"{gained} may be chance"
    assert gained.min() >= 0
