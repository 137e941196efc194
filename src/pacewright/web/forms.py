"""Which forms stand on which sheet, for a person who may use them."""

from typing import Any

from starlette.requests import Request

from pacewright.office.access import Person
from pacewright.office.sheets.record import in_words
from pacewright.reports.sheet import Sheet
from pacewright.web.frame import Said
from pacewright.web.who import desk_of

MOST_TOLD = 20


def forms_of(
    key: str, request: Request, person: Person, sheet: Sheet
) -> tuple[str, dict[str, Any]]:
    """Template of the sheet's page and the values it needs besides the sheet."""
    return "sheet.html.j2", _booked(request)


def _booked(request: Request) -> dict[str, Any]:
    """What a booking that led here told, read from the record: an address claims nothing."""
    asked = request.query_params.get("booked", "")
    places = [int(one) for one in asked.split()[:MOST_TOLD] if one.isascii() and one.isdigit()]
    lines = [
        f"Booked as event {kept.place}: {in_words(kept.entry.event)}."
        for place in places
        for kept in desk_of(request).ledger.entries(after=place - 1, until=place)
    ]
    return {"said": Said("said", tuple(lines))} if lines else {}
