"""Turn time by type, and the works week by week."""

from collections import Counter
from collections.abc import Iterator
from datetime import timedelta

import numpy as np

from pacewright.plans.forecast import Band, Estimate, TurnForecast, WeekForecast
from pacewright.plans.programme import Programme
from pacewright.simulate.calendars import DAY
from pacewright.simulate.estimate import Named, estimate, ratio, share
from pacewright.simulate.gathered import Gathered
from pacewright.simulate.sample import WEEK
from pacewright.simulate.table import Floats

SHARES = tuple(round(0.05 * n, 2) for n in range(1, 20))
"""Quantiles of the table of turn times: 5 % to 95 %."""


def turn_forecasts(data: Gathered) -> tuple[TurnForecast, ...]:
    """Turn time of every type that was released at all."""
    minutes = np.concatenate([one.turn_minutes for one in data.samples])
    types = np.concatenate([one.turn_types for one in data.samples])
    chances = share(data.rows("kept_types"), data.rows("due_types"), data.confidence)
    released = data.rows("released_types").mean(axis=0) / data.measure.years
    means = ratio(data.turned_days_by_type, data.turned_by_type, data.confidence)
    target = data.works.settings.plan.promise_target
    line = {one.type_id: one for one in data.line.turns}
    names = {one.type_id: one.name for one in data.works.vehicle_types}
    found = []
    for t, type_id in enumerate(data.measure.table.names.types):
        days = minutes[types == t] / data.day
        if not len(days):
            continue
        first = int(np.floor(days.min()))
        counts = np.bincount((days - first).astype(np.int64))
        known = line.get(type_id)
        found.append(
            TurnForecast(
                type_id=type_id,
                name=names[type_id],
                released_a_year=float(released[t]),
                mean=estimate(
                    Named(f"turn_days_mean:{type_id}", "turn time, mean", "working days"),
                    means[t],
                    means.replications,
                ),
                quantile_shares=SHARES,
                quantile_days=tuple(np.quantile(days, SHARES).tolist()),
                histogram_from=tuple(float(first + n) for n in range(len(counts))),
                histogram_share=tuple((counts / len(days)).tolist()),
                promised_days=known.promised_days if known else None,
                promise_chance=_chance(type_id, chances[t], chances.replications),
                to_promise_days=float(np.ceil(np.quantile(days, target, method="higher") - 1e-9)),
                route_days=known.route_days if known else None,
                expected_days=known.expected_days if known else None,
            )
        )
    return tuple(found)


def _chance(type_id: str, value: tuple[float, float], replications: int) -> Estimate | None:
    if np.isnan(value[0]):
        return None
    named = Named(f"promise_chance:{type_id}", "promise kept", "share of vehicles", most=1.0)
    return estimate(named, value, replications)


def week_forecasts(data: Gathered, programme: Programme) -> tuple[WeekForecast, ...]:
    """The works week by week; between low and high of a band lie nine of ten runs."""
    return tuple(_weeks(data, programme))


def _weeks(data: Gathered, programme: Programme) -> Iterator[WeekForecast]:
    table = data.measure.table
    start = data.works.settings.plan.start
    monday = start - timedelta(days=start.weekday())
    coming = table.vehicles.day[table.vehicles.inside == 0]
    days = table.days.workday
    called = Counter((days[coming[coming < len(days)]] // 7).tolist())
    able = {week.monday: week.able for week in programme.weeks}
    released, inside = data.rows("released_weeks"), data.rows("inside_weeks")
    worked = Counter((days[days * DAY >= table.days.start] // 7).tolist())
    for week in range(data.measure.weeks):
        first = monday + timedelta(weeks=week)
        year, number, _ = first.isocalendar()
        yield WeekForecast(
            index=week,
            label=f"{year}-W{number:02d}",
            monday=first,
            working_days=worked[week],
            called=called[week],
            released=_band(released[:, week]),
            inside=_band(inside[:, week]),
            measured=week * WEEK >= table.days.measure_from
            or table.days.measure_from == table.days.start,
            able=able.get(first),
        )


def _band(values: Floats) -> Band:
    low, high = np.quantile(values, (0.05, 0.95))
    return Band(float(values.mean()), float(low), float(high))
