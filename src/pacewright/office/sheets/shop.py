"""One shop: its queue, its places and people, the load of the days ahead, its day sheet."""

from collections.abc import Mapping, Sequence

from pacewright.control.days_ahead import PeopleDay, PlacesDay
from pacewright.office.desk import Desk
from pacewright.office.errors import NotFoundError
from pacewright.office.sheets.shop_pieces import There, pieces_table, pieces_there, pieces_waiting
from pacewright.office.sheets.shops import (
    LOAD_HOW,
    PARTS,
    by_trade,
    people_table,
    trade_row,
)
from pacewright.office.sheets.today import LINKS
from pacewright.office.sheets.today_made import DayPaper
from pacewright.office.sheets.today_paper import day_paper
from pacewright.reports.drawings.load_days import LoadRow, load_days
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.hazards import page_cautions
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.shop_tables import (
    hours_table,
    pieces_due_table,
    schedule_table,
    units_due_table,
)
from pacewright.reports.table import Table, number, table, text, whole
from pacewright.reports.today import CAUTION
from pacewright.reports.written import number as written
from pacewright.reports.written import some
from pacewright.works import Works


def shop(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """The day of one shop.

    Raises
    ------
    NotFoundError : there is no such shop.
    """
    paper, shop_id = day_paper(desk), asked.get("shop_id", "")
    sheet = next((one for one in paper.today.sheets if one.shop_id == shop_id), None)
    if sheet is None:
        shops = ", ".join(one.shop_id for one in paper.works.shops)
        raise NotFoundError(f"shop {shop_id[:40]}: there is none. Choose one of: {shops}.")
    queue, there = pieces_waiting(paper, shop_id), pieces_there(paper, shop_id)
    needed = sum(row.needed_today for row in sheet.hours)
    able = sum(row.able_today for row in sheet.hours)
    first = sum(row.due_today for row in sheet.units)
    return Sheet(
        key="shop",
        title=f"Shop {sheet.name}",
        question=f"What must {sheet.name} turn out, and has it the places and people?",
        answer=(
            f"{some(len(there), 'piece')} on its stages, {some(len(queue), 'piece')} waiting to "
            f"come in. Due today: {written(needed, 0)} standard hours against {written(able, 0)} "
            f"that its people have left today."
            + (f" {some(first, 'unit')} must be ready today." if first else ""),
        ),
        figures=(
            Figure("On its stages", str(len(there)), "pieces", "By the record."),
            Figure("Wait to come in", str(len(queue)), "pieces",
                   "Done where they are, or held up there; their next stage is here."),
            Figure("Due today", written(needed, 0), "standard hours",
                   "Vehicles and assemblies by the critical path, units by when they are wanted."),
            Figure("Its people have left", written(able, 0), "standard hours today",
                   "People times hours, attendance and performance; attendance told goes first."),
        ),
        parts=tuple(_parts(paper, shop_id, queue, there)),
        caution=(
            *CAUTION[1:3],
            "Standard hours are a planning figure, not for ranking people.",
            *_hazards(paper.works, shop_id),
        ),
        up_to=paper.place,
        basis=(*paper.basis, "Stages by the mean of their three estimates."),
    )  # fmt: skip


def _hazards(works: Works, shop_id: str) -> tuple[str, ...]:
    places = {one.stage_id for one in works.stages if one.shop_id == shop_id}
    places |= {one.unit_kind_id for one in works.unit_kinds if one.shop_id == shop_id}
    done = (o for o in works.operations if (o.stage_id or o.unit_kind_id) in places)
    return page_cautions(works, places, done)


def _parts(
    paper: DayPaper, shop_id: str, queue: Sequence[There], there: Sequence[There]
) -> list[Part]:
    people = [one for one in paper.people if one.shop_id == shop_id]
    places = [one for one in paper.places if one.shop_id == shop_id]
    one = paper.today
    return [
        Part("units_due", "Units to turn out",
             "What a vehicle stands for first, then what runs out first. Do not start what piles "
             "up.", units_due_table(one, shop_id), links=LINKS,
             columns=("unit_kind_id", "name", "advice", "due_today", "due_span", "turn_out",
                      "to_repair", "serviceable", "full_at", "runs_out", "hours_each"),
             empty="No unit kind is made good in this shop."),
        Part("pieces_due", "Vehicles and assemblies to turn out",
             "By the critical path from where each stands.", pieces_due_table(one, shop_id),
             links=LINKS, columns=("stage_id", "name", "there", "due_today", "due_span",
                                   "pieces_today"), empty="No stage stands in this shop."),
        Part("queue", "Waiting to come in",
             "Their next stage is here. State: free to go, or what keeps them where they are.",
             pieces_table(queue, "queue", "Waiting to come in"), links=LINKS,
             empty="Nothing waits to come in."),
        Part("there", "On its stages", "By the record; ends by the critical path.",
             pieces_table(there, "there", "On its stages"), links=LINKS,
             empty="Nothing stands on its stages."),
        Part("people", "People on the days ahead", LOAD_HOW, people_table(people, paper),
             drawing=_people_drawing(paper, people),
             columns=("trade_id", "name", "day", "inside", "coming", "units", "needed", "able",
                      "at_pace"), folded=True,
             empty="Nobody works in this shop, and no work is planned here."),
        Part("places", "Positions on the days ahead",
             "Pieces that would be there on the mean of a day over positions in use. Above the "
             "line some wait in front of it.", places_table(places),
             drawing=_places_drawing(paper, places), folded=True,
             empty="No stage stands in this shop."),
        Part("hours", "Work against people, today and in the span",
             "Standard hours due against hours there.", hours_table(one, shop_id),
             columns=("trade_id", "needed_today", "able_today", "attended", "needed_span",
                      "able_span"), empty="No people."),
        Part("schedule", "Schedule of the days ahead",
             "The vehicle of the earliest promise first, each stay as early as a position and its "
             "people are free and its units are expected; an oven or bath waits until its charge "
             "is full, at latest until the morning.", schedule_table(one, shop_id),
             links=LINKS, columns=("stage_id", "piece", "vehicle_id", "begins", "works_from",
                                   "ends", "under_way", "waits_for", "people_short"),
             empty="Nothing is planned here within the days of the sheet."),
    ]  # fmt: skip


def places_table(rows: Sequence[PlacesDay]) -> Table:
    """Stage by stage, day by day."""
    return table(
        ("places_days", "Positions of the days ahead", "Pieces against positions, day by day."),
        (text("stage_id", "stage"), text("day", "working day", lambda r: r.day.isoformat()),
         number("inside", "pieces there that are inside now, mean of the day", "pieces"),
         number("coming", "of those still to come in", "pieces"),
         whole("positions", "positions in use", "positions")),
        rows,
    )  # fmt: skip


def _people_drawing(paper: DayPaper, people: Sequence[PeopleDay]) -> Drawing | None:
    names = {one.trade_id: one.name for one in paper.works.trades}
    trades = by_trade(people)
    if not trades:
        return None
    rows = [trade_row(names.get(key[1], key[1]), days) for key, days in trades.items()]
    days = [one.day for one in next(iter(trades.values()))]
    said = ("People on the days ahead", "A bar as high as the line: all its people can do.")
    return load_days("peopleload", said, days, PARTS, rows)


def _places_drawing(paper: DayPaper, places: Sequence[PlacesDay]) -> Drawing | None:
    names = {one.stage_id: one.name for one in paper.works.stages}
    by_stage: dict[str, list[PlacesDay]] = {}
    for one in places:
        by_stage.setdefault(one.stage_id, []).append(one)
    if not by_stage:
        return None
    rows = [LoadRow(names[key], [_full(one) for one in days]) for key, days in by_stage.items()]
    days = [one.day for one in next(iter(by_stage.values()))]
    said = ("Positions on the days ahead", "A bar as high as the line: every position taken.")
    return load_days("placeload", said, days, PARTS[:2], rows)


def _full(one: PlacesDay) -> tuple[float, ...] | None:
    if one.positions <= 0:
        return None if one.inside + one.coming > 0 else (0.0, 0.0)
    return one.inside / one.positions, one.coming / one.positions
