"""The kit list of a vehicle: units to lay out for its rebuild, stage by stage."""

from collections.abc import Iterator

from pacewright.control.needs import Need
from pacewright.control.shortages import Shortage
from pacewright.events.scan import code_of
from pacewright.events.standing import VehicleStanding
from pacewright.events.things import WHOLE, Piece
from pacewright.reports.papers.blocks import (
    Block,
    Box,
    Caution,
    Cell,
    Column,
    Facts,
    Heading,
    Rows,
    Said,
    Signatures,
    Strong,
)
from pacewright.reports.papers.ground import Ground, units
from pacewright.reports.papers.press import Card, Paper
from pacewright.reports.papers.qr import code
from pacewright.reports.written import NONE, day

KEY = "kit-list"
FIT_ONLY = (
    "Lay out serviceable units only, each with its signed label; look at life limits and matched "
    "pairs. Nothing unserviceable or in quarantine is laid out, however urgent.",
)


def kit_list(ground: Ground, vehicle_id: str) -> Paper:
    """The kit list of one vehicle inside the works.

    Raises
    ------
    CallError : it is not inside.
    """
    ground = ground.looking()
    known = ground.vehicle_inside(vehicle_id)
    wanted = [one for one in ground.today.wanted if one.vehicle_id == vehicle_id]
    card = Card(
        title="Kit list",
        subject=f"Vehicle {vehicle_id}",
        code=code(code_of(Piece(WHOLE, vehicle_id))),
        blocks=(
            Facts(_facts(ground, known, wanted), 2),
            Caution(FIT_ONLY),
            *_stages(ground, wanted),
            Signatures(("Laid out by", "Taken over by", "Date and time")),
        ),
    )
    return ground.paper(KEY, vehicle_id, [card])


def _facts(
    ground: Ground, known: VehicleStanding, wanted: list[Need]
) -> tuple[tuple[str, str], ...]:
    short = sum(one.vehicle_id == known.vehicle_id for one in ground.today.short)
    return (
        ("Type", ground.type_names.get(known.type_id, known.type_id)),
        ("Current promise", day(known.promise)),
        ("Kinds still needed", str(len({one.unit_kind_id for one in wanted}))),
        ("Kinds short", f"{short} within {ground.days} working days"),
    )


def _stages(ground: Ground, wanted: list[Need]) -> Iterator[Block]:
    yield Said(
        "Owed: taken off and not made up for. To come: still on it, expected to come off by the "
        "share of its kind, so it may be a part of one. Store: serviceable and given out for "
        "nothing.",
        small=True,
    )
    if not wanted:
        yield Said("Nothing is owed to it and nothing is still to come off.")
    columns = (
        Column("unit kind", 2.6), Column("owed", 0, True), Column("to come", 0, True),
        Column("given out: serials", 1.6), Column("store", 0, True), Column("needed", 1.2),
        Column("state", 2.2), Column("serial laid out", 0),
    )  # fmt: skip
    for stage_id in dict.fromkeys(one.fit_stage_id for one in wanted):
        stage = ground.stages[stage_id]
        yield Heading(
            f"For {stage.name}", f"{stage_id}, {ground.shop_names.get(stage.shop_id, '')}"
        )
        mine = [one for one in wanted if one.fit_stage_id == stage_id]
        yield Rows(columns, [_row(ground, one) for one in mine], small=True)


def _row(ground: Ground, one: Need) -> list[Cell]:
    pool = ground.today.pool.get(one.unit_kind_id)
    name = pool.kind.name if pool else one.unit_kind_id
    under = "must-change" if one.must_change else ""
    if one.piece.assembly_id != WHOLE:
        under = f"{one.piece} {under}".strip()
    return [
        Strong(name, under),
        str(one.owed),
        units(one.expected),
        ", ".join(_issued(ground, one)) or NONE,
        str(pool.serviceable) if pool else NONE,
        day(ground.date_of(one.needed_day)),
        _state(ground, one),
        Box(28, 6),
    ]


def _issued(ground: Ground, one: Need) -> Iterator[str]:
    for unit, known in ground.standing.units.items():
        mine = known.onto is None and known.issued_to == one.piece
        if mine and unit.unit_kind_id == one.unit_kind_id:
            yield unit.serial


def _state(ground: Ground, one: Need) -> Cell:
    short = next(
        (
            row
            for row in ground.today.short
            if row.unit_kind_id == one.unit_kind_id and row.piece == str(one.piece)
        ),
        None,
    )
    if short is not None:
        return Strong(f"SHORT {units(short.units)}", _comes(ground, short))
    return "in store or in time"


def _comes(ground: Ground, one: Shortage) -> str:
    owner = ground.shop_names.get(one.owner, one.owner)
    if one.expected_day is None:
        return f"none in sight; ask {owner}"
    return f"{one.source}, expected {day(ground.date_of(one.expected_day))}; {owner}"
