"""One serial's life: a unit or an assembly, where it was, on what, when, and what it has run."""

from collections.abc import Iterator, Mapping, Sequence

from pacewright.events.links import Link
from pacewright.events.scan import code_of, parts_of_code
from pacewright.events.stages import Found
from pacewright.events.standing import PieceStanding, UnitStanding
from pacewright.events.things import WHOLE, Piece, Unit
from pacewright.events.units import UnitFound
from pacewright.office.desk import Desk
from pacewright.office.errors import NotFoundError
from pacewright.office.photos import photo_table, photos_of
from pacewright.office.sheets.part_units import state_of, where_of
from pacewright.office.sheets.parts import LINKS
from pacewright.office.sheets.record import events_table
from pacewright.office.sheets.serial_spells import Stretch, stretches_of, stretches_table
from pacewright.office.sheets.today_made import DayPaper
from pacewright.office.sheets.today_paper import day_paper_with
from pacewright.office.sheets.vehicle_identity import carried_rows, carried_table, piece_where
from pacewright.office.sheets.vehicle_story import story_of
from pacewright.office.sheets.vehicle_units import used_distance, used_months
from pacewright.reports.drawings.life_line import Spell, life_line
from pacewright.reports.hazards import page_cautions
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.table import Table, moment, number, table, text
from pacewright.reports.written import moment as said_moment
from pacewright.reports.written import number as said_number
from pacewright.reports.written import some

HISTORY = 200
CARRIERS_HOW = (
    "Every vehicle it was on by the record. What was on an assembly went with it, vehicle by "
    "vehicle. Follow a number to the vehicle and what that carries now."
)
CAUTION = (
    "Nothing past its life, and no life-limited unit of unknown age, is issued or fitted; no one "
    "can override this. Condition is judged by an inspector, not by this page.",
)


def serial(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """The life of what a code names.

    Raises
    ------
    NotFoundError : the record knows no such unit or assembly.
    """
    said = asked.get("code", "")
    parts = parts_of_code(said)
    if parts is not None and parts[0] != WHOLE:
        as_unit, as_piece = Unit(*parts), Piece(*parts)
        paper = day_paper_with(desk, lambda now: as_unit in now.units or as_piece in now.pieces)
        unit = paper.standing.units.get(as_unit)
        if unit is not None:
            return _unit_sheet(desk, paper, unit)
        piece = paper.standing.pieces.get(as_piece)
        if piece is not None:
            return _piece_sheet(desk, paper, piece)
    raise NotFoundError(
        f"code {said[:60]}: the record knows no unit or assembly of that code. Wanted is one such "
        "as motor:M-7 or body:B-11. Scan the label again, or look on the page of its kind."
    )


def _unit_sheet(desk: Desk, paper: DayPaper, known: UnitStanding) -> Sheet:
    code = code_of(known.unit)
    stretches = stretches_of(known.unit, story_of(desk, code), paper.standing, paper.today.now)
    return Sheet(
        key="serial",
        title=f"Unit {known.unit}",
        question=f"Where is {known.unit}, where was it, and how much of its life is used?",
        answer=tuple(_unit_answer(paper, known)),
        figures=_unit_figures(paper, known),
        parts=tuple(_unit_parts(desk, paper, known, stretches)),
        caution=(*CAUTION, *page_cautions(paper.works, known.unit[:1])),
        up_to=paper.place,
        basis=paper.basis[:1],
    )


def _unit_answer(paper: DayPaper, known: UnitStanding) -> Iterator[str]:
    vehicle_id = paper.standing.pieces[known.onto].vehicle_id if known.onto else ""
    on = f", vehicle {vehicle_id}" if vehicle_id else ""
    yield f"{state_of(known).capitalize()}: {where_of(known)}{on}, {known.condition.value}."
    links = paper.standing.unit_links.of.get(known.unit, ())
    vehicles = {one.vehicle_id for one in carried_rows(paper.standing, links) if one.vehicle_id}
    seen, last = some(len(vehicles), "vehicle"), said_moment(known.last_at)
    yield f"Seen on {seen} so far; last told of on {last}."


def _unit_figures(paper: DayPaper, known: UnitStanding) -> tuple[Figure, ...]:
    kinds = {one.unit_kind_id: one for one in paper.works.unit_kinds}
    kind, now = kinds.get(known.unit.unit_kind_id), paper.today.now
    distance, months = used_distance(paper.standing, known, now), used_months(known, now)
    unit = paper.works.settings.distance_unit
    most = (
        f"of {said_number(kind.life_distance, 0)} {unit}" if kind and kind.life_distance else unit
    )
    last = (
        f"of {said_number(kind.life_months, 0)} months" if kind and kind.life_months else "months"
    )
    return (
        Figure("Condition", known.condition.value, where_of(known),
               "By the record; the four conditions are serviceable, unserviceable, quarantine and "
               "scrapped."),
        Figure("Run from new", said_number(distance, 0), most,
               "Odometer readings of every vehicle it was on, between fitting and removal, added "
               "to what its plate or papers told. Not known where a reading or its age is missing: "
               "unknown is unknown, not nought."),
        Figure("Age", said_number(months, 0), last, "From the day it was new, as its plate or "
               "papers told; not known otherwise."),
    )  # fmt: skip


def _unit_parts(
    desk: Desk, paper: DayPaper, known: UnitStanding, stretches: Sequence[Stretch]
) -> Iterator[Part]:
    unit = paper.works.settings.distance_unit
    spells = [Spell(one.state, one.label, one.since, one.until) for one in stretches]
    yield Part("life", "Its life so far",
               "By the record, corrections in their place. A stretch on a vehicle counts from "
               "fitting to removal; a pointer at the left: since before the record began. Run: "
               "by the odometer readings of that vehicle in that time.",
               stretches_table(list(reversed(stretches)), unit),
               drawing=life_line(spells, paper.today.now) if spells else None, links=LINKS,
               empty="Nothing is told of it.")  # fmt: skip
    yield from _carriers(paper, paper.standing.unit_links.of.get(known.unit, ()))
    if known.found:
        yield Part("found", "Found by inspection", "The last finding of each item since it was "
                   "last made good.", _found_table(known),
                   columns=("item_id", "verdict", "measurement", "limit", "reading_unit", "at")
                   )  # fmt: skip
    yield from _photos(desk, known.unit)
    yield _history(desk, code_of(known.unit))


def _photos(desk: Desk, thing: Unit | Piece) -> Iterator[Part]:
    """Photos of all that inspection found of it, the newest first; nothing where there is none."""
    told = [one for one in story_of(desk, code_of(thing)) if isinstance(one, Found | UnitFound)]
    photos = photos_of(reversed(told))
    if photos:
        yield Part("photos", "Photos of it", "Taken at inspections of it, corrections in their "
                   "place, the newest first. What was found then may be made good since.",
                   photo_table(photos), folded=True, photos=photos)  # fmt: skip


def _carriers(paper: DayPaper, links: Sequence[Link]) -> Iterator[Part]:
    rows = carried_rows(paper.standing, links)
    yield Part("carriers", "What it was on", CARRIERS_HOW, carried_table(rows), links=LINKS,
               empty="It was never on anything, by the record.")  # fmt: skip


def _found_table(known: UnitStanding) -> Table:
    return table(
        ("found", "Found by inspection", "One row an item."),
        (text("item_id", "what was inspected"), text("verdict", "what is to be done"),
         number("measurement", "what was measured", "in its unit"),
         number("limit", "limit it was held against", "in its unit"),
         text("reading_unit", "unit of both"), moment("at", "when, works clock"),
         text("photo", "SHA-256 of its photo; blank: none")),
        list(known.found.values()),
    )  # fmt: skip


def _history(desk: Desk, code: str) -> Part:
    told = list(desk.ledger.entries(about=code, newest_first=True, limit=HISTORY))
    return Part("history", "What happened", f"The newest {HISTORY} events about it, as they were "
                "recorded.", events_table(told), links=LINKS, folded=True,
                columns=("place", "at", "kind", "said", "recorded_by"),
                empty="Nothing is recorded.")  # fmt: skip


def _piece_sheet(desk: Desk, paper: DayPaper, known: PieceStanding) -> Sheet:
    piece, standing = known.piece, paper.standing
    on = sorted(standing.unit_links.on.get(piece, ()))
    goes = paper.today.seen.assemblies.get(piece)
    answer = [f"{piece}: {piece_where(standing, piece)}."]
    if goes is not None and goes.goes_to:
        answer.append(f"It would be married to vehicle {goes.goes_to}; a person decides.")
    if known.came_from:
        answer.append(f"Last parted from vehicle {known.came_from}.")
    return Sheet(
        key="serial",
        title=f"Assembly {piece}",
        question=f"Where is {piece}, and which vehicles was it part of?",
        answer=tuple(answer),
        figures=(
            Figure("Carries", known.vehicle_id or "no number", "vehicle",
                   "The number it carries or is part of; a loose assembly has none."),
            Figure("Units on it", str(len(on)), "units", "Known to be on it now, by the record."),
        ),
        parts=(
            *_carriers(paper, standing.piece_links.of.get(piece, ())),
            Part("units", "Units on it", "By the record.", _units_table(paper, on), links=LINKS,
                 empty="The record knows of no unit on it by itself; those of a whole vehicle "
                       "stand on the page of the vehicle."),
            *_photos(desk, piece),
            _history(desk, code_of(piece)),
        ),
        up_to=paper.place,
        basis=paper.basis[:1],
    )  # fmt: skip


def _units_table(paper: DayPaper, units: Sequence[Unit]) -> Table:
    known = paper.standing.units
    return table(
        ("units", "Units on it", "By kind and serial."),
        (text("serial", "its code", code_of), text("unit_kind_id", "unit kind", lambda r: r[0]),
         moment("fitted_at", "when it was fitted; blank: not seen", lambda r: known[r].fitted_at)),
        units,
    )  # fmt: skip
