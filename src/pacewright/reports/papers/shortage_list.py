"""The shortage list on paper: what is short for whom, what it costs, who acts by when."""

from collections.abc import Mapping

from pacewright.control.shortages import Shortage
from pacewright.reports.papers.blocks import Box, Cell, Column, Rows, Said, Strong
from pacewright.reports.papers.ground import Ground, units
from pacewright.reports.papers.press import Card, Paper, Size
from pacewright.reports.written import day, number, share, some

KEY = "shortage-list"
COLUMNS = (
    Column("rank", 0, True), Column("unit kind", 1.9), Column("for", 1), Column("goes on at", 2.1),
    Column("short", 0, True), Column("needed", 1.2), Column("expected", 1.9),
    Column("late, days", 0.6, True), Column("behind it", 0.7, True),
    Column("costs, vehicle-days", 0.8, True), Column("chance in time", 0.8, True),
    Column("ready / given out / in repair / set aside", 1.4), Column("owner", 1.5),
    Column("who acts, by when", 0),
)  # fmt: skip


def shortage_list(ground: Ground, asked: Mapping[str, str]) -> Paper:
    """The list, of all or of one shop (its owner) or vehicle.

    Raises
    ------
    CallError : no such shop; the vehicle is not inside.
    """
    ground = ground.looking()
    shop_id, vehicle_id = asked.get("shop", ""), asked.get("vehicle", "")
    if shop_id:
        ground.shop(shop_id)
    if vehicle_id:
        ground.vehicle_inside(vehicle_id)
    rows = [
        one
        for one in ground.today.short
        if shop_id in ("", one.owner) and vehicle_id in ("", one.vehicle_id)
    ]
    about = shop_id or vehicle_id
    whom = ground.shop_names.get(shop_id) or (
        f"Vehicle {vehicle_id}" if vehicle_id else "All shops"
    )
    card = Card(
        title="Shortage list",
        subject=whom,
        size=Size.A4_WIDE,
        blocks=(
            Said(
                f"{some(len(rows), 'shortage')} within {ground.days} working days, the dearest "
                "first. Vehicle-days of one vehicle's rows overlap and are not to be summed; the "
                "four conditions never are. Must-change is never left out."
            ),
            Rows(
                COLUMNS,
                [_row(ground, one) for one in rows],
                "Nothing is short: every unit needed within these days is in store or expected in "
                "time.",
                small=True,
            ),
        ),
    )
    return ground.paper(KEY, about, [card])


def _row(ground: Ground, one: Shortage) -> list[Cell]:
    stage = ground.stages.get(one.fit_stage_id)
    expected = (
        "none in sight"
        if one.expected_day is None
        else f"{day(ground.date_of(one.expected_day))}, {one.source} {one.serial}".strip()
    )
    return [
        str(one.rank),
        Strong(one.name, "must-change" if one.must_change else ""),
        Strong(one.vehicle_id, "" if one.piece.endswith(one.vehicle_id) else one.piece),
        stage.name if stage else one.fit_stage_id,
        units(one.units),
        day(ground.date_of(one.needed_day)),
        f"{expected}. OVERDUE: ask" if one.overdue else expected,
        number(one.days_late),
        str(one.behind),
        number(one.vehicle_days),
        share(one.chance),
        f"{one.serviceable} / {one.issued} / {one.unserviceable} / {one.quarantine}",
        ground.shop_names.get(one.owner, one.owner),
        Box(26, 6),
    ]
