"""The plan's closed forms beside the same figures simulated."""

from collections.abc import Iterator, Sequence
from itertools import chain
from math import isnan

from pacewright.plans.floatlist import FloatLine, FloatList
from pacewright.plans.forecast import Beside, Estimate, FloatForecast, UseOf
from pacewright.simulate.estimate import ratio
from pacewright.simulate.gathered import Gathered
from pacewright.simulate.places import uses
from pacewright.simulate.stays import Stays
from pacewright.simulate.why import Why

RATE_WITHIN = 0.01
"""Share of the pace that matters to nobody (our rule, like those below)."""
DAYS_WITHIN = 0.5
"""Working days of turn time that matter to nobody."""
INSIDE_WITHIN = 1.0
"""Vehicles inside that matter to nobody."""
SHARE_WITHIN = 0.02
"""Difference of two shares that matters to nobody."""


def besides(
    data: Gathered,
    figures: Sequence[Estimate],
    floats: tuple[FloatList, Sequence[FloatForecast]],
    stays: Stays,
) -> tuple[Beside, ...]:
    """The works as a whole, then types, unit kinds, stages and crews.

    Parameters
    ----------
    figures, floats : as computed from ``data``; the float list they stand beside.
    stays : what passes the time, from runs whose events were kept.
    """
    by_key = {one.key: one for one in figures}
    why = Why(data, by_key, stays)
    rows = chain(
        _works(data, by_key, why),
        _types(data, why),
        _all_units(by_key["all_units_share"], floats, why),
        _units(data, floats, why),
        _stages(data, why),
        _crews(data, why),
    )
    # What was never observed stands beside nothing.
    return tuple(one for one in rows if not isnan(one.simulated))


def _beside(
    what: tuple[str, str, str], plan: float, found: tuple[float, float], within: float, why: str
) -> Beside:
    """``what`` is figure, unit and place; ``why`` is kept only where they differ."""
    figure, unit, place_id = what
    mean, half = found
    agrees = bool(abs(mean - plan) <= max(half, within))
    return Beside(
        figure,
        unit,
        plan,
        float(mean),
        float(half),
        agrees,
        "" if agrees else why,
        within,
        place_id,
    )


def _works(data: Gathered, figures: dict[str, Estimate], why: Why) -> Iterator[Beside]:
    line = data.line
    expected = sum(one.share * one.expected_days for one in line.turns)
    for key, plan, within, said in (
        ("output_a_week", line.pace_a_week, RATE_WITHIN * line.pace_a_week, why.output()),
        ("inside_mean", line.inside_mean, INSIDE_WITHIN, why.inside()),
        ("turn_days_mean", expected, DAYS_WITHIN, why.turn()),
    ):
        one = figures[key]
        what = one.name, one.unit, ""
        yield _beside(what, plan, (one.mean, one.half_width), within, said)


def _types(data: Gathered, why: Why) -> Iterator[Beside]:
    line = {one.type_id: one for one in data.line.turns}
    names = {one.type_id: one.name for one in data.works.vehicle_types}
    found = ratio(data.turned_days_by_type, data.turned_by_type, data.confidence)
    for t, type_id in enumerate(data.measure.table.names.types):
        if type_id in line and data.turned_by_type[:, t].sum() > 0:
            what = f"turn time, {names[type_id]}", "working days", type_id
            yield _beside(what, line[type_id].expected_days, found[t], DAYS_WITHIN, why.turn())


def _all_units(
    found: Estimate, floats: tuple[FloatList, Sequence[FloatForecast]], why: Why
) -> Iterator[Beside]:
    """The units of all kinds together; in a works without unit kinds nothing is set together."""
    if floats[0].lines:
        both = found.mean, found.half_width
        what, said = (found.name, found.unit, ""), why.all_units(floats[1])
        yield _beside(what, floats[0].ready_held, both, SHARE_WITHIN, said)


def _units(
    data: Gathered, floats: tuple[FloatList, Sequence[FloatForecast]], why: Why
) -> Iterator[Beside]:
    lines = {one.unit_kind_id: one for one in floats[0].lines}
    index = {one.unit_kind_id: k for k, one in enumerate(data.works.unit_kinds)}
    for one in floats[1]:
        line: FloatLine = lines[one.unit_kind_id]
        said = why.units(index[one.unit_kind_id], line.turn_days, line.offset_days)
        what = f"unit there when asked for, {one.name}", "share of vehicles", one.unit_kind_id
        yield _beside(what, one.ready_plan, (one.ready_share, one.half_width), SHARE_WITHIN, said)


def _stages(data: Gathered, why: Why) -> Iterator[Beside]:
    loads = {one.stage_id: one for one in data.line.stages}
    index = {one.stage_id: s for s, one in enumerate(data.works.stages)}
    for use in uses(data):
        if use.of is UseOf.STAGE and use.plan_share is not None:
            said = why.stage(index[use.place_id], loads[use.place_id])
            what = f"positions in use, {use.name}", "share of positions", use.place_id
            found = use.use_share, use.half_width
            yield _beside(what, use.plan_share, found, SHARE_WITHIN, said)


def _crews(data: Gathered, why: Why) -> Iterator[Beside]:
    for use in uses(data):
        if use.of is UseOf.CREW and use.plan_share is not None:
            what = f"people at work, {use.name}", "share of those there", use.place_id
            found = use.use_share, use.half_width
            yield _beside(what, use.plan_share, found, SHARE_WITHIN, why.crew(use.plan_share))
