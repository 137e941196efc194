"""Every sort of printed paper: what it is for and what it is picked by."""

from collections.abc import Mapping

from pacewright.office.desk import Desk
from pacewright.office.errors import CallError
from pacewright.office.papers import sorts, typefaces_of
from pacewright.reports.papers.signs import REMEDY, lacking_in_works
from pacewright.reports.sheet import Part, Sheet
from pacewright.reports.table import table, text
from pacewright.reports.written import number


def papers(desk: Desk, _asked: Mapping[str, str]) -> Sheet:
    """The list of papers."""
    every = sorts()
    listed = table(
        ("papers", "Papers", "Sorts of printed paper; each is found under /papers/SORT.pdf."),
        (
            text("sort", "stable name, as in addresses and commands", "key"),
            text("title", "what it is called"),
            text("about", "what it is for"),
            text(
                "picked_by",
                "what it may be picked by; needed ones are marked",
                lambda one: "; ".join(
                    f"{name}{' (needed)' if name in one.needs else ''}: {meaning}"
                    for name, meaning in one.picks.items()
                ),
            ),
        ),
        every,
    )
    return Sheet(
        key="papers",
        title="Papers",
        question="Which paper do you need?",
        answer=(
            f"{len(every)} sorts of paper, made from the record and the day's plan as they stand "
            "when the button is pressed. Print at full size.",
        ),
        parts=(
            *_signs(desk),
            Part(
                "papers",
                "The same as a list",
                "Papers are black on white; codes on them are scanned as labels are. Every page "
                "says up to which event of the record it holds.",
                listed,
            ),
        ),
        caution=(
            "A paper plans and does not certify. A label does not make a unit serviceable; a "
            "docket does not move anything; what is written on a form holds when it is booked.",
        ),
        basis=(f"Record up to event {number(desk.head_place(), 0)}.", _fonts(desk)),
    )


def _fonts(desk: Desk) -> str:
    try:
        return f"Papers are set in {typefaces_of(desk.path).said}."
    except CallError as error:
        return str(error)


def _signs(desk: Desk) -> tuple[Part, ...]:
    """Names in the tables that no font holds; no part where there are none."""
    try:
        faces = typefaces_of(desk.path)
    except CallError:
        return ()
    found = desk.paper(
        "signs of no font", lambda: lacking_in_works(desk.works, faces), (desk.works, faces.files)
    )
    if not found:
        return ()
    listed = table(
        ("signs", "Signs of no font", "Texts of the tables with signs that no font at hand holds"),
        (
            text("where", "table, row and column"),
            text("text", "what stands there"),
            text("signs", "the signs that no font holds"),
            text("numbers", "their numbers in Unicode"),
        ),
        found,
    )
    return (
        Part(
            "signs",
            "These print as boxes",
            f"No font at hand has these signs, so papers show an empty box for each. {REMEDY}",
            listed,
        ),
    )
