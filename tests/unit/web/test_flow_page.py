"""The flow picture: past, now and forecast days, with table, CSV and REST; a sign for each look."""

import re
import threading
from collections.abc import Iterator
from datetime import timedelta
from xml.etree import ElementTree

import pytest

from pacewright.control.clock import clock_of
from pacewright.office import flow_by_day
from pacewright.office.desk import Desk
from pacewright.office.errors import NotFoundError
from pacewright.office.flow_by_day import middle_of
from pacewright.office.rights import Role
from pacewright.office.sheets import flow_days
from pacewright.office.sheets.flow import flow
from pacewright.office.sheets.flow_days import forecast_job, shown
from pacewright.office.sheets.today_paper import plan_job
from pacewright.plans.flow_day import Source
from planner_desk import NOW, empty_desk, story_desk
from web_desk import browser

FORECAST, PAST = "2026-03-12", "2026-03-09"


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The story's works, with its plan and its forecast made."""
    made = story_desk(tmp_path_factory.mktemp("flow"))
    job = plan_job(made, 60)
    assert job.there()
    runs = forecast_job(made, job.made)
    assert runs.done.wait(60)
    assert runs.there()
    yield made
    made.close()


@pytest.mark.parametrize(
    ("query", "asks"),
    [
        ("", "Where does the works"),
        (f"?day={PAST}", "Where did"),
        (f"?day={FORECAST}", "Where will"),
    ],
)
def test_every_day_reads_and_has_its_twins(desk: Desk, query: str, asks: str) -> None:
    """Page, tables and JSON of a day by the record, of now and of a forecast."""
    client = browser(desk, Role.VIEWER)
    html = client.get(f"/flow{query}")
    assert html.status_code == 200, html.text
    assert "worksflow" in html.text
    assert " style=" not in html.text
    data = client.get(f"/api/flow{query}").json()["data"]
    assert data["question"].startswith(asks)
    assert set(data["tables"]) == {"stages", "kinds", "assemblies", "there"}
    for key in data["tables"]:
        csv = client.get(f"/flow/csv/{key}{query}")
        assert csv.status_code == 200
    assert [row["stage_id"] for row in data["tables"]["stages"]["rows"]] == [
        one.stage_id for one in desk.works.stages
    ]


def test_what_stands_is_said_in_a_word_beside_the_colour(desk: Desk) -> None:
    """101 stands for its motor: the stage says 'stands' and has the square, not colour alone."""
    html = browser(desk, Role.VIEWER).get("/flow").text
    svg = re.search(r'<svg class="drawing".*?</svg>', html, re.DOTALL)
    assert svg
    boxes = [one for one in ElementTree.fromstring(svg[0]).iter("g") if one.get("class") == "stage"]
    assert len(boxes) == len(desk.works.stages)
    red = [one for one in boxes if "stands" in str(one[0].get("class"))]
    assert red
    for one in red:
        assert any(path.get("class") == "signstands" for path in one.iter("path"))
        assert "stands" in [text.text for text in one.iter("text")]
    assert "part: motor" in html


def test_the_answer_and_the_table_say_the_same(desk: Desk) -> None:
    """Stages the answer names are those whose row has the sign."""
    made = flow(desk, {})
    part = made.part("stages")
    assert part is not None and part.table is not None
    names = [column.name for column in part.table.columns]
    rows = [dict(zip(names, row, strict=True)) for row in part.table.rows]
    red = [row for row in rows if "stands" in str(row["sign"])]
    assert red
    for row in red:
        assert str(row["name"]) in " ".join(made.answer)
    assert sum(float(str(row["stands"])) for row in rows) == float(made.figures[1].value)


def test_a_past_day_is_as_the_record_had_it(desk: Desk) -> None:
    """The middle of Monday, before 102 came in on Tuesday: 105 is not at the gate yet."""
    day = shown(desk, {"day": PAST}).day
    assert day is not None
    assert day.source is Source.RECORD
    assert day.moment.date().isoformat() == PAST
    assert day.gate == ()
    standing = desk.ledger.standing_at(day.moment)
    assert day.inside == len(standing.inside())


def test_the_forecast_holds_what_a_works_can_hold(desk: Desk) -> None:
    """Means lie between nothing and all; chances are shares; the works empties no faster than
    it releases."""
    for link in shown(desk, {}).links:
        if link.source is not Source.FORECAST:
            continue
        day = shown(desk, {"day": link.asked}).day
        assert day is not None
        assert day.runs == flow_by_day.RUNS
        for one in day.stages:
            assert 0 <= one.held <= one.positions
            assert 0 <= one.chance_stands <= 1
            assert 0 <= one.chance_piles <= 1
        for kind in day.kinds:
            assert kind.serviceable >= 0
            assert 0 <= kind.chance_out <= 1


def test_days_lead_to_their_neighbours(desk: Desk) -> None:
    """From a past day one step back and one on; today stands in the list as now."""
    html = browser(desk, Role.VIEWER).get(f"/flow?day={PAST}").text
    before = re.search(r'<a class="step" href="([^"]*)" rel="prev"', html)
    after = re.search(r'<a class="step" href="([^"]*)" rel="next"', html)
    assert before and after
    assert before[1] < f"/flow?day={PAST}"
    assert after[1] == "/flow"
    links = shown(desk, {"day": PAST}).links
    assert [one.source for one in links].count(Source.NOW) == 1
    assert sum(one.here for one in links) == 1


def test_the_middle_of_a_day_is_half_its_work(desk: Desk) -> None:
    """Half of the working day is over; on a Sunday, noon."""
    clock = clock_of(desk.works, NOW)
    monday = NOW.date() - timedelta(days=NOW.weekday())
    middle = middle_of(clock, monday)
    assert clock.day_of(middle) % 1 == pytest.approx(0.5, abs=0.01)
    assert middle_of(clock, monday - timedelta(days=1)).hour == 12


def test_a_day_too_far_or_none_is_refused_with_what_to_do(desk: Desk) -> None:
    """Beyond the forecast: 404; no date: 422; both say what is wanted."""
    client = browser(desk, Role.VIEWER)
    far, wrong = client.get("/api/flow?day=2030-01-01"), client.get("/api/flow?day=soon")
    assert (far.status_code, wrong.status_code) == (404, 422)
    assert "Choose an earlier day" in far.json()["faults"][0]
    assert "A date such as" in wrong.json()["faults"][0]
    with pytest.raises(NotFoundError):
        flow(desk, {"day": "2030-01-01"})


def test_before_the_record_began_nothing_is_known(desk: Desk) -> None:
    """Unknown is not nought: no flow is drawn of a day of which the record tells nothing."""
    long_ago = shown(desk, {"day": "2020-01-01"})
    assert long_ago.day is None
    page = browser(desk, Role.VIEWER).get("/flow?day=2020-01-01")
    assert page.status_code == 200
    assert "The record tells of nothing up to that day" in page.text
    assert "so the works stood" not in page.text
    assert "Where did the works stand" in page.text
    assert "<b>Wed 1 Jan 2020</b>" in page.text


def test_an_empty_record_shows_the_works_empty(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Without an event every position is free; the page reads and says so."""
    made = empty_desk(tmp_path_factory.mktemp("empty"))
    try:
        html = browser(made, Role.VIEWER).get("/flow")
        assert html.status_code == 200
        assert "Nothing is recorded yet" in html.text
        data = browser(made, Role.VIEWER).get("/api/flow").json()["data"]
        assert all(row["held"] == 0 for row in data["tables"]["stages"]["rows"])
    finally:
        made.close()


def test_a_page_that_waits_for_a_forecast_is_loaded_anew_when_it_is_there(desk: Desk) -> None:
    """The forecast is there: load anew; no date: refused."""
    client = browser(desk, Role.VIEWER)
    assert client.get(f"/flow/ready?day={FORECAST}").headers["hx-refresh"] == "true"
    assert client.get("/flow/ready?day=soon").status_code == 422


def test_while_a_forecast_is_made_the_page_says_so(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page answers at once, names what is being made and leads to itself."""
    made = story_desk(tmp_path_factory.mktemp("making"))
    goes = threading.Event()
    monkeypatch.setattr(flow_by_day, "days_to_come", lambda *_: goes.wait(30))
    monkeypatch.setattr(flow_days, "WAIT_SECONDS", 0.01)
    try:
        assert plan_job(made, 60).there()
        client = browser(made, Role.VIEWER)
        html = client.get(f"/flow?day={FORECAST}").text
        assert "being run on from its record" in html
        assert f"/flow/ready?day={FORECAST}" in html
        assert client.get(f"/flow/ready?day={FORECAST}").status_code == 204
        assert client.get(f"/api/flow?day={FORECAST}").json()["data"]["tables"] == {}
    finally:
        goes.set()
        made.close()
