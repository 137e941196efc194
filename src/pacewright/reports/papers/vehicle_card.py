"""The card that goes with a vehicle: who it is, what is promised, its route, what it carries."""

from collections.abc import Iterator

from pacewright.control.marriage import VehicleAhead
from pacewright.control.needs import carried_kinds
from pacewright.events.scan import code_of
from pacewright.events.standing import VehicleStanding
from pacewright.events.things import WHOLE, Piece
from pacewright.reports.papers.blocks import (
    Box,
    Caution,
    Cell,
    Codes,
    Column,
    Facts,
    Heading,
    Lines,
    Rows,
    Strong,
)
from pacewright.reports.papers.caution import GENERAL, LIFTING
from pacewright.reports.papers.ground import Ground, moment, together
from pacewright.reports.papers.press import Card, Paper
from pacewright.reports.papers.qr import code
from pacewright.reports.written import NONE, day, number
from pacewright.shops.tables import Stage

KEY = "vehicle-card"


def vehicle_card(ground: Ground, vehicle_id: str) -> Paper:
    """The card of one vehicle inside the works.

    Raises
    ------
    CallError : it is not inside.
    """
    known = ground.vehicle_inside(vehicle_id)
    return ground.paper(KEY, vehicle_id, [_card(ground, known)])


def vehicle_cards(ground: Ground) -> Paper:
    """The cards of every vehicle inside."""
    return ground.paper(KEY, "all", [_card(ground, one) for one in ground.standing.inside()])


def _card(ground: Ground, known: VehicleStanding) -> Card:
    whole = Piece(WHOLE, known.vehicle_id)
    return Card(
        title="Vehicle card",
        subject=f"Vehicle {known.vehicle_id}",
        code=code(code_of(whole)),
        blocks=together(
            ground.held(ground.standing.stands_at(known.vehicle_id).piece),
            Facts(tuple(_facts(ground, known)), 2),
            Caution((GENERAL, LIFTING)),
            _assemblies(ground, known.vehicle_id),
            Heading("Route", _route_said(ground, known)),
            _route(ground, known),
            Heading("Units", "What a vehicle of its type carries as it is modified now; owed: "
                    "taken off and not yet made up for."),
            _units(ground, known),
            Heading("Notes"),
            Lines(2),
        ),
    )  # fmt: skip


def _facts(ground: Ground, known: VehicleStanding) -> Iterator[tuple[str, str]]:
    row = ground.vehicle_row(known.vehicle_id)
    unit = ground.works.settings.distance_unit
    depots = {one.depot_id: one.name for one in ground.works.depots}
    depot = known.depot_id or (row.depot_id if row else "")
    yield "Type", ground.type_names.get(known.type_id, known.type_id)
    yield "Depot", depots.get(depot, depot) or NONE
    yield "Arrived", moment(known.arrived_at)
    yield "Admitted", moment(known.admitted_at)
    yield "First promise", day(known.first_promise)
    yield "Current promise", day(known.promise)
    yield "Last overhaul", day(row.last_overhaul) if row else NONE
    reading = f"{number(known.odometer[-1][1], 0)} {unit}" if known.odometer else "unknown"
    yield "Odometer, last read", reading
    yield "Stands at", _stands_at(ground, known)
    yield "Modifications done", ", ".join(ground.standing.whole(known.vehicle_id).campaigns) or NONE


def _stands_at(ground: Ground, known: VehicleStanding) -> str:
    here = ground.standing.stands_at(known.vehicle_id)
    if here.stage_id:
        name = ground.stages[here.stage_id].name if here.stage_id in ground.stages else ""
        return f"{here.stage_id} {here.position or ''} {name}".strip()
    return here.place_id or NONE


def _assemblies(ground: Ground, vehicle_id: str) -> Codes | None:
    parts = ground.standing.parts_of(vehicle_id)[1:]
    if not parts:
        return None
    return Codes(tuple((code(code_of(one)), one.assembly_id) for one in parts[:4]), 17)


def _route_said(ground: Ground, known: VehicleStanding) -> str:
    said = ("Leg by leg, by record and by mean times and waits. Dates are forecasts; the promise "
            "is above. Sign when the stage is finished.")  # fmt: skip
    loose = _loose(ground, known)
    if loose:
        said += f" It is in pieces: any {' and any '.join(loose)} that fits is married to it."
    return said


def _route(ground: Ground, known: VehicleStanding) -> Rows:
    ahead = ground.seen.vehicles.get(known.vehicle_id)
    loose = _loose(ground, known)
    stages = [one for one in _leg_by_leg(ground, known.type_id) if one.assembly_id not in loose]
    coming = _coming(ground, ahead) if ahead else {}
    rows: list[list[Cell]] = []
    for one in stages:
        begins, ends, begun = coming.get(one.stage_id, (None, None, False))
        state = "now" if begun else "coming" if begins is not None else "done"
        rows.append([
            Strong(one.stage_id, one.name),
            ground.shop_names.get(one.shop_id, one.shop_id),
            "vehicle" if one.assembly_id == WHOLE else one.assembly_id,
            state,
            day(ground.date_of(begins)),
            day(ground.date_of(ends)),
            Box(26, 4.4),
        ])  # fmt: skip
    columns = (
        Column("stage", 3.4), Column("shop", 2), Column("passes", 1), Column("state", 0.8),
        Column("begins", 1.3), Column("ends", 1.3), Column("finished, initials", 0),
    )  # fmt: skip
    return Rows(columns, rows, "No route is known for its type.", small=True)


def _loose(ground: Ground, known: VehicleStanding) -> tuple[str, ...]:
    """Assemblies that are not followed while it is in pieces: any that fits is married to it."""
    if not known.parted:
        return ()
    lead = known.lead.assembly_id if known.lead else WHOLE
    legs = dict.fromkeys(one.assembly_id for one in _leg_by_leg(ground, known.type_id))
    return tuple(one for one in legs if one not in (WHOLE, lead))


def _leg_by_leg(ground: Ground, type_id: str) -> tuple[Stage, ...]:
    """Stages of the whole, then those of each assembly together, then of the whole again."""
    way = ground.seen.all_ways.get(type_id)
    if way is None:
        return ()
    return (*way.before, *(one for leg in way.parts.values() for one in leg), *way.after)


def _coming(ground: Ground, ahead: VehicleAhead) -> dict[str, tuple[float, float, bool]]:
    found = {one.stage_id: (one.begins, one.ends, one.begun) for one in ahead.coming}
    for stages in ahead.parts_coming.values():
        for stage_id, begins in stages.items():
            ends = begins + ground.seen.times[stage_id].mean_days
            found.setdefault(stage_id, (begins, ends, False))
    return found


def _units(ground: Ground, known: VehicleStanding) -> Rows:
    whole = Piece(WHOLE, known.vehicle_id)
    fits = [one for one in ground.works.fits if one.type_id == known.type_id]
    carried = carried_kinds(fits, ground.standing, whole)
    owed = ground.standing.account(whole)
    on = ground.standing.units_on(known.vehicle_id)
    rows: list[list[Cell]] = []
    for kind in ground.works.unit_kinds:
        count = carried.get(kind.unit_kind_id, 0)
        if not count:
            continue
        serials = [one.serial for one in on if one.unit_kind_id == kind.unit_kind_id]
        rows.append([
            kind.name, f"{count}", "always" if kind.must_change else "as found",
            f"{owed.get(kind.unit_kind_id, 0)}", ", ".join(serials),
        ])  # fmt: skip
    columns = (
        Column("unit kind", 3), Column("carries", 0, True), Column("changed", 0),
        Column("owed", 0, True), Column("serials on it, by the record; else write them in", 3.4),
    )  # fmt: skip
    return Rows(columns, rows, "No unit kind fits its type.", small=True)
