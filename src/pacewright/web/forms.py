"""Which forms stand on which sheet, for a person who may use them."""

from typing import Any

from starlette.requests import Request

from pacewright.office.access import Person
from pacewright.reports.sheet import Sheet


def forms_of(
    key: str, request: Request, person: Person, sheet: Sheet
) -> tuple[str, dict[str, Any]]:
    """Template of the sheet's page and the values it needs besides the sheet."""
    return "sheet.html.j2", {}
