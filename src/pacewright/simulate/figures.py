"""The figures of the works as a whole."""

from collections.abc import Iterator

import numpy as np

from pacewright.plans.forecast import Cause, Estimate
from pacewright.plans.line import Line
from pacewright.simulate.estimate import Named, estimate, mean_of, ratio, share
from pacewright.simulate.gathered import Gathered
from pacewright.simulate.run import Causes
from pacewright.simulate.table import Floats
from pacewright.works import Works

QUANTILES = (("median", 0.5, "median"), ("p90", 0.9, "nine of ten take at most"))


def spans(causes: Causes) -> dict[Cause, slice]:
    """Cause -> its columns."""
    return {
        Cause.GATE: slice(causes.gate, causes.position),
        Cause.POSITION: slice(causes.position, causes.part),
        Cause.PART: slice(causes.part, causes.assembly),
        Cause.ASSEMBLY: slice(causes.assembly, causes.batch),
        Cause.BATCH: slice(causes.batch, causes.people),
        Cause.PEOPLE: slice(causes.people, causes.inspection),
        Cause.INSPECTION: slice(causes.inspection, causes.work),
    }


def figures(data: Gathered) -> tuple[Estimate, ...]:
    """Every figure of the works as a whole, in the order of a report.

    Equations
    ---------
    Rates are vehicles over working days measured, times the days of a full week. Turn times are of
    the vehicles released in the time measured whose arrival was seen. A promise counts when it
    falls due in the time measured, whether the vehicle is out by then or not.
    """
    return (*_rates(data), *_turn(data), *_promises(data), *_inside(data), *_held_up(data))


def figure_keys(works: Works, line: Line) -> tuple[str, ...]:
    """The keys a precision can be asked of, in the order of ``figures``."""
    promised = {one.type_id for one in line.turns}
    types = [one.type_id for one in works.vehicle_types if one.type_id in promised]
    return (
        *("output_a_week", "calls_a_week", "turn_days_mean", "turn_days_median", "turn_days_p90"),
        *("promise_chance", *(f"promise_chance:{one}" for one in types)),
        *("inside_mean", "gate_mean", "work_days", "holdup_days"),
        *(f"holdup_days_{cause}" for cause in Cause),
        "units_ready_share",
        "all_units_share",
    )


def _rates(data: Gathered) -> Iterator[Estimate]:
    weeks = data.full_weeks
    for key, name, counts in (
        ("output_a_week", "output", data.released),
        ("calls_a_week", "vehicles that came in", data.column("arrived")),
    ):
        yield _one(data, Named(key, name, "vehicles a week"), counts / weeks)


def _turn(data: Gathered) -> Iterator[Estimate]:
    sums = np.array([[one.turn_minutes.sum()] for one in data.samples], float) / data.day
    found = ratio(sums, data.turned, data.confidence)
    named = Named("turn_days_mean", "turn time, mean", "working days")
    yield estimate(named, found[0], found.replications)
    for key, at, words in QUANTILES:
        values = np.array(
            [
                [np.quantile(one.turn_minutes, at) / data.day if len(one.turn_minutes) else np.nan]
                for one in data.samples
            ]
        )
        found = mean_of(values, data.confidence)
        named = Named(f"turn_days_{key}", f"turn time, {words}", "working days")
        yield estimate(named, found[0], found.replications)


def _promises(data: Gathered) -> Iterator[Estimate]:
    due, kept = data.rows("due_types"), data.rows("kept_types")
    found = share(kept.sum(axis=1, keepdims=True), due.sum(axis=1, keepdims=True), data.confidence)
    named = Named("promise_chance", "promised turn time kept", "share of vehicles", most=1.0)
    yield estimate(named, found[0], found.replications)
    by_type = share(kept, due, data.confidence)
    names = {one.type_id: one.name for one in data.works.vehicle_types}
    for t, type_id in enumerate(data.measure.table.names.types):
        if due[:, t].sum() > 0:
            named = Named(
                f"promise_chance:{type_id}",
                f"promised turn time kept, {names[type_id]}",
                "share of vehicles",
                most=1.0,
            )
            yield estimate(named, by_type[t], by_type.replications)


def _inside(data: Gathered) -> Iterator[Estimate]:
    for key, name in (("inside", "vehicles inside"), ("gate", "vehicles that wait at the gate")):
        yield _one(
            data,
            Named(f"{key}_mean", f"{name}, mean", "vehicles"),
            data.integral(key) / data.measure.minutes,
        )


def _held_up(data: Gathered) -> Iterator[Estimate]:
    sums = data.rows("whole_minutes") / data.day
    held = sums[:, :-1].sum(axis=1, keepdims=True)
    columns = [("work_days", "work", sums[:, -1:]), ("holdup_days", "hold-ups, all causes", held)]
    for cause, span in spans(data.causes).items():
        each = sums[:, span].sum(axis=1, keepdims=True)
        columns.append((f"holdup_days_{cause}", f"hold-ups, {cause}", each))
    for key, name, values in columns:
        found = ratio(values, data.turned, data.confidence)
        yield estimate(Named(key, name, "working days a vehicle"), found[0], found.replications)
    for key, name, counted in (
        (
            "units_ready_share",
            "no wait for a unit on the way of the leading assembly",
            "units_ready",
        ),
        ("all_units_share", "units of all kinds there when asked for", "all_there"),
    ):
        found = share(data.column(counted), data.turned, data.confidence)
        yield estimate(
            Named(key, name, "share of vehicles", most=1.0), found[0], found.replications
        )


def _one(data: Gathered, named: Named, values: Floats) -> Estimate:
    found = data.mean(values)
    return estimate(named, found[0], found.replications)
