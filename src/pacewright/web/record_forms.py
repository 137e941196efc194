"""The filter of the record's page, and the way to older events."""

from typing import Any
from urllib.parse import urlencode

from starlette.requests import Request

from pacewright.events.registry import KINDS
from pacewright.office.access import Person
from pacewright.office.sheets.record import PAGE_ROWS

ASKED = ("about", "kind", "by", "since")
"""What the filter asks, as the address and the REST twin name it."""


def record_filter(request: Request, person: Person) -> tuple[str, dict[str, Any]]:
    """What was asked, the kinds there are, and the address of what is older, less its place."""
    chosen = {name: request.query_params.get(name, "") for name in ASKED}
    older = urlencode({name: said for name, said in chosen.items() if said} | {"before": ""})
    kinds = [(kind, kind.replace("_", " ")) for kind in sorted(KINDS)]
    before = request.query_params.get("before", "")
    return "record.html.j2", {
        "chosen": chosen,
        "kinds": kinds,
        "older": f"/record?{older}",
        "page_rows": PAGE_ROWS,
        "before": before,
    }


RECORD_FORMS = {"record": record_filter}
