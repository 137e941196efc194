"""What the tests of booking share: a form sent as a browser sends it, a vehicle let in."""

import re
from collections.abc import Mapping
from typing import Any

from fastapi.testclient import TestClient
from httpx2 import Response

from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from web_desk import browser

AS_SCRIPT = {"accept": "application/json"}
VEHICLE, TYPE, DEPOT = "P0001", "pair", "orrisbank"


def hidden(html: str, name: str) -> str:
    """Value of a hidden field of a page."""
    found = re.search(rf'name="{name}" value="([^"]*)"', html)
    assert found, f"no hidden field {name}"
    return found[1]


def book(client: TestClient, kind: str, cells: Mapping[str, str], script: bool = True) -> Response:
    """Open the form of a kind, fill it in and send it."""
    html = client.get(f"/book/{kind}").text
    sent = {name: hidden(html, name) for name in ("event_id", "person", "then")} | dict(cells)
    answer: Response = client.post(
        f"/book/{kind}", data=sent, headers=AS_SCRIPT if script else {"accept": "text/html"}
    )
    return answer


def let_in(desk: Desk, number: str = VEHICLE, type_id: str = TYPE) -> TestClient:
    """A planner who has let a vehicle in."""
    planner = browser(desk, Role.PLANNER)
    for kind, cells in (
        ("arrived", {"vehicle_id": number, "type_id": type_id, "depot_id": DEPOT}),
        ("admitted", {"vehicle_id": number}),
    ):
        assert book(planner, kind, cells).json()["status"] == "done"
    return planner


def said(answer: Response) -> Any:
    """What the answer says, as JSON."""
    return answer.json()
