"""The planner's pages: every page, CSV and REST twin answers; forms do what they say."""

import re
from collections.abc import Iterator

import pytest
from fastapi.testclient import TestClient

from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.office.sheets.today_paper import plan_job
from planner_desk import story_desk
from web_desk import browser

PAGES = (
    "/today",
    "/shops",
    "/shops/elec",
    "/programme",
    "/programme/203",
    "/programme/106",
    "/shortages",
    "/shortages/allot",
    "/shortages/rob",
    "/works",
    "/works/vehicles",
)


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The story's works, opened for pages."""
    made = story_desk(tmp_path_factory.mktemp("pages"))
    assert plan_job(made, 60).there()
    yield made
    made.close()


@pytest.mark.parametrize("path", PAGES)
def test_every_page_reads_and_has_its_twin(desk: Desk, path: str) -> None:
    """A viewer reads the page; REST answers the same question; nothing stands inline."""
    client = browser(desk, Role.VIEWER)
    html = client.get(path)
    assert html.status_code == 200, html.text
    assert " style=" not in html.text
    data = client.get(f"/api{path}").json()["data"]
    assert data["question"].replace("'", "&#39;") in html.text
    assert data["basis"]
    for key in data["tables"]:
        csv = client.get(f"{path}/csv/{key}")
        assert csv.status_code == 200
        assert csv.content.startswith(b"\xef\xbb\xbf")


def hidden(html: str, name: str) -> str:
    """Value of a hidden field of a page."""
    found = re.search(rf'name="{name}" value="([^"]*)"', html)
    assert found, f"no hidden field {name}"
    return found[1]


def agree(client: TestClient, path: str, **cells: str) -> tuple[int, str]:
    """Fill in the form of a page and send it; status, and where it leads or what it says."""
    html = client.get(path).text
    sent = {name: hidden(html, name) for name in ("event_id", "person")} | cells
    answer = client.post(path, data=sent)
    return answer.status_code, answer.headers.get("location", answer.text)


def test_the_consequence_stands_before_the_form(desk: Desk) -> None:
    """A planner sees window, limit and weeks before and after, then the form; a viewer none."""
    html = browser(desk, Role.PLANNER).get("/programme/203?day=2026-11-02").text
    assert html.index("Days to its limit") < html.index('<form method="post" action="/programme')
    assert "away from depot" in html
    viewer = browser(desk, Role.VIEWER).get("/programme/203?day=2026-11-02").text
    assert 'action="/programme/203?' not in viewer
    assert browser(desk, Role.VIEWER).post("/programme/203?day=2026-11-02").status_code == 403


def test_past_the_limit_nothing_is_agreed(desk: Desk) -> None:
    """203 may run 36 months from 22 January 2024, and not a day longer: no form, and no way in."""
    client = browser(desk, Role.PLANNER)
    html = client.get("/programme/203?day=2027-01-25").text
    assert "No vehicle is called in past its limit" in html
    assert "event_id" not in html
    before = desk.ledger.head().place
    answer = client.post("/programme/203?day=2027-01-25", data={"event_id": "x", "reference": "y"})
    assert answer.status_code == 409
    assert "No vehicle is called in past its limit" in answer.text
    assert desk.ledger.head().place == before


def test_agreeing_books_the_call_and_the_programme_shows_it(desk: Desk) -> None:
    """The event stands in the record with person and reason; the page shows the booked day."""
    client = browser(desk, Role.PLANNER)
    path = "/programme/203?day=2026-11-02"
    status, to = agree(client, path, reference="depot south asked for it, by telephone")
    assert status == 303
    assert to.startswith("/programme/203?booked=")
    kept = next(iter(desk.ledger.entries(newest_first=True, limit=1)))
    assert kept.entry.recorded_by == "planner"
    assert kept.entry.reference.startswith("depot south")
    assert "Booked as event" in client.get(to).text
    rows = client.get("/api/programme?zone=all").json()["data"]["tables"]
    assert [(one["vehicle_id"], one["booked_day"]) for one in rows["awaited"]["rows"]] == [
        ("203", "2026-11-02")
    ]
    mine = [one for one in rows["calls"]["rows"] if one["vehicle_id"] == "203"]
    assert mine[0]["day"] == "2026-11-02"
    assert mine[0]["called_for"] == "2026-11-02"


def test_a_caution_asks_for_a_reason(desk: Desk) -> None:
    """Earlier than its window opens: without a reason nothing is booked."""
    client = browser(desk, Role.PLANNER)
    before = desk.ledger.head().place
    status, text = agree(client, "/programme/203?day=2026-09-14", reference="")
    assert status == 409
    assert "no reason given" in text
    assert desk.ledger.head().place == before


def test_cautions_tell_days_as_people_write_them(desk: Desk) -> None:
    """Called for one day and asked for another: the day its depot was told is no ISO date."""
    client = browser(desk, Role.PLANNER)
    assert agree(client, "/programme/203?day=2026-11-02")[0] in (200, 303)
    html = client.get("/programme/203?day=2026-10-26").text
    (told,) = re.findall(r'<p class="notice">(As agreed now its depot was told .*?)</p>', html)
    assert "was told 2 Nov 2026." in told
    # The others of the week are the others: not the vehicle itself.
    mates = client.get("/api/programme/203?day=2026-11-03").json()["data"]["tables"]["same_week"]
    assert "203" not in {row["vehicle_id"] for row in mates["rows"]}


@pytest.mark.parametrize("query", ["zone=all", "zone=outline", "type=solo", "depot=north&first=2",
                                   "week=2026-W20", "vehicle=20"])  # fmt: skip
def test_the_programme_is_filtered(desk: Desk, query: str) -> None:
    """Every filter narrows the list and nothing else; the CSV follows it."""
    client = browser(desk, Role.VIEWER)
    assert client.get(f"/programme?{query}").status_code == 200
    rows = client.get(f"/api/programme?{query}").json()["data"]["tables"]["calls"]["rows"]
    csv = client.get(f"/programme/csv/calls?{query}").text.strip().split("\n")
    assert len(csv) == len(rows) + 1


@pytest.mark.parametrize("query", ["zone=soon", "type=x", "depot=<b>", "week=2026", "first=-1"])
def test_a_wrong_filter_is_refused_with_what_there_is(desk: Desk, query: str) -> None:
    """The message says what was found and what is wanted, and nothing typed comes back as tags."""
    answer = browser(desk, Role.VIEWER).get(f"/programme?{query}")
    assert answer.status_code == 422
    assert "<b>" not in answer.text.split("<main")[1].split("<header")[1].split("</p>")[2]


def test_the_report_names_its_style_and_script_by_hash(desk: Desk) -> None:
    """The plan's report runs under a policy that lets in its own style and script alone."""
    answer = browser(desk, Role.VIEWER).get("/plan-report")
    policy = answer.headers["content-security-policy"]
    assert "unsafe" not in policy
    assert "default-src 'none'" in policy
    in_page = re.search(r'content="([^"]*sha256[^"]*)"', answer.text)
    assert in_page
    for name in re.findall(r"'(sha256-[^']+)'", policy):
        assert name in in_page[1].replace("&#43;", "+").replace("&#x2F;", "/")


def test_a_move_that_can_be_made_leads_to_its_booking(desk: Desk) -> None:
    """Who may book moves gets a form that is filled in; a viewer reads the table."""
    moves = browser(desk, Role.VIEWER).get("/api/today").json()["data"]["tables"]["moves"]["rows"]
    first = next(one for one in moves if one["what"] == "move")
    client = browser(desk, Role.SHOP)
    links = re.findall(r'href="(/book/moved\?[^"]*)"', client.get("/today").text)
    link = next(one for one in links if f"stage_id={first['to_stage_id']}" in one)
    form = client.get(link.replace("&amp;", "&")).text
    assert first["to_stage_id"] in form
    assert "/book/moved?" not in browser(desk, Role.VIEWER).get("/today").text
