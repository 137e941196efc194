"""Robbing: a serviceable unit taken off one vehicle for another, its price said first.

It needs two named approvals by different people and stays in a register. Nothing here weakens a
hold: a vehicle under a safety hold is neither robbed nor helped, the door of the record keeps fits
and lives, and a must-change unit counts only when it was made good for this very visit.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from statistics import NormalDist

import numpy as np

from pacewright.base.progress import Progress, silent
from pacewright.control.promise_changes import worked_days
from pacewright.control.promises import Forecaster, Moment, listed
from pacewright.events.fold import refusals, take
from pacewright.events.refusal import Refusal, safe
from pacewright.events.scan import code_of
from pacewright.events.standing import Standing
from pacewright.events.things import WHOLE, Event, Piece
from pacewright.events.units import Robbed
from pacewright.parts.tables import UnitKind
from pacewright.plans.promise import VehiclePromise
from pacewright.plans.robbing import RobCost, RobSide

Door = Callable[[Standing, Event], tuple[Refusal, ...]]

CONFIDENCE = 0.95
"""Of the interval beside each difference."""


def rob_cost(
    at: Moment, event: Robbed, door: Door, forecaster: Forecaster, progress: Progress = silent
) -> RobCost:
    """What it would cost both vehicles, and all others.

    Parameters
    ----------
    at : the record as it stands.
    event : the robbing as it would be booked.
    door : the rules of the record that need the works.
    forecaster : how the runs are made, with and without it, chance shared.

    Equations
    ---------
    Days later of a vehicle: mean over paired runs of its release with the robbing less without,
    in working days; half width z s / sqrt(n) at 95 %. Vehicle-days: the sum over all vehicles that
    the record knows. Of the robbed vehicle the work left where it stands waits for another unit
    and then goes on, with the hours of fitting that added (``start_debt``); what it was tested for
    without the unit is tested again. Hours: ``rob_hours`` of the kind, on each of the two.
    """
    refused = refused_for(at, event, door)
    cost = RobCost(
        now=at.now,
        unit=code_of(event.unit),
        off=code_of(event.off),
        to=code_of(event.to),
        runs=forecaster.question.runs,
        seed=forecaster.question.seed,
        refused=tuple(str(one) for one in refused),
        cautions=tuple(_cautions(at, event)),
        robbed=None,
        helped=None,
        others_days=0.0,
    )
    if refused:
        return cost
    after = replace(at, standing=at.standing.copy())
    take(after.standing, event)
    progress("without robbing", 0.0)
    runs = forecaster.runs(at, progress), forecaster.runs(after, progress)
    lists = [listed(*pair, forecaster.question) for pair in zip((at, after), runs, strict=True)]
    days = [worked_days(one, at.now) for one in runs]
    later = {name: days[1][name] - days[0][name] for name in days[0]}
    ids = vehicle_of(at.standing, event.off), vehicle_of(at.standing, event.to)
    hours = at.works.rob_hours[event.unit.unit_kind_id]
    sides = [_side(name, hours, [_of(one.vehicles, name) for one in lists], later[name])
             for name in ids]  # fmt: skip
    others = sum(float(one.mean()) for name, one in later.items() if name not in ids)
    return replace(cost, robbed=sides[0], helped=sides[1], others_days=others)


def vehicle_of(standing: Standing, piece: Piece) -> str:
    """The vehicle that a piece is, is part of, or came from."""
    if piece.assembly_id == WHOLE:
        return piece.serial
    known = standing.pieces[piece]
    return known.vehicle_id or known.came_from


def refused_for(at: Moment, event: Robbed, door: Door) -> tuple[Refusal, ...]:
    """Every rule that the robbing breaks."""
    now = at.standing
    found = [*refusals(now, event), *door(now, event)]
    if event.to in now.pieces and (held := safe(now, event.to)):
        found.append(held)
    kind = _kind(at, event)
    if not found and kind is not None and kind.must_change and _has_run(at, event):
        found.append(
            Refusal(
                str(event.unit),
                f"it has run on vehicle {vehicle_of(now, event.off)} since its last repair",
                "A must-change unit is changed for one made good since, whatever is short.",
                "Take one that was made good since, or wait for the shop.",
            )
        )
    return tuple(dict.fromkeys(found))


def _kind(at: Moment, event: Robbed) -> UnitKind | None:
    kinds = {one.unit_kind_id: one for one in at.works.unit_kinds}
    return kinds.get(event.unit.unit_kind_id)


def _has_run(at: Moment, event: Robbed) -> bool:
    """True when the unit was on the vehicle before it came in, so that it has run since."""
    known = at.standing.units[event.unit]
    if known.onto is None:
        return False
    vehicle = at.standing.vehicles[vehicle_of(at.standing, event.off)]
    came = vehicle.arrived_at or vehicle.admitted_at
    return known.fitted_at is None or (came is not None and known.fitted_at < came)


def _cautions(at: Moment, event: Robbed) -> Iterator[str]:
    kind = _kind(at, event)
    if event.unit in at.standing.units and event.off in at.standing.pieces and _has_run(at, event):
        yield (
            f"{event.unit} has run since its last repair: its shop says whether it may go on again."
        )
    if kind is not None and kind.must_change:
        yield (
            f"{kind.name} must be changed on every vehicle: the robbed one is not released before "
            "it has another one made good."
        )
    yield (
        "A lifted vehicle is supported before anything is taken off; no two jobs where one needs "
        "it moved. Air, springs and high voltage: local rules."
    )


def _of(vehicles: tuple[VehiclePromise, ...], name: str) -> VehiclePromise:
    return next(one for one in vehicles if one.vehicle_id == name)


def _side(name: str, hours: float, sides: list[VehiclePromise], later: np.ndarray) -> RobSide:
    z = NormalDist().inv_cdf((1 + CONFIDENCE) / 2)
    before, after = sides
    return RobSide(
        vehicle_id=name,
        hours=hours,
        before=before.expected,
        after=after.expected,
        days_later=float(later.mean()),
        half_width=z * float(later.std(ddof=1)) / len(later) ** 0.5,
        promise=before.promise,
        keeps_before=before.keeps_share,
        keeps_after=after.keeps_share,
    )
