"""Shops: where the work piles up and where it runs out, today and on the days ahead."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pacewright.control.days_ahead import PeopleDay
from pacewright.control.shop_sheet import Advice, ShopSheet
from pacewright.office.desk import Desk
from pacewright.office.sheets.today_made import DayPaper
from pacewright.office.sheets.today_paper import day_paper
from pacewright.plans.line import Gear
from pacewright.reports.drawings.load_days import LoadRow, load_days
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.table import Table, number, table, text, whole
from pacewright.reports.written import listed, some

PARTS = ("inside", "still to come in", "units at the pace")
LOAD_HOW = (
    "Standard hours asked over standard hours the people there can do; the strong line is all they "
    "can do, above it a bar has a triangle. Inside: vehicles and assemblies, on the days they "
    "would be worked on by the critical path. To come in: at the gate, called, or by the "
    "programme, at the earliest times of the route. Units: demand a day times the hours of one. "
    "Broken line: a mean day at the pace. Today is what is left of the day. Not for ranking people."
)


@dataclass(frozen=True, slots=True)
class ShopRow:
    """One shop at a glance."""

    shop_id: str
    name: str
    there: int
    at_work: int
    held: int
    waiting: int
    free: int
    needed_today: float
    able_today: float
    busiest: str
    units_first: int
    units_out: int
    gear: str


def shops(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """Every shop at a glance, and its busiest trade on the days ahead."""
    paper = day_paper(desk)
    load = paper.people
    rows = [_row(paper, one, load) for one in paper.today.sheets]
    return Sheet(
        key="shops",
        title="Shops",
        question="Where does the work pile up, and where does it run out?",
        answer=tuple(_answer(rows)),
        figures=_figures(rows),
        parts=(
            Part(
                "load",
                "The busiest trade of each shop on the days ahead",
                LOAD_HOW + " Of each shop the trade that is asked most over all days, against what "
                "it can do.",
                drawing=_drawing(paper, load),
                table=people_table(load, paper),
                links={"shop_id": "/shops/{}"},
                folded=True,
                empty="Nobody works here: people.csv has no rows.",
            ),
            Part(
                "shops",
                "Every shop today",
                "Pieces by where the record says they stand; hours by what is due today, see the "
                "page of the shop.",
                _table(rows),
                links={"shop_id": "/shops/{}"},
                columns=("shop_id", "name", "there", "at_work", "held", "waiting", "free",
                         "needed_today", "able_today", "busiest", "units_first", "units_out",
                         "gear"),
                empty="The shops table is empty.",
            ),
        ),
        caution=("Job times show where work waits. They are not for ranking people.",),
        up_to=paper.place,
        basis=paper.basis,
    )  # fmt: skip


def _row(paper: DayPaper, sheet: ShopSheet, load: Sequence[PeopleDay]) -> ShopRow:
    one, shop_id = paper.today, sheet.shop_id
    stages = {s.stage_id: s for s in paper.works.stages if s.shop_id == shop_id}
    there = [str(p) for (s, _), pieces in paper.standing.occupied.items() if s in stages
             for p in pieces]  # fmt: skip
    at_work = sum(name in set(one.found.at_work) for name in there)
    waits = {row.piece for row in one.found.moves if row.to_stage_id in stages}
    waits |= {row.piece for row in one.found.blocked
              if row.next_stage_id in stages and row.stage_id not in stages}  # fmt: skip
    closed = sum(stage_id in stages for stage_id, _ in paper.standing.out_of_use)
    taken = sum(stage_id in stages for stage_id, _ in paper.standing.occupied)
    return ShopRow(
        shop_id,
        sheet.name,
        len(there),
        at_work,
        sum(row.stage_id in stages for row in one.found.blocked),
        len(waits),
        max(0, sum(s.positions for s in stages.values()) - closed - taken),
        sum(row.needed_today for row in sheet.hours),
        sum(row.able_today for row in sheet.hours),
        _busiest(sheet),
        sum(row.due_today for row in sheet.units if row.advice is Advice.FIRST),
        sum(row.turn_out for row in sheet.units),
        _gear(paper, shop_id),
    )


def _busiest(sheet: ShopSheet) -> str:
    rows = [row for row in sheet.hours if row.needed_today > 0]
    if not rows:
        return ""
    worst = max(rows, key=lambda row: row.needed_today / max(1e-9, row.able_today))
    if worst.able_today <= 0:
        return f"{worst.trade_id}: none there"
    return f"{worst.trade_id} {worst.needed_today / worst.able_today:.0%}"


def _gear(paper: DayPaper, shop_id: str) -> str:
    if paper.plan is None:
        return ""
    line = paper.plan.line
    order = list(Gear)
    gears = [one.gear for rows in (line.stages, line.trades, line.plant) for one in rows
             if one.shop_id == shop_id]  # fmt: skip
    return min(gears, key=order.index).value if gears else ""


def _answer(rows: Sequence[ShopRow]) -> list[str]:
    over = [f"{row.name} ({row.busiest})" for row in rows if row.needed_today > row.able_today]
    queue = sorted((row for row in rows if row.waiting), key=lambda row: -row.waiting)
    said = []
    if over:
        said.append(f"More is due today than the people there can do: {listed(over)}.")
    else:
        said.append("Every shop has the people for what is due today, all trades together.")
    if queue:
        worst = [f"{row.name} ({some(row.waiting, 'piece')})" for row in queue]
        said.append(f"Waiting to come in: {listed(worst)}.")
    else:
        said.append("Nothing waits to come into a shop.")
    first = [row.name for row in rows if row.units_first]
    if first:
        said.append(f"Units that vehicles stand for are due today from {listed(first)}.")
    return said


def _figures(rows: Sequence[ShopRow]) -> tuple[Figure, ...]:
    return (
        Figure("On stages", str(sum(r.there for r in rows)), "pieces",
               "Vehicles and assemblies on a position, by the record."),
        Figure("Held there", str(sum(r.held for r in rows)), "pieces",
               "Of these: can neither go on nor be worked on."),
        Figure("Wait to come in", str(sum(r.waiting for r in rows)), "pieces",
               "Done where they are; their next stage lies in another shop."),
        Figure("Positions free", str(sum(r.free for r in rows)), "positions",
               "In use and with nothing on them."),
    )  # fmt: skip


def _table(rows: Sequence[ShopRow]) -> Table:
    return table(
        ("shops", "Shops", "One row a shop; hours are standard hours."),
        (text("shop_id", "shop"), text("name", "its name"),
         whole("there", "stand on its stages", "pieces"),
         whole("at_work", "of these: somebody works on them, or they dry", "pieces"),
         whole("held", "of these: cannot go on nor be worked on", "pieces"),
         whole("waiting", "wait elsewhere to come in", "pieces"),
         whole("free", "positions in use with nothing on them", "positions"),
         number("needed_today", "hours of what is due today", "man-hours"),
         number("able_today", "hours its people have left today", "man-hours"),
         text("busiest", "trade that is asked most against what it can do, today"),
         whole("units_first", "units due today that vehicles stand for", "units"),
         whole("units_out", "units to turn out within the days of the sheet", "units"),
         text("gear", "slowest place of the shop against the pace, by the plan; blank: no plan")),
        rows,
    )  # fmt: skip


def people_table(load: Sequence[PeopleDay], paper: DayPaper) -> Table:
    """Trade by trade, day by day."""
    names = {one.trade_id: one.name for one in paper.works.trades}
    return table(
        ("people_days", "Load of the days ahead", "Hours asked of each trade, day by day."),
        (text("shop_id", "shop"), text("trade_id", "trade"),
         text("name", "its name", lambda r: names.get(r.trade_id, r.trade_id)),
         text("day", "working day", lambda r: r.day.isoformat()),
         number("inside", "for what is inside", "man-hours"),
         number("coming", "for what is still to come in", "man-hours"),
         number("units", "on units at the pace", "man-hours"),
         number("needed", "these together", "man-hours"),
         number("able", "what its people can do", "man-hours"),
         number("at_pace", "a mean day at the pace; blank: no plan", "man-hours")),
        load,
    )  # fmt: skip


def trade_row(name: str, days: Sequence[PeopleDay], under: str = "") -> LoadRow:
    """One trade as a row of the drawing."""
    able = max((one.able for one in days[1:]), default=0.0)
    pace = days[0].at_pace
    return LoadRow(
        name,
        [_cell(one) for one in days],
        pace / able if pace is not None and able else None,
        under,
    )


def _cell(one: PeopleDay) -> tuple[float, ...] | None:
    if one.able <= 0:
        return None if one.needed > 0 else (0.0, 0.0, 0.0)
    return tuple(part / one.able for part in (one.inside, one.coming, one.units))


def by_trade(load: Sequence[PeopleDay]) -> dict[tuple[str, str], list[PeopleDay]]:
    """Shop and trade -> its days."""
    found: dict[tuple[str, str], list[PeopleDay]] = {}
    for one in load:
        found.setdefault((one.shop_id, one.trade_id), []).append(one)
    return found


def _drawing(paper: DayPaper, load: Sequence[PeopleDay]) -> Drawing | None:
    trades = by_trade(load)
    names = {one.trade_id: one.name for one in paper.works.trades}
    rows: list[LoadRow] = []
    for shop in paper.works.shops:
        mine = [(key, days) for key, days in trades.items() if key[0] == shop.shop_id]
        if not mine:
            continue
        (_, trade_id), worst = max(mine, key=lambda one: _asked(one[1]))
        rows.append(trade_row(shop.name, worst, names.get(trade_id, trade_id)))
    if not rows:
        return None
    days = [one.day for one in next(iter(trades.values()))]
    said = ("Busiest trade of each shop", "A bar as high as the line: all its people can do.")
    return load_days("shopload", said, days, PARTS, rows)


def _asked(days: Sequence[PeopleDay]) -> float:
    able = sum(one.able for one in days)
    needed = sum(one.needed for one in days)
    return needed / able if able else (float("inf") if needed else 0.0)
