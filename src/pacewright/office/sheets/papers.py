"""Every sort of printed paper: what it is for and what it is picked by."""

from collections.abc import Mapping

from pacewright.office.desk import Desk
from pacewright.office.papers import sorts
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
        basis=(f"Record up to event {number(desk.head_place(), 0)}.",),
    )
