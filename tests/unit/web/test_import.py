"""Daily sheets uploaded: types and sizes, a look before booking, rights row by row."""

import zipfile
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
import xlsxwriter
from fastapi.testclient import TestClient

from pacewright.office.daily_desk import MOST_EVENTS
from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.office.uploads import MOST_UNPACKED, plain_name
from web_booking import DEPOT, TYPE, VEHICLE, hidden, let_in
from web_desk import browser, open_desk

CALLS = f"vehicle_id,type_id,depot_id,due_in,date,time\n{VEHICLE},{TYPE},{DEPOT},2030-01-07,"
MORNING = "2026-01-05,07:00\n"


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A small works of its own, its record empty."""
    made = open_desk(tmp_path)
    yield made
    made.close()


@pytest.fixture(scope="module")
def still(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """A small works into which nothing is booked."""
    made = open_desk(tmp_path_factory.mktemp("import"))
    yield made
    made.close()


def upload(client: TestClient, *files: tuple[str, bytes | str]) -> Any:
    """Send files as the form does."""
    sent = [("files", (name, content)) for name, content in files]
    return client.post("/import", files=sent)


def test_looked_at_first_then_booked_once(desk: Desk) -> None:
    """The look books nothing; the second word books; the same sheet again adds nothing."""
    planner = browser(desk, Role.PLANNER)
    html = upload(planner, ("calls-2026-01-05.csv", CALLS + MORNING)).text
    assert "1 would be booked, 0 are known already, 0 cannot be booked" in html
    assert desk.ledger.head().place == 0
    key = hidden(html, "key")
    done = planner.post("/import/book", data={"key": key})
    assert "1 were booked" in done.text
    kept = next(iter(desk.ledger.entries())).entry
    assert (kept.recorded_by, kept.reference) == ("planner", "calls-2026-01-05.csv row 2")
    assert planner.post("/import/book", data={"key": key}).status_code == 409
    again = upload(planner, ("calls.csv", CALLS + MORNING)).text
    assert "0 would be booked, 1 are known already" in again
    assert 'name="key"' not in again


def test_a_look_is_booked_by_nobody_else(desk: Desk) -> None:
    """The key of one person's look opens nothing for another."""
    html = upload(browser(desk, Role.PLANNER), ("calls.csv", CALLS + MORNING)).text
    answer = browser(desk, Role.STORES).post("/import/book", data={"key": hidden(html, "key")})
    assert answer.status_code == 409
    assert desk.ledger.head().place == 0


def test_a_workbook_is_read_sheet_by_sheet(desk: Desk) -> None:
    """An XLSX workbook of several sheets is taken; faults name its sheet and row."""
    content = BytesIO()
    book = xlsxwriter.Workbook(content, {"in_memory": True})
    for name, rows in (
        ("calls", [line.split(",") for line in (CALLS + MORNING).split()]),
        ("admissions", [["vehicle_id", "date", "time"], ["P0002", "2026-01-05", "08:00"]]),
    ):
        sheet = book.add_worksheet(name)
        for place, row in enumerate(rows):
            for column, cell in enumerate(row):
                sheet.write_string(place, column, cell)
    book.close()
    html = upload(browser(desk, Role.PLANNER), ("day.xlsx", content.getvalue())).text
    assert "1 would be booked, 0 are known already, 1 cannot be booked" in html
    assert "day.xlsx sheet admissions row 2" in html
    assert "P0002" in html


def test_rows_beyond_the_right_are_told_and_left_out(desk: Desk) -> None:
    """A planner's sheet of findings books none of them; an inspector's own does."""
    let_in(desk)
    item = desk.works.operations[0].operation_id
    sheet = f"piece,item_id,verdict,date,time\nvehicle:{VEHICLE},{item},repair,"
    now = desk.now()
    found = ("inspections.csv", f"{sheet}{now:%Y-%m-%d},{now:%H:%M}\n")
    html = upload(browser(desk, Role.PLANNER), found).text
    assert "0 would be booked, 0 are known already, 1 cannot be booked" in html
    assert "may not write down what inspection and tests found" in html
    assert "inspections.csv row 2" in html
    assert "1 would be booked" in upload(browser(desk, Role.INSPECTOR), found).text


def test_a_sheet_signs_for_nobody_else(desk: Desk) -> None:
    """A release is signed by who uploads it, by account or by the name others read."""
    inspector = browser(desk, Role.INSPECTOR)
    head = "vehicle_id,signed_by,date,time\n"
    for name, found in (
        ("The planner", "Who acts books it in the own name"),
        ("The inspector", "the record does not know it"),
        ("inspector", "the record does not know it"),
    ):
        html = upload(inspector, ("releases.csv", f"{head}{VEHICLE},{name},{MORNING}")).text
        assert found in html, name


def bomb() -> bytes:
    """A workbook that unpacks to more than is read."""
    content = BytesIO()
    with (
        zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as archive,
        archive.open("xl/workbook.xml", "w") as part,
    ):
        for _ in range(MOST_UNPACKED // 2**20 + 1):
            part.write(b"\0" * 2**20)
    return content.getvalue()


@pytest.mark.parametrize(
    ("name", "content", "why"),
    [
        ("moves.exe", b"MZ", "neither CSV nor XLSX"),
        ("moves.csv", b"PK\x03\x04zip", "it is no text"),
        ("moves.csv", b"a\0b", "it is no text"),
        ("moves.csv", b"", "is empty"),
        ("moves.csv", b"\xff\xfea\0", "it is no text"),
        ("moves.csv", b"piece\xe9", "is not UTF-8"),
        ("strange.csv", b"a,b\n1,2\n", "holds no known sheet"),
        ("day.xlsx", b"piece,stage", "no XLSX workbook"),
        ("day.xlsx", b"PK\x03\x04 broken", "no XLSX workbook"),
        ("moves.csv", b"piece;stage_id;position\n", "parted by semicolons"),
        ("moves.csv", b"x" * (8 * 1024 * 1024 + 1), "more than 8 MB"),
        ("<script>alert(1)</script>.csv", b"a\n", "script_.csv"),
    ],
    ids=lambda one: str(one)[:30],
)
def test_what_is_no_daily_sheet_is_refused(
    still: Desk, name: str, content: bytes, why: str
) -> None:
    """Type by name and by content, size, text: each fault says what it found."""
    answer = upload(browser(still, Role.PLANNER), (name, content))
    assert answer.status_code == 422
    assert why in answer.text
    assert "<script>alert" not in answer.text


def test_a_workbook_that_unpacks_without_end_is_refused(still: Desk) -> None:
    """A small file that unpacks to gigabytes is not read."""
    answer = upload(browser(still, Role.PLANNER), ("day.xlsx", bomb()))
    assert answer.status_code == 422
    assert "unpacks to more than" in answer.text


def test_no_file_and_too_many_are_told(still: Desk) -> None:
    """Without files the form comes back; with hundreds as well."""
    planner = browser(still, Role.PLANNER)
    assert "No file came" in planner.post("/import").text
    many = [(f"moves-{n}.csv", "piece\n") for n in range(31)]
    assert "at most 30" in upload(planner, *many).text


def test_who_books_nothing_uploads_nothing(still: Desk) -> None:
    """A viewer and an administrator may not hand in sheets."""
    for role in (Role.VIEWER, Role.ADMINISTRATOR):
        assert upload(browser(still, role), ("calls.csv", CALLS)).status_code == 403


def test_every_empty_sheet_can_be_fetched_and_nothing_else(still: Desk) -> None:
    """Names of the list give a file; a path gives none."""
    planner = browser(still, Role.PLANNER)
    answer = planner.get("/import/empty/moves.csv")
    assert answer.text.startswith("piece,") or "piece" in answer.text.split("\n")[0]
    for name in ("..%2Fworks.toml", "works.toml", "moves.csv%00"):
        assert planner.get(f"/import/empty/{name}").status_code == 404


@pytest.mark.parametrize(
    ("said", "plain"),
    [
        ("../../etc/passwd", "passwd"),
        ("a/..", "file"),
        ("..\\..\\x.csv", "x.csv"),
        (".hidden.csv", "hidden.csv"),
        ("m\u00f6ves\n.csv", "m_ves_.csv"),
        ("", "file"),
        ("x" * 300 + ".csv", "x" * 76 + ".csv"),
    ],
)
def test_a_files_name_becomes_no_path(said: str, plain: str) -> None:
    """Whatever a name holds, only its plain last part is used."""
    assert plain_name(said) == plain


def test_more_events_than_are_judged_at_once_are_told(still: Desk) -> None:
    """An upload of thousands of rows would hold up everybody; it is refused before the door."""
    rows = "".join(f"P{n},2026-01-05,07:00\n" for n in range(MOST_EVENTS + 1))
    answer = upload(
        browser(still, Role.PLANNER), ("admissions.csv", "vehicle_id,date,time\n" + rows)
    )
    assert answer.status_code == 422
    assert "at most 5,000 at a time" in answer.text


def test_a_new_look_puts_the_old_one_away(desk: Desk) -> None:
    """One look a person is kept; the key of the one before books nothing."""
    planner = browser(desk, Role.PLANNER)
    first = hidden(upload(planner, ("calls.csv", CALLS + MORNING)).text, "key")
    second = hidden(upload(planner, ("calls.csv", CALLS + MORNING)).text, "key")
    assert planner.post("/import/book", data={"key": first}).status_code == 409
    assert planner.post("/import/book", data={"key": second}).status_code == 200
