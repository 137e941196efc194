"""Strip inspection on pages: the standard form, must-change, limits, and the scope that grows."""

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass
from html import unescape
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from httpx2 import Response

from pacewright.control.scope import scope_of
from pacewright.events.stages import Found
from pacewright.office.desk import Desk
from pacewright.office.desk_inspection import Filled, finding_cells
from pacewright.office.rights import Role
from web_booking import AS_SCRIPT, VEHICLE, hidden, let_in
from web_desk import browser, open_desk

PAGE = f"/inspection/{VEHICLE}"


@dataclass
class Case:
    """A works whose one vehicle is inside, and its inspector."""

    desk: Desk
    inspector: TestClient
    limited: str

    def form(self) -> str:
        """The page of the vehicle."""
        html: str = self.inspector.get(PAGE).text
        return html

    def items(self) -> list[str]:
        """``PIECE ITEM`` of every item of the form."""
        found = re.findall(r'name="only" value="([^"]+)"', self.form())
        return [unescape(one) for one in found]

    def send(self, cells: dict[str, str], **headers: str) -> Response:
        """Send the form as the script of the page does."""
        html = self.form()
        sent = {name: hidden(html, name) for name in ("event_id", "person")} | cells
        answer: Response = self.inspector.post(PAGE, data=sent, headers=headers or AS_SCRIPT)
        return answer


LEAST, MOST = 2.0, 4.0
"""Limits in mm put on one operation, since the example has none; invented."""


def with_limits(desk: Desk) -> str:
    """Give the first operation in question limits of measurement; its id."""
    path = desk.path / "operations.csv"
    with path.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    one = next(r for r in rows if r["stage_id"] and 0 < float(r["occurrence_share"]) < 1)
    one |= {"inspect_least": f"{LEAST:g}", "inspect_most": f"{MOST:g}", "inspect_unit": "mm"}
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, list(one))
        writer.writeheader()
        writer.writerows(rows)
    desk._looked = 0.0
    desk.look_again()
    return one["operation_id"]


@pytest.fixture
def case(tmp_path: Path) -> Iterator[Case]:
    """A tram inside, nothing looked at."""
    desk = open_desk(tmp_path)
    limited = with_limits(desk)
    let_in(desk)
    yield Case(desk, browser(desk, Role.INSPECTOR), limited)
    desk.close()


def found(desk: Desk) -> list[Found]:
    """Every finding of the record."""
    events = [one.entry.event for one in desk.ledger.entries(kind="found")]
    return [one for one in events if isinstance(one, Found)]


def test_the_form_has_every_item_in_question(case: Case) -> None:
    """Operations neither never nor always needed, and what is must-change, each once."""
    works, marks = case.desk.works, case.items()
    assert len(marks) == len(set(marks)) > 20
    named = {one.split(" ")[1] for one in marks}
    passes = works.routes["pair"].passes
    wanted = {
        one.operation_id
        for one in works.operations
        if one.stage_id in passes
        and one.type_id in (None, "pair")
        and (one.must_change or 0 < one.occurrence_share < 1)
    }
    assert wanted <= named


def test_must_change_cannot_be_passed(case: Case) -> None:
    """Its verdict is set and no other offered; sent all the same, 'use' is refused at the door."""
    html = case.form()
    operation = next(one for one in case.desk.works.operations if one.must_change and one.stage_id)
    mark = next(one for one in case.items() if one.endswith(f" {operation.operation_id}"))
    assert f'<input type="hidden" name="verdict {mark}" value="repair">' in html
    assert f'type="radio" name="verdict {mark}"' not in html
    answer = case.send({f"verdict {mark}": "use", "only": mark})
    assert answer.status_code == 409
    assert "must-change" in answer.json()["faults"][0]
    assert not found(case.desk)


def test_use_needs_a_measurement_within_the_limit(case: Case) -> None:
    """Beyond a limit, or without measuring, 'use' is refused; within both it is taken."""
    mark = next(one for one in case.items() if one.endswith(f" {case.limited}"))
    html = case.form()
    assert f'data-least="{LEAST:g}" data-most="{MOST:g}"' in html
    assert "2 to 4 mm" in html
    for measured in ("", "1.9", "4.1"):
        sent = {f"verdict {mark}": "use", f"measured {mark}": measured, "only": mark}
        assert case.send(sent).status_code == 409, measured
    sent = {f"verdict {mark}": "use", f"measured {mark}": "3.5", "only": mark}
    assert case.send(sent).json()["status"] == "done"
    one = found(case.desk)[0]
    assert (one.measurement, one.limit, one.reading_unit) == (3.5, MOST, "mm")


def test_the_scope_grows_with_what_is_found(case: Case) -> None:
    """An operation found needed counts whole: the scope grows by the hours its share left out."""
    works = case.desk.works
    by_id = {one.operation_id: one for one in works.operations}
    mark = next(one for one in case.items() if not by_id[one.split(" ")[1]].must_change)
    row = by_id[mark.split(" ")[1]]
    with case.desk.standing() as now:
        before = scope_of(works, now, VEHICLE).total.grown_hours
    assert case.send({f"verdict {mark}": "repair", "only": mark}).json()["status"] == "done"
    data = case.inspector.get(f"/api{PAGE}").json()["data"]
    grown = sum(one["grown_hours"] for one in data["tables"]["growth"]["rows"])
    pieces = works.routes["pair"].passes[row.stage_id or ""]
    more = pieces * (1 - row.occurrence_share) * row.standard_hours
    assert grown - before == pytest.approx(more)
    assert mark not in case.items()
    assert [one["item_id"] for one in data["tables"]["found"]["rows"]] == [row.operation_id]


def test_all_or_nothing(case: Case) -> None:
    """One wrong item holds back the others; what is wrong names the item."""
    marks = case.items()
    bad = next(one for one in marks if one.endswith(f" {case.limited}"))
    good = next(one for one in marks if one != bad)
    cells = {f"verdict {good}": "repair", f"verdict {bad}": "use", f"measured {bad}": "1e6"}
    answer = case.send(cells)
    assert answer.status_code == 409
    faults = answer.json()["faults"]
    assert all(bad.split(" ")[1] in one for one in faults)
    assert not found(case.desk)
    words = case.send(cells | {f"measured {bad}": "a lot"})
    assert words.status_code == 422
    both = case.send({f"verdict {good}": "repair", f"verdict {bad}": "replace"})
    assert both.json()["status"] == "done"
    assert len(found(case.desk)) == 2


def test_the_form_sent_twice_writes_once(case: Case) -> None:
    """Sending the same form again adds nothing, though its items are no longer open."""
    html, mark = case.form(), case.items()[0]
    sent = {name: hidden(html, name) for name in ("event_id", "person")}
    sent |= {f"verdict {mark}": "repair", "at": f"{case.desk.now():%Y-%m-%dT%H:%M}"}
    for _ in range(2):
        answer = case.inspector.post(PAGE, data=sent, headers=AS_SCRIPT)
        assert answer.json()["status"] == "done"
    assert len(found(case.desk)) == 1


def test_without_script_the_page_says_what_was_booked(case: Case) -> None:
    """A plain form leads to the page anew, with what was booked; nothing chosen is told."""
    mark = case.items()[0]
    answer = case.send({f"verdict {mark}": "repair", "only": mark}, accept="text/html")
    assert answer.status_code == 303
    html = case.inspector.get(answer.headers["location"]).text
    assert "Booked as event 3: piece" in html
    free = next(one for one in case.items() if f'type="radio" name="verdict {one}"' in html)
    empty = case.send({"only": free}, accept="text/html")
    assert empty.status_code == 422
    assert "No verdict is chosen" in empty.text


def test_what_was_not_measured_is_said_not_to_be_told(case: Case) -> None:
    """The page of a finding by eye has no word of a programmer's for a reading not taken."""
    mark = case.items()[0]
    case.send({f"verdict {mark}": "repair", "only": mark})
    page = case.inspector.get(f"/record/{case.desk.ledger.head().place}").text
    assert "not told" in page
    assert "None" not in page


def test_others_look_but_do_not_judge(case: Case) -> None:
    """A planner sees the scope without the form, and may not send it."""
    planner = browser(case.desk, Role.PLANNER)
    html = planner.get(PAGE).text
    assert "Scope by trade" in html
    assert 'name="only"' not in html
    assert planner.post(PAGE, data={}, headers=AS_SCRIPT).status_code == 403
    assert planner.get("/inspection/P0002").status_code == 404


def test_the_list_counts_what_is_open(case: Case) -> None:
    """The page of all vehicles has a row each, its open items as many as the form has."""
    data = case.inspector.get("/api/inspection").json()["data"]
    rows = data["tables"]["vehicles"]["rows"]
    assert [(one["vehicle_id"], one["items_open"]) for one in rows] == [
        (VEHICLE, len(case.items()))
    ]


def test_with_two_limits_the_one_it_meets_stands(case: Case) -> None:
    """Of a least and a most, the limit passed over, or else the nearer, is written down."""
    for measured, limit in (("1", "2"), ("3.5", "4"), ("9", "4"), ("2", "2"), ("a lot", "2")):
        filled = Filled(f"vehicle:{VEHICLE}", case.limited, "repair", measured)
        cells = finding_cells(case.desk.works, filled)
        assert (cells["limit"], cells["reading_unit"]) == (limit, "mm"), measured
