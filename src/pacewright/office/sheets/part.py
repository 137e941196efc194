"""One unit kind: its float, cover day by day, pipeline, who needs it, turn times, its units."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from pacewright.control.cover_days import CoverDay, cover_days
from pacewright.control.needs import Need
from pacewright.office.desk import Desk
from pacewright.office.errors import NotFoundError
from pacewright.office.sheets import part_turns, part_units
from pacewright.office.sheets.learning_paper import learned_if_there
from pacewright.office.sheets.part_units import ON_VEHICLE, UnitRow
from pacewright.office.sheets.parts import HOW, LINKS, KindRow, cover_words, kind_rows
from pacewright.office.sheets.today_made import DayPaper
from pacewright.office.sheets.today_paper import day_paper
from pacewright.plans.floatlist import FloatLine
from pacewright.reports.drawings.cover_curve import StockDay, cover_curve
from pacewright.reports.drawings.late_curve import late_curve
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.hazards import page_cautions
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.table import Table, day, number, share, table, text, whole, yes_no
from pacewright.reports.today import CAUTION
from pacewright.reports.written import day as said_day
from pacewright.reports.written import listed
from pacewright.reports.written import number as said_number
from pacewright.reports.written import share as said_share

MOST_OPEN = 40
"""Rows above which a table of units is folded away."""

COVER_HOW = (
    "Stock = serviceable + units not in store that are back and not scrapped + those that come off "
    "from now on and are back, less what is wanted at the pace. The band holds nine cases of ten "
    "of its exact law: each unit not in store back or not by the turn law of the kind, what is "
    "wanted as if vehicles came at random, which is cautious: even call-in scatters less."
)
NEEDS_HOW = (
    "What vehicles inside still need of this kind, earliest first: owed less what is given out for "
    "them, and still to come off by share. Needed when the stage begins at which it goes on."
)
_LEAST_CHANCE = 0.002
SHARE = "share of 1"

READY_HOW = (
    "From the float list of the plan, by the law named there. Late: chance that a vehicle waits "
    "longer than so many working days for this kind, with the float held."
)


def part(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """Everything of one unit kind.

    Raises
    ------
    NotFoundError : there is no such kind.
    """
    paper, kind_id = day_paper(desk), asked.get("unit_kind_id", "")
    row = next((one for one in kind_rows(paper) if one.cover.unit_kind_id == kind_id), None)
    if row is None:
        raise NotFoundError(
            f"unit kind {kind_id[:40]}: unit_kinds.csv has none of that name. Look for it on the "
            "page Parts."
        )
    return Sheet(
        key="part",
        title=f"Unit kind {kind_id}",
        question=f"Is there enough of {row.cover.name}, where are the units, and who needs one?",
        answer=tuple(_answer(paper, row)),
        figures=_figures(paper, row),
        parts=tuple(_parts(desk, paper, row)),
        caution=(*CAUTION[3:], *page_cautions(paper.works, (kind_id,))),
        up_to=paper.place,
        basis=(*paper.basis, f"Demand: {row.cover.demand_source}; turn time: "
               f"{row.cover.turn_source}."),
    )  # fmt: skip


def _answer(paper: DayPaper, row: KindRow) -> Iterator[str]:
    yield cover_words(row)
    if row.runs_out:
        yield f"With the returns expected it runs out on {said_day(row.runs_out)}."
    short = [one for one in paper.today.short if one.unit_kind_id == row.cover.unit_kind_id]
    if short:
        names = [one.vehicle_id or one.piece for one in short]
        yield f"Will stand for want of it: {listed(list(dict.fromkeys(names)))}."
    else:
        yield f"Nobody stands for want of it in the next {paper.today.look_days} working days."
    kind = row.pool.kind
    yield (
        f"Made good in shop {kind.shop_id}; comes off at {kind.strip_stage_id}, goes on at "
        f"{kind.fit_stage_id}" + ("; changed on every vehicle." if kind.must_change else ".")
    )


def _figures(paper: DayPaper, row: KindRow) -> tuple[Figure, ...]:
    cover, line = row.cover, row.line
    in_repair = f"{cover.unserviceable} unserviceable, {cover.quarantine} in quarantine"
    found = [
        Figure("Serviceable, free", str(cover.serviceable), f"units; {cover.issued} given out",
               HOW),
        Figure("Cover", said_number(cover.cover_days), f"working days; {in_repair}", HOW),
        Figure("Chance to run out", said_share(cover.chance_out), "within 10 working days", HOW),
    ]  # fmt: skip
    if line is not None:
        found.append(Figure("Ready on the day", said_share(line.ready_held, 1),
                            f"with {line.held} held; {line.needed} needed", READY_HOW)
                     )  # fmt: skip
    return tuple(found)


def _parts(desk: Desk, paper: DayPaper, row: KindRow) -> Iterator[Part]:
    days = cover_days(paper.today.seen, row.pool, paper.today.asked)
    yield Part("cover", "Stock on the days ahead", COVER_HOW, cover_table(paper, days),
               drawing=_cover_drawing(paper, row, days), folded=True)  # fmt: skip
    units = part_units.unit_rows(paper, row.pool)
    yield Part("pipeline", "Where the units are",
               "By the record. Drawn are those in repair, by working days since they came off; a "
               "triangle is overdue: longer away than all but one turn in ten thousand.",
               part_units.places_table(part_units.place_rows(units)),
               drawing=part_units.ages_drawing(units, row.pool),
               empty="The record knows no unit of this kind.")  # fmt: skip
    wanted = [one for one in paper.today.wanted if one.unit_kind_id == row.cover.unit_kind_id]
    yield Part("needs", "Who needs one", NEEDS_HOW, needs_table(paper, wanted), links=LINKS,
               empty="No vehicle inside needs one.")  # fmt: skip
    turns = part_turns.turns_of(paper, row.pool.kind)
    learned = learned_if_there(desk)
    yield Part("turns", "Turn times as they were", part_turns.HOW, part_turns.turns_table(turns),
               drawing=part_turns.turns_drawing(paper, row.pool.kind, turns, learned),
               links=LINKS, folded=True,
               empty="No turn of this kind ended within a year, by the record.")  # fmt: skip
    if row.line is not None:
        yield Part("readiness", "Float and readiness by the plan", READY_HOW,
                   readiness_table(row.line), drawing=_late(row.line),
                   columns=("what", "told", "note"))  # fmt: skip
    unit = paper.works.settings.distance_unit
    yield from _units(units, unit)


def _units(units: Sequence[UnitRow], distance_unit: str) -> Iterator[Part]:
    on = [one for one in units if one.state == ON_VEHICLE]
    off = [one for one in units if one.state != ON_VEHICLE]
    how = "By the record; follow a code to the life of the unit."
    yield Part("units", "Units off vehicles", how,
               part_units.units_table("units", "Units off vehicles", off, distance_unit),
               links=LINKS, columns=("serial", "state", "where", "since", "away_days", "expected",
                                     "overdue", "used_distance", "used_months"),
               empty="The record knows none off a vehicle: count the store and enter them."
               )  # fmt: skip
    yield Part("on_vehicles", "Units on vehicles", how,
               part_units.units_table("on_vehicles", "Units on vehicles", on, distance_unit),
               links=LINKS, columns=("serial", "where", "vehicle_id", "since", "used_distance",
                                     "used_months"), folded=len(on) > MOST_OPEN,
               empty="None was seen fitted to a vehicle or read there yet.")  # fmt: skip


def cover_table(paper: DayPaper, days: Sequence[CoverDay]) -> Table:
    """The days ahead as rows."""
    return table(
        ("cover", "Stock on the days ahead", "Below 0: so many are wanted and not there."),
        (day("day", "working day", lambda r: _date(paper, r.day)),
         number("expected", "expected in store at its end", "units"),
         whole("low", "one case in twenty is below", "units"),
         whole("high", "one case in twenty is above", "units"),
         share("chance_out", "chance that more are wanted by then than are there")),
        days,
    )  # fmt: skip


def _date(paper: DayPaper, clock_day: float) -> date | None:
    return paper.today.seen.clock.date_of(clock_day)


def _cover_drawing(paper: DayPaper, row: KindRow, days: Sequence[CoverDay]) -> Drawing:
    drawn = [StockDay(_date(paper, one.day), one.expected, one.low, one.high) for one in days]
    out = next((place for place, one in enumerate(days) if one.expected < 0), None)
    return cover_curve(row.cover.serviceable, drawn, out)


def needs_table(paper: DayPaper, rows: Sequence[Need]) -> Table:
    """Needs as rows."""
    short = {(one.piece, one.unit_kind_id): one for one in paper.today.short}

    def late(need: Need, name: str) -> object:
        found = short.get((str(need.piece), need.unit_kind_id))
        return getattr(found, name) if found else None

    return table(
        ("needs", "Who needs one", "The earliest first."),
        (text("vehicle_id", "vehicle that waits for it"),
         text("piece", "what owes it", lambda r: str(r.piece)),
         whole("owed", "taken off and not made up for", "units"),
         whole("issued", "of those, given out for it", "units"),
         number("to_come_off", "still to come off, by share", "units", "expected"),
         yes_no("must_change", "yes: never left out"), text("fit_stage_id", "where it goes on"),
         day("needed", "day that stage begins", lambda r: _date(paper, r.needed_day)),
         text("comes", "from where it comes late; blank: in time",
              lambda r: late(r, "source") or ""),
         number("late_days", "so many late", "working days", lambda r: late(r, "days_late")),
         share("chance", "chance that it comes in time after all", lambda r: late(r, "chance"))),
        rows,
    )  # fmt: skip


def readiness_table(line: FloatLine) -> Table:
    """The kind's line of the plan, a fact a row."""
    rows: list[tuple[str, float, str, str]] = [
        ("float held", line.held, "units", "serviceable and unserviceable by the tables"),
        ("float needed", line.needed, "units", f"by {line.law}"),
        ("to buy", line.buy, "units", "so that vehicles reach the target at least money"),
        ("ready with held", line.ready_held, SHARE, "a unit is there on the day"),
        ("ready with needed", line.ready_needed, SHARE, "the same with the float needed"),
        ("ready with one more", line.ready_one_more, SHARE, "one unit more than held"),
        ("ready with one takt more", line.ready_one_takt, SHARE, "one takt more of offset"),
        ("one takt is worth", line.takt_worth_units, "units", "of float"),
        ("pipeline", line.pipeline_mean, "units", "on the mean, beyond the offset"),
        ("offset", line.offset_days, "working days", "from removal to need on the vehicle"),
        ("turn time", line.turn_days, "working days", "lots, despatch and queue included"),
    ]
    return table(
        ("readiness", "Float and readiness by the plan", "One fact a row."),
        (text("what", "figure", lambda r: r[0]),
         text("told", "how much, as people read it", _as_told),
         number("value", "how much", "as told", lambda r: r[1]),
         text("unit", "its unit", lambda r: r[2]), text("note", "what it is", lambda r: r[3])),
        rows,
    )  # fmt: skip


def _as_told(row: tuple[str, float, str, str]) -> str:
    if row[2] == SHARE:
        return said_share(row[1], 1)
    return f"{said_number(row[1], 0 if float(row[1]).is_integer() else 1)} {row[2]}"


def _late(line: FloatLine) -> Drawing | None:
    # Where next to nobody waits there is nothing to draw.
    if not line.late_days or line.late_chance[0] < _LEAST_CHANCE:
        return None
    return late_curve(line.late_days, line.late_chance, max(0.05, *line.late_chance))
