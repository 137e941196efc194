"""The day sheet of a shop: what to turn out so that nothing stands and nothing piles up."""

from collections.abc import Iterator

from pacewright.control.shop_sheet import ShopSheet
from pacewright.reports.papers.blocks import (
    Block,
    Box,
    Cell,
    Column,
    Heading,
    Lines,
    Rows,
    Said,
    Strong,
)
from pacewright.reports.papers.caution import caution_for
from pacewright.reports.papers.ground import Ground, moment
from pacewright.reports.papers.press import Card, Paper
from pacewright.reports.written import NONE, day, number

KEY = "day-sheet"


def day_sheets(ground: Ground, shop_id: str = "") -> Paper:
    """The sheet of one shop, or one of every shop.

    Raises
    ------
    CallError : no such shop.
    """
    if shop_id:
        ground.shop(shop_id)
    sheets = [one for one in ground.sheets if shop_id in ("", one.shop_id)]
    return ground.paper(KEY, shop_id or "all", [_card(ground, one) for one in sheets])


def _card(ground: Ground, sheet: ShopSheet) -> Card:
    return Card(
        title=f"Shop day sheet, {day(ground.now.date())}",
        subject=sheet.name,
        blocks=(
            Said(f"Span: {ground.days} working days, today included. "
                 "What comes first stops a vehicle; what would pile up is not begun."),
            _caution(ground, sheet),
            *_units(ground, sheet),
            *_pieces(ground, sheet),
            *_moves(ground, sheet),
            *_stands(ground, sheet),
            *_hours(ground, sheet),
            Heading("Notes of the shift"),
            Lines(3),
        ),
    )  # fmt: skip


def _caution(ground: Ground, sheet: ShopSheet) -> Block:
    places = {one.unit_kind_id for one in sheet.units} | _stages_of(ground, sheet)
    done = [one for one in ground.works.operations
            if one.unit_kind_id in places or one.stage_id in places]  # fmt: skip
    return caution_for(ground.works, places, done, brief=True)


def _units(ground: Ground, sheet: ShopSheet) -> Iterator[Block]:
    if not sheet.units:
        return
    yield Heading("Units to turn out", "Due: must be serviceable so that no vehicle stands. Turn "
                  "out: what is due, or the pace where the store is not full.")  # fmt: skip
    columns = (
        Column("unit kind", 2.3), Column("what to do", 2.2), Column("due today", 0, True),
        Column("due in span", 0, True), Column("turn out", 0, True),
        Column("to repair", 0, True), Column("in store", 0, True), Column("runs out", 1.45),
        Column("hours each", 0, True), Column("turned out", 0),
    )  # fmt: skip
    rows: list[list[Cell]] = [
        [
            Strong(one.name, one.unit_kind_id),
            one.advice.value,
            str(one.due_today),
            str(one.due_week),
            str(one.turn_out),
            str(one.to_repair),
            str(one.serviceable),
            day(ground.date_of(one.runs_out_day)),
            number(one.hours_each),
            Box(14, 5),
        ]
        for one in sheet.units
    ]
    yield Rows(columns, rows, small=True)


def _pieces(ground: Ground, sheet: ShopSheet) -> Iterator[Block]:
    if not sheet.pieces:
        return
    yield Heading("Vehicles and assemblies", "There: work is begun. Due: to be finished, by mean "
                  "times and the record.")  # fmt: skip
    columns = (
        Column("stage", 2.6), Column("there", 0, True), Column("due today", 0, True),
        Column("due in span", 0, True), Column("today", 3), Column("finished", 0),
    )  # fmt: skip
    rows: list[list[Cell]] = [
        [
            Strong(one.name, one.stage_id),
            str(one.there),
            str(one.due_today),
            str(one.due_week),
            ", ".join(one.pieces_today) or NONE,
            Box(20, 5),
        ]
        for one in sheet.pieces
    ]
    yield Rows(columns, rows, small=True)


def _moves(ground: Ground, sheet: ShopSheet) -> Iterator[Block]:
    mine = _stages_of(ground, sheet)
    rows: list[list[Cell]] = [
        [Box(4, 4), one.what, Strong(one.piece), one.from_stage_id or NONE,
         f"{one.to_stage_id} {one.position or ''}".strip() or NONE, moment(one.must_by),
         day(one.promise)]
        for one in ground.today.found.moves
        if one.from_stage_id in mine or one.to_stage_id in mine
    ]  # fmt: skip
    if rows:
        yield Heading("Can move now", "Into or out of this shop; what presses first.")
        yield Rows(
            (Column("", 0), Column("what", 1), Column("piece", 1.6), Column("from", 1.2),
             Column("to", 1.2), Column("must go by", 1.6), Column("promise", 1.2)),
            rows, small=True)  # fmt: skip


def _stands(ground: Ground, sheet: ShopSheet) -> Iterator[Block]:
    mine = _stages_of(ground, sheet)
    rows: list[list[Cell]] = [
        [Strong(one.piece), one.stage_id or NONE, one.cause.value, one.by, one.opens,
         day(ground.date_of(one.opens_day)), moment(one.since)]
        for one in ground.today.found.blocked
        if one.stage_id in mine or one.next_stage_id in mine
    ]  # fmt: skip
    if rows:
        yield Heading("Stands, and why", "Cannot go on or be worked on; what opens it, and when.")
        yield Rows(
            (Column("piece", 1.4), Column("where", 1), Column("cause", 0.8), Column("by", 2),
             Column("opens", 2), Column("expected", 1.1), Column("since", 1.5)),
            rows, small=True)  # fmt: skip


def _hours(ground: Ground, sheet: ShopSheet) -> Iterator[Block]:
    if not sheet.hours:
        return
    yield Heading("Hours", "Standard hours plan the load; they are not for ranking people. Able: "
                  "by attendance where told, else the usual day.")  # fmt: skip
    columns = (
        Column("trade", 2), Column("needed today, h", 1, True), Column("able today, h", 1, True),
        Column("needed in span, h", 1, True), Column("able in span, h", 1, True),
        Column("short", 1.4),
    )  # fmt: skip
    rows: list[list[Cell]] = []
    for one in sheet.hours:
        short = [word for word, needed, able in (("today", one.needed_today, one.able_today),
                 ("in span", one.needed_week, one.able_week)) if needed > able]  # fmt: skip
        rows.append([
            ground.trade_names.get(one.trade_id, one.trade_id),
            number(one.needed_today), number(one.able_today),
            number(one.needed_week), number(one.able_week),
            Strong(f"SHORT {' and '.join(short)}") if short else "enough",
        ])  # fmt: skip
    yield Rows(columns, rows, small=True)


def _stages_of(ground: Ground, sheet: ShopSheet) -> set[str]:
    return {key for key, one in ground.stages.items() if one.shop_id == sheet.shop_id}
