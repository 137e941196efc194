"""What stands, waits and piles up at each place of the works."""

from collections import defaultdict
from collections.abc import Iterator

import numpy as np

from pacewright.plans.floatlist import FloatList
from pacewright.plans.forecast import Cause, FloatForecast, HoldUp, Pile, Queue, Use, UseOf
from pacewright.simulate.estimate import Interval, ratio, share
from pacewright.simulate.figures import spans
from pacewright.simulate.gathered import Gathered
from pacewright.simulate.table import FlowNames
from pacewright.works import Works

Place = tuple[str, str, str]
"""id, name, shop."""


def places(data: Gathered) -> dict[Cause, list[Place]]:
    """Cause -> its places in the order of its columns."""
    return places_of(data.works, data.measure.table.names)


def places_of(works: Works, names: FlowNames) -> dict[Cause, list[Place]]:
    """Cause -> its places in the order of the columns of a table with these names."""
    stages = [(one.stage_id, one.name, one.shop_id) for one in works.stages]
    shops = {one.shop_id: one.name for one in works.shops}
    trades = {one.trade_id: one.name for one in works.trades}
    types = {one.type_id: one.name for one in works.vehicle_types}
    crews = [
        (f"{one.shop_id} {one.trade_id}", f"{trades[one.trade_id]}, {shops[one.shop_id]}",
         one.shop_id)
        for one in works.people
    ]  # fmt: skip
    crews += [(f"{one.shop_id} doors", f"{one.name}: not open", one.shop_id) for one in works.shops]
    parted = {f"{one.type_id} {one.assembly_id}": one for one in works.assemblies}
    return {
        Cause.GATE: [("", "works gate", "")],
        Cause.POSITION: stages,
        Cause.PART: [(one.unit_kind_id, one.name, one.shop_id) for one in works.unit_kinds],
        Cause.ASSEMBLY: [
            (name, f"{parted[name].name}, {types[parted[name].type_id]}", "")
            for name in names.assemblies
        ],
        Cause.BATCH: stages,
        Cause.PEOPLE: crews,
        Cause.INSPECTION: stages,
    }


def hold_ups(data: Gathered) -> tuple[HoldUp, ...]:
    """Every cause at every place for which a vehicle released stood, the heaviest first."""
    waits = data.rows("wait_minutes") / data.day
    a_year = data.mean(waits / data.measure.years)
    touched = ratio(data.rows("touched"), data.released, 0.95).mean
    each = ratio(waits, data.rows("touched"), 0.95).mean
    found = []
    for cause, span in spans(data.causes).items():
        for place, column in zip(places(data)[cause], range(span.start, span.stop), strict=True):
            days, half = a_year[column]
            if days > 0:
                found.append(
                    HoldUp(
                        cause=cause,
                        place_id=place[0],
                        name=place[1],
                        shop_id=place[2],
                        vehicle_days_a_year=days,
                        half_width=half,
                        touched_share=float(touched[column]),
                        days_each=float(each[column]),
                    )
                )
    return tuple(sorted(found, key=lambda one: -one.vehicle_days_a_year))


def uses(data: Gathered) -> tuple[Use, ...]:
    """Use of the positions of each stage and of each crew, beside what the line says."""
    return (*_stage_uses(data), *_crew_uses(data))


def _stage_uses(data: Gathered) -> Iterator[Use]:
    positions = data.measure.table.stages.positions
    busy = data.over_time("busy")
    plan = {one.stage_id: one.use_share for one in data.line.stages}
    for s, one in enumerate(data.works.stages):
        mean, half = busy[s]
        yield Use(
            UseOf.STAGE,
            one.stage_id,
            one.name,
            one.shop_id,
            mean / int(positions[s]),
            half / int(positions[s]),
            plan.get(one.stage_id),
        )


def _crew_uses(data: Gathered) -> Iterator[Use]:
    """Use of crews.

    Equations
    ---------
    taken + (1 - taken) x busy / there; ``taken`` is the share of a crew that work off the route
    takes at the mean, which the run has taken off the people there.
    """
    found = ratio(data.integral("crew_busy"), data.integral("crew_there"), data.confidence)
    plan = {(one.shop_id, one.trade_id): one.use_share for one in data.line.trades}
    scale = data.measure.table.crews.scale
    shop_hours = data.works.shop_hours_a_day
    named = places(data)[Cause.PEOPLE]
    for c, one in enumerate(data.works.people):
        left = float(scale[c]) * shop_hours[one.shop_id] / (100 * one.hours_a_day)
        mean, half = found[c]
        if np.isnan(mean):
            continue
        left = min(1.0, left)
        yield Use(
            UseOf.CREW,
            named[c][0],
            named[c][1],
            one.shop_id,
            1 - left + left * mean,
            left * half,
            plan.get((one.shop_id, one.trade_id)),
        )


def queues(data: Gathered) -> tuple[Queue, ...]:
    """Pieces before and on the positions of each stage, in route order."""
    waiting, busy = data.over_time("queue"), data.over_time("busy").mean
    released = data.rows("released_types").mean(axis=0) / data.full_weeks
    types = data.measure.table.names.types
    found = []
    for s, one in enumerate(data.works.stages):
        passes = [data.works.routes[type_id].passes.get(one.stage_id, 0) for type_id in types]
        mean, half = waiting[s]
        found.append(
            Queue(
                stage_id=one.stage_id,
                name=one.name,
                shop_id=one.shop_id,
                assembly_id=one.assembly_id,
                positions=one.positions,
                waiting_mean=mean,
                half_width=half,
                on_positions_mean=float(busy[s]),
                passed_a_week=float(released @ np.array(passes)),
            )
        )
    begins = {one.stage_id: one.earliest_start_day for one in reversed(data.line.route)}
    return tuple(sorted(found, key=lambda one: begins.get(one.stage_id, np.inf)))


def float_forecasts(data: Gathered, floats: FloatList) -> tuple[FloatForecast, ...]:
    """Every unit kind that was asked for, beside its line in the float list.

    Equations
    ---------
    Ready = 1 - a x late / asked, with a the chance that a piece that carries the kind asks for it
    at all: one off which nothing came waits for nothing, as in the closed form.
    """
    asked, late = data.integral("asked"), data.integral("late")
    short = share(late, asked, data.confidence)
    asks = _asks(data)
    wait = ratio(data.integral("wait_minutes") / data.day, asked, data.confidence).mean
    shelf, owed = data.over_time("pool").mean, data.over_time("owed").mean
    a_year = asked.mean(axis=0) / data.measure.years
    lines = {one.unit_kind_id: one for one in floats.lines}
    found = []
    for k, kind in enumerate(data.works.unit_kinds):
        line = lines.get(kind.unit_kind_id)
        mean, half = short[k]
        if line is None or np.isnan(mean):
            continue
        found.append(
            FloatForecast(
                unit_kind_id=kind.unit_kind_id,
                name=kind.name,
                shop_id=kind.shop_id,
                held=line.held,
                needed=line.needed,
                ready_share=1 - asks.get(k, 1.0) * mean,
                half_width=asks.get(k, 1.0) * half,
                ready_plan=line.ready_held,
                on_shelf_mean=float(shelf[k]),
                owed_mean=float(owed[k]),
                wait_days_mean=float(wait[k]),
                demands_a_year=float(a_year[k]),
            )
        )
    return tuple(found)


def _asks(data: Gathered) -> dict[int, float]:
    """Kind -> chance that a piece that carries units of it is stripped of any."""
    steps, kinds = data.measure.table.steps, data.measure.table.kinds
    type_of = {
        e: t
        for t, first in enumerate(data.measure.table.types.first_step)
        for e in range(int(first), len(steps.stage))
    }
    released = data.rows("released_types").sum(axis=0)
    carry: dict[int, float] = defaultdict(float)
    ask: dict[int, float] = defaultdict(float)
    for e, pieces in enumerate(steps.pieces.tolist()):
        for n in range(int(steps.fit_first[e]), int(steps.fit_first[e + 1])):
            k, units = int(steps.fit_kind[n]), int(steps.fit_units[n])
            left = 1 - float(kinds.removal_share[k])
            # Unit j belongs to the piece of place j % pieces.
            for place in range(min(pieces, units)):
                own = len(range(place, units, pieces))
                carry[k] += released[type_of[e]]
                ask[k] += released[type_of[e]] * (1 - left**own)
    return {k: float(ask[k] / total) for k, total in carry.items() if total}


def piles(data: Gathered) -> tuple[Pile, ...]:
    """Assemblies stored and units on the shelf, the greatest number first."""
    units = [(one.unit_kind_id, one.name, "") for one in data.works.unit_kinds]
    kinds: tuple[tuple[str, Interval, list[Place]], ...] = (
        ("assembly", data.over_time("stored"), places(data)[Cause.ASSEMBLY]),
        ("unit", data.over_time("pool"), units),
    )
    found = [
        Pile(kind, place[0], place[1], *interval[n])
        for kind, interval, named in kinds
        for n, place in enumerate(named)
    ]
    return tuple(sorted((one for one in found if one.pieces_mean > 0), key=_most))


def _most(one: Pile) -> float:
    return -one.pieces_mean
