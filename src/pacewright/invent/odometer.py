"""Odometer readings: each vehicle's distance as a random walk with drift, read now and then."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from pacewright.fleet.tables import Reading
from pacewright.invent.dates import NEVER, NEVER_READ, STANDING, WITHDRAWN, Dates
from pacewright.invent.draws import Draws, Floats, Whole
from pacewright.invent.roll import Roll

READINGS = 6
# Scatter of the distance of n days: so many usual days x sqrt(n). At 1.45 a forecast three months
# ahead errs by half a month, which planners count on (common practice, no source).
_SCATTER_DAYS = 1.45


@dataclass(frozen=True)
class Odometers:
    """What the odometers showed.

    Parameters
    ----------
    at_anchor : odometer on the day the interval counts from [distance unit].
    read_on : day number of each reading, a row a vehicle, rising.
    shown : odometer at each reading; negative where there was no reading.
    """

    at_anchor: Floats
    read_on: Whole
    shown: Floats


def odometers_drawn(roll: Roll, dates: Dates, today: int, gap_days: int, draws: Draws) -> Odometers:
    """Six readings a vehicle, about ``gap_days`` apart, the last shortly before ``today``.

    The walk from the last overhaul to the last reading is tied to the vehicle's usual use (a
    Brownian bridge), so that its due date stays where it was drawn.
    """
    read_on = _reading_days(dates, today, gap_days, draws)
    count = len(read_on)
    days = np.column_stack([read_on, dates.anchor])
    order = np.argsort(days, axis=1, kind="stable")
    days = np.take_along_axis(days, order, axis=1)
    anchor_at = np.argmax(order == READINGS, axis=1)
    travelled = _walk(days, anchor_at, roll.distance_a_day, draws)
    at_anchor = np.round(
        (dates.anchor - dates.in_service) * roll.distance_a_day * draws.even(count, 0.97, 1.03)
    )
    from_anchor = travelled - np.take_along_axis(travelled, anchor_at[:, None], axis=1)
    odometer = np.floor(np.maximum(at_anchor[:, None] + from_anchor, 0.0))
    back = np.argsort(order, axis=1, kind="stable")
    shown = np.take_along_axis(odometer, back, axis=1)[:, :READINGS]
    return Odometers(at_anchor, read_on, np.where(_is_read(dates, read_on), shown, -1.0))


def readings(vehicle_ids: list[str], odometers: Odometers) -> Iterator[Reading]:
    """The rows of the table of readings, vehicle by vehicle."""
    base = np.datetime64("0001-01-01") - np.timedelta64(1, "D")
    days = (base + odometers.read_on.astype("timedelta64[D]")).tolist()
    for vehicle_id, read_on, shown in zip(vehicle_ids, days, odometers.shown.tolist(), strict=True):
        for day, odometer in zip(read_on, shown, strict=True):
            if odometer >= 0:
                yield Reading(vehicle_id, day, odometer)


def _reading_days(dates: Dates, today: int, gap_days: int, draws: Draws) -> Whole:
    count = len(dates.drawn)
    until = np.where(dates.gate_in == NEVER, today, dates.gate_in)
    last = until - draws.whole(count, 2, 28)
    columns = [
        last - back * gap_days - draws.whole(count, -7, 7) * (back > 0)
        for back in range(READINGS - 1, -1, -1)
    ]
    return np.column_stack(columns)


def _walk(days: Whole, anchor_at: Whole, distance_a_day: Floats, draws: Draws) -> Floats:
    count, points = days.shape
    gaps = np.diff(days, axis=1).astype(np.float64)
    bell = np.column_stack([draws.bell(count) for _ in range(points - 1)])
    usual = distance_a_day[:, None] * gaps
    factor = 1 + _SCATTER_DAYS * bell / np.sqrt(np.maximum(gaps, 1.0))
    gone = usual * np.clip(factor, 0.25, 1.75)
    since = np.arange(points - 1)[None, :] >= anchor_at[:, None]
    missed = np.zeros(count)
    stretch = np.zeros(count)
    # Summed column by column: the order of a library's sum is not promised on every machine.
    for column in range(points - 1):
        missed += np.where(since[:, column], usual[:, column] - gone[:, column], 0.0)
        stretch += np.where(since[:, column], gaps[:, column], 0.0)
    tied = gone + np.where(since, gaps * (missed / np.maximum(stretch, 1.0))[:, None], 0.0)
    travelled = np.zeros((count, points))
    for column in range(points - 1):
        travelled[:, column + 1] = travelled[:, column] + np.maximum(tied[:, column], 0.0)
    return travelled


def _is_read(dates: Dates, read_on: Whole) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    read = read_on >= dates.in_service[:, None]
    # A vehicle out of use was last read before it was set aside.
    read[:, -2:] &= (dates.drawn != STANDING)[:, None]
    read &= ((dates.drawn != NEVER_READ) & (dates.drawn != WITHDRAWN))[:, None]
    result: np.ndarray[tuple[int, ...], np.dtype[np.bool_]] = read
    return result
