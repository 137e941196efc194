"""The strip inspection form of one vehicle: every item in question, to be judged and signed."""

from collections.abc import Iterator

from pacewright.control.scope_form import FormLine, form_of
from pacewright.control.scope_seen import seen_of
from pacewright.events.scan import code_of
from pacewright.events.stages import Found
from pacewright.events.standing import VehicleStanding
from pacewright.events.things import WHOLE, Piece, Verdict
from pacewright.reports.papers.blocks import (
    Block,
    Box,
    Cell,
    Choices,
    Column,
    Facts,
    Heading,
    Lines,
    Rows,
    Said,
    Signatures,
    Strong,
)
from pacewright.reports.papers.caution import caution_for
from pacewright.reports.papers.ground import Ground, moment
from pacewright.reports.papers.press import Card, Paper
from pacewright.reports.papers.qr import code
from pacewright.reports.written import NONE, day

KEY = "inspection-form"
VERDICTS = tuple(one.value for one in Verdict)


def inspection_form(ground: Ground, vehicle_id: str) -> Paper:
    """The form of one vehicle inside the works.

    Raises
    ------
    CallError : it is not inside.
    """
    known = ground.vehicle_inside(vehicle_id)
    lines = form_of(ground.works, ground.standing, vehicle_id)
    card = Card(
        title="Strip inspection form",
        subject=f"Vehicle {vehicle_id}",
        code=code(code_of(Piece(WHOLE, vehicle_id))),
        blocks=(
            Facts(_facts(ground, known, lines), 2),
            _caution(ground, lines),
            Said(
                "Judge each item on what is seen and measured. Set one verdict with a cross: "
                f"{', '.join(VERDICTS)}. A verdict printed with a cross is fixed: must-change "
                "means always. What is scrapped or held for safety is set aside and marked."
            ),
            *_items(ground, lines),
            Heading("Found beyond the form", "What was seen that no line asks for: where, what, "
                    "how bad. Book it with the rest."),
            Lines(4),
            *_seen_already(ground, vehicle_id),
            Signatures(("Inspector: name and number", "Signature", "Date and time")),
        ),
    )  # fmt: skip
    return ground.paper(KEY, vehicle_id, [card])


def _facts(
    ground: Ground, known: VehicleStanding, lines: tuple[FormLine, ...]
) -> tuple[tuple[str, str], ...]:
    fixed = sum(bool(one.verdict) for one in lines)
    return (
        ("Type", ground.type_names.get(known.type_id, known.type_id)),
        ("Admitted", moment(known.admitted_at)),
        ("Stripped", moment(known.stripped_at)),
        ("Current promise", day(known.promise)),
        ("Items to judge", f"{len(lines)}, of these {fixed} fixed as must-change"),
        (
            "Modifications done",
            ", ".join(ground.standing.whole(known.vehicle_id).campaigns) or NONE,
        ),
    )


def _caution(ground: Ground, lines: tuple[FormLine, ...]) -> Block:
    asked = {one.item_id for one in lines}
    done = [one for one in ground.works.operations if one.operation_id in asked]
    return caution_for(ground.works, asked, done, brief=True)


def _items(ground: Ground, lines: tuple[FormLine, ...]) -> Iterator[Block]:
    asked = [one for one in lines if not one.verdict]
    for piece in dict.fromkeys(one.piece for one in asked):
        yield Heading(f"To judge on {piece.replace(':', ' ')}")
        yield Rows(_ASKED, [_row(ground, one) for one in asked if one.piece == piece], small=True)
    if not asked:
        yield Said("Nothing is left to judge: every item in question was looked at.")
    fixed = [one for one in lines if one.verdict]
    if fixed:
        yield Heading(
            "Must-change",
            "Changed or done on every vehicle, whatever is found. The "
            "verdict is fixed; write down what was seen where it differs from usual.",
        )
        yield Rows(_FIXED, [_fixed(ground, one) for one in fixed], small=True)  # fmt: skip


_ASKED = (
    Column("item", 3), Column("limit", 1.1), Column("measured", 0), Column("verdict", 0),
    Column("initials", 0),
)  # fmt: skip
_FIXED = (
    Column("item", 3.4), Column("piece", 1.6), Column("verdict", 1.2), Column("seen", 2.2),
    Column("initials", 0),
)  # fmt: skip


def _row(ground: Ground, one: FormLine) -> list[Cell]:
    measured: Cell = Box(18, 5.5) if one.reading_unit else "by eye"
    limit = limits(one.least, one.most, one.reading_unit)
    return [_named(ground, one), limit, measured, Choices(VERDICTS), Box(11, 5.5)]


def _fixed(ground: Ground, one: FormLine) -> list[Cell]:
    return [_named(ground, one), one.piece, Choices((one.verdict,), one.verdict), "", Box(11, 4.4)]


def _named(ground: Ground, one: FormLine) -> Strong:
    return Strong(one.name, f"{one.item_id}{_where(ground, one.item_id)}")


def _where(ground: Ground, item_id: str) -> str:
    stage_id = next(
        (one.stage_id for one in ground.works.operations if one.operation_id == item_id), None
    )
    return f", at {ground.stages[stage_id].name}" if stage_id in ground.stages else ""


def limits(least: float | None, most: float | None, unit: str) -> str:
    """Limits at which an item may stay, in words.

    Examples
    --------
    >>> limits(2.0, 4.0, "mm"), limits(None, 4.0, "mm"), limits(0.5, None, "")
    ('2 to 4 mm', 'at most 4 mm', 'at least 0.5')
    """
    if least is not None and most is not None:
        said = f"{least:g} to {most:g}"
    elif least is not None:
        said = f"at least {least:g}"
    else:
        said = f"at most {most:g}" if most is not None else NONE
    return f"{said} {unit}".strip() if said != NONE else said


def _seen_already(ground: Ground, vehicle_id: str) -> Iterator[Block]:
    seen = seen_of(ground.standing, vehicle_id)
    rows: list[list[Cell]] = [
        [code_of(piece.piece), item_id, found.verdict.value, _reading(found), moment(found.at)]
        for piece in (seen.whole, *seen.assemblies)
        for item_id, found in piece.found.items()
    ]
    if not rows:
        return
    yield Heading("Judged already on this visit", "As recorded; not to be judged again here.")
    columns = (
        Column("piece", 2), Column("item", 2), Column("verdict", 1),
        Column("measured", 1, True), Column("when", 1.5),
    )  # fmt: skip
    yield Rows(columns, rows, small=True)


def _reading(found: Found) -> str:
    if found.measurement is None:
        return NONE
    return f"{found.measurement:g} {found.reading_unit}".strip()
