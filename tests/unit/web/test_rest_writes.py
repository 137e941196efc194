"""What a page does a program does as well: same rights, same rules, once under its key."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

import paper_ground
from control_case import Case
from pacewright.events.record import FactorDecided
from pacewright.events.things import WHOLE, Piece, Unit
from pacewright.events.units import Issued
from pacewright.life.learn import learn
from pacewright.office.desk import Desk
from pacewright.office.rights import Right, Role
from pacewright.office.sheets.learning_paper import LearnedPaper, learned_keeper
from pacewright.office.sheets.shortages_rob import rob_case
from pacewright.office.sheets.shortages_rob_price import cost_job
from pacewright.office.sheets.today_paper import day_paper, plan_job
from pacewright.office.whatif_desk import trials_of
from pacewright.web.app import create_app
from planner_desk import story_desk
from small_photos import JPEG
from true_record import Truth, told
from web_desk import PASSWORD, browser
from web_routes import routes_of

DOCS = Path(__file__).parents[3] / "docs" / "rest.md"
MOTOR = {"unit": "motor:M-5", "to": "vehicle:101"}


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """The story's works, its plan made."""
    made = story_desk(tmp_path)
    assert plan_job(made, 60).there()
    yield made
    made.close()


@pytest.fixture(scope="module")
def still(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The story's works; nothing is booked on it."""
    made = story_desk(tmp_path_factory.mktemp("still"))
    yield made
    made.close()


def program(desk: Desk, role: Role, key: str = "") -> TestClient:
    """A program with all rights of a role's person, and a key for its writes."""
    person = desk.access.person(desk.access.sign_in(role.value, PASSWORD, "here"))
    assert person
    token = desk.access.new_token(person, "test", person.rights, 1)
    client = browser(desk)
    del client.headers["origin"]
    client.headers["authorization"] = f"Bearer {token}"
    if key:
        client.headers["idempotency-key"] = key
    return client


def kept(desk: Desk) -> list[Any]:
    """The newest entry of the record first."""
    return [one.entry for one in desk.ledger.entries(newest_first=True, limit=5)]


def test_every_write_of_a_page_has_a_twin_or_says_why_not(still: Desk) -> None:
    """The table of docs/rest.md names each form of a page, and each address it names is there."""
    routes = routes_of(create_app(still))
    text = DOCS.read_text(encoding="utf-8")
    rows = re.findall(r"^\| `POST (/[^`]*)` \| (.+?) \| (.+?) \|$", text, re.MULTILINE)
    told_of = {page: (twin, why) for page, twin, why in rows}
    pages = {one.path for one in routes if one.method == "POST" and "/api/" not in one.path}
    assert pages == told_of.keys(), "docs/rest.md tells each write of a page and its REST twin"
    there = {(one.method, one.path) for one in routes if one.path.startswith("/api/")}
    named = set()
    for page, (twin, why) in told_of.items():
        twins = re.findall(r"`(POST|PUT|DELETE) (/api/[^`?]*)", f"{twin} {why}")
        assert twins or twin == "none", page
        assert len(why) > 10, page
        named |= set(twins)
    assert named <= there, named - there
    writes = {one for one in there if one[0] != "GET"}
    assert writes <= named, f"{writes - named}: a REST write that no page does?"


def test_a_call_in_is_agreed_once(desk: Desk) -> None:
    """GET tells the consequence, POST books it with its reason; sent again it is the same call."""
    client = program(desk, Role.PLANNER, "call-203")
    assert client.get("/api/programme/203?day=2026-11-02").status_code == 200
    body = {"day": "2026-11-02", "reason": "depot south asked for it"}
    first = client.post("/api/programme/203", json=body)
    assert first.status_code == 200, first.text
    (answer,) = first.json()["data"]["answers"]
    assert answer["outcome"] == "kept"
    assert kept(desk)[0].recorded_by == "planner"
    assert kept(desk)[0].reference == body["reason"]
    place = desk.ledger.head().place
    assert client.post("/api/programme/203", json=body).json() == first.json()
    assert desk.ledger.head().place == place
    other = client.post("/api/programme/203", json=body | {"day": "2026-11-09"})
    assert other.status_code == 422
    assert "Take a new key" in other.json()["faults"][0]


@pytest.mark.parametrize(
    ("body", "status", "said"),
    [
        ({"day": "2027-01-25"}, 409, "No vehicle is called in past its limit"),
        ({"day": "2026-09-14"}, 409, "no reason given"),
        ({"day": "soon"}, 422, "day"),
        ({"day": "2026-11-02", "more": 1}, 422, "more"),
    ],
)
def test_what_the_page_refuses_rest_refuses(
    still: Desk, body: dict[str, Any], status: int, said: str
) -> None:
    """Past the limit, without a reason, no day, a field too many: nothing is booked."""
    assert plan_job(still, 60).there()
    before = still.ledger.head().place
    answer = program(still, Role.PLANNER).post("/api/programme/203", json=body)
    assert answer.status_code == status, answer.text
    assert said in " ".join(answer.json()["faults"])
    assert still.ledger.head().place == before


def with_motors() -> Case:
    """The story, a motor M-5 issued for 103 though 101 waits for one, and M-6 in store."""
    case = paper_ground.told()
    case.in_store("motor", "M-5")
    case.tell(Issued, Unit("motor", "M-5"), Piece(WHOLE, "103"))
    case.in_store("motor", "M-6")
    return case


def test_units_are_issued_as_proposed(tmp_path: Path) -> None:
    """What the allotment proposes is given out, together; what it does not propose is refused."""
    desk = story_desk(tmp_path, with_motors())
    assert plan_job(desk, 60).there()
    client = program(desk, Role.STORES, "issue-1")
    rows = client.get("/api/shortages/allot").json()["data"]["tables"]["units"]["rows"]
    chosen = [{"unit": one["unit"], "to": one["to"]} for one in rows[:2]]
    assert chosen
    strange = client.post("/api/shortages/allot", json={"issue": [*chosen, MOTOR]})
    assert strange.status_code == 409
    answer = client.post("/api/shortages/allot", json={"issue": chosen})
    assert answer.status_code == 200, answer.text
    assert len(answer.json()["data"]["answers"]) == len(chosen)
    assert client.post("/api/shortages/allot", json={"issue": chosen}).json() == answer.json()
    assert program(desk, Role.PLANNER).post("/api/shortages/allot", json={}).status_code == 422
    assert program(desk, Role.SHOP).post("/api/shortages/allot", json={}).status_code == 403
    desk.close()


def test_a_robbing_needs_its_price_and_two_persons(tmp_path: Path) -> None:
    """Not before its price, not with a wrong password; then both approvals are in the record."""
    desk = story_desk(tmp_path, with_motors())
    client = program(desk, Role.PLANNER)
    body = MOTOR | {
        "act": "both",
        "reason": "101 is promised",
        "second_approval": "engineer",
        "second_password": PASSWORD,
    }
    early = client.post("/api/shortages/rob", json=body)
    assert early.status_code == 409
    assert "price" in early.json()["faults"][0]
    paper = day_paper(desk)
    assert cost_job(desk, paper, rob_case(paper, MOTOR), 60.0).there()
    wrong = client.post("/api/shortages/rob", json=body | {"second_password": "other words"})
    assert wrong.status_code == 403
    one = MOTOR | {"act": "ask", "reason": "101 is promised"}
    assert client.post("/api/shortages/rob", json=one).status_code == 200
    alone = client.post("/api/shortages/rob", json=MOTOR | {"act": "agree"})
    assert alone.status_code == 409
    assert "Two persons approve" in alone.json()["faults"][0]
    second = program(desk, Role.ENGINEER)
    assert second.post("/api/shortages/rob", json=MOTOR | {"act": "agree"}).status_code == 200
    event = kept(desk)[0].event
    assert (event.approved_by, event.second_approval) == ("planner", "engineer")
    desk.close()


def test_an_inspection_is_written_down_by_an_inspector(desk: Desk) -> None:
    """Items of the form with their verdicts, all or none; nothing that is not on the form."""
    inspector = program(desk, Role.INSPECTOR, "look-102")
    form = inspector.get("/api/inspection/102").json()["data"]["tables"]
    rows = next(one["rows"] for one in form.values() if one["rows"] and "item_id" in one["rows"][0])
    found = [{"piece": one["piece"], "item_id": one["item_id"], "verdict": one["verdict"] or "use"}
             for one in rows[:1]]  # fmt: skip
    strange = inspector.post(
        "/api/inspection/102",
        json={"findings": [*found, {"piece": "body:X", "item_id": "none", "verdict": "use"}]},
    )
    assert strange.status_code == 422
    assert "standard form" in strange.json()["faults"][0]
    assert program(desk, Role.PLANNER).post("/api/inspection/102", json={}).status_code == 403
    unknown = {"findings": [found[0] | {"photo": "0" * 64}]}
    refused = inspector.post("/api/inspection/102", json=unknown)
    assert (refused.status_code, "Send the photo first" in refused.text) == (409, True)
    photo = inspector.post("/api/photos", content=JPEG).json()["data"]["photo"]
    found[0]["photo"] = photo
    answer = inspector.post("/api/inspection/102", json={"findings": found})
    assert answer.status_code == 200, answer.text
    assert kept(desk)[0].event.item_id == found[0]["item_id"]
    assert kept(desk)[0].event.photo == photo
    assert inspector.post("/api/inspection/9/9", json={"findings": found}).status_code == 404


@pytest.fixture
def taught(desk: Desk) -> Desk:
    """The works, taught by eighty told days."""
    works, place = desk.works, desk.head_place()
    paper = LearnedPaper(learn(works, told(works, Truth(), 80)), works, place)
    learned_keeper(desk).look(_AtOnce(), (place, works), lambda: paper)  # type: ignore[arg-type]
    return desk


class _AtOnce:
    """A background that makes what it is asked for before it answers."""

    def ask(self, key: object, mark: tuple[object, ...], make: Any) -> Any:
        """The job, done."""
        from pacewright.office.background import Job

        job = Job(mark, made=make())
        job.done.set()
        return job


def test_a_proposed_figure_is_decided_as_it_was_seen(taught: Desk) -> None:
    """Another figure than the one proposed, or no reason, is refused; then the table holds it."""
    client = program(taught, Role.ENGINEER)
    rows = client.get("/api/learning").json()["data"]["tables"]["asked"]["rows"]
    one = next(row for row in rows if row["proposal_id"] == "unit_kinds:motor:turn_days")
    seen = {name: one[name] for name in ("proposal_id", "old", "proposed", "sample")}

    def sent(decision: str, **more: Any) -> Any:
        body = {"decisions": [seen | {"decision": decision} | more]}
        return client.post("/api/learning", json=body)

    stale = sent("accept", proposed=one["proposed"] + 1)
    assert stale.status_code == 409
    assert "another figure by now" in stale.json()["faults"][0]
    assert "A rejection says why" in sent("reject").json()["faults"][0]
    answer = sent("accept")
    assert answer.status_code == 200, answer.text
    assert isinstance(kept(taught)[0].event, FactorDecided)
    table = (taught.path / "unit_kinds.csv").read_text(encoding="utf-8")
    (line,) = [row for row in table.split("\n") if row.startswith("motor,")]
    assert float(line.split(",")[5]) == pytest.approx(one["proposed"], abs=0.06)
    assert sent("accept").status_code == 409


def test_a_what_if_is_made_once_stopped_kept_and_dropped(still: Desk) -> None:
    """Asked twice under one key it is one run; its change is a file; dropped, it is gone."""
    client = program(still, Role.PLANNER, "try-1")
    text = client.get("/api/whatif").json()["data"]
    assert text["sheet"] == "whatif"
    body = {"name": "Room", "change": _change(still), "replications": 10, "weeks": 6}
    answer = client.post("/api/whatif", json=body)
    assert answer.status_code == 202, answer.text
    run = answer.json()["data"]["run"]
    assert client.post("/api/whatif", json=body).json()["data"]["run"] == run
    assert client.get(f"/api/whatif/{run}/change.toml").text == body["change"]
    stopped = client.post(f"/api/whatif/{run}/stop")
    assert stopped.status_code == 200
    other = program(still, Role.ENGINEER).delete(f"/api/whatif/{run}")
    assert other.status_code == 403
    assert client.delete(f"/api/whatif/{run}").json()["data"]["run"] == run
    assert client.get(f"/api/whatif/{run}").status_code == 404
    assert run not in [one.number for one in trials_of(still).all()]


def _change(desk: Desk) -> str:
    from pacewright.office.whatif_text import change_text

    works, _ = desk.works_now()
    return change_text(works, {"stage": "fitout", "positions": "4"}, "Room")


def test_accounts_are_opened_and_closed_but_no_password_is_set_anew(desk: Desk) -> None:
    """A program opens an account, gives a role, closes it; the last administrator stays."""
    client = program(desk, Role.ADMINISTRATOR, "open-1")
    body = {"name": "mora", "shown": "Mora", "role": "shop", "password": "three other words"}
    answer = client.post("/api/people", json=body)
    assert answer.status_code == 200, answer.text
    assert client.post("/api/people", json=body).json() == answer.json()
    assert body["password"] not in answer.text
    assert "hash" not in answer.text
    client.headers["idempotency-key"] = ""
    assert "is taken" in client.post("/api/people", json=body).json()["faults"][0]
    changed = client.post("/api/people/mora", json={"role": "stores", "open": False})
    mora = next(one for one in changed.json()["data"]["accounts"] if one["name"] == "mora")
    assert (mora["role"], mora["open"]) == ("stores", False)
    assert client.post("/api/people/mora", json={"password": "new words here"}).status_code == 422
    last = client.post("/api/people/administrator", json={"role": "viewer"})
    assert last.status_code == 409
    assert client.post("/api/people/nobody", json={}).status_code == 404
    assert program(desk, Role.ENGINEER).get("/api/people").status_code == 403
    said = [one.what for one in desk.access.people.logged()]
    assert "opened account mora as shop" in said


DAY = "vehicle_id,type_id,depot_id,due_in,date,time\n203,long,south,2026-11-02,2026-03-03,10:00\n"


def test_daily_sheets_are_looked_at_then_booked(desk: Desk) -> None:
    """The look books nothing; booking twice adds once; what is no sheet is refused."""
    client = program(desk, Role.PLANNER)
    before = desk.ledger.head().place
    files = [("files", ("calls-2026-03-03.csv", DAY))]
    look = client.post("/api/import", files=files).json()["data"]
    assert (look["booked"], look["kept"], look["refused"]) == (False, 1, [])
    assert desk.ledger.head().place == before
    done = client.post("/api/import?book=true", files=files).json()["data"]
    assert (done["booked"], done["kept"]) == (True, 1)
    again = client.post("/api/import?book=true", files=files).json()["data"]
    assert (again["kept"], again["known"]) == (0, 1)
    assert client.post("/api/import", files=[("files", ("x.exe", b"MZ"))]).status_code == 409
    viewer = program(desk, Role.VIEWER).post("/api/import", files=files)
    assert viewer.status_code == 403


def test_a_key_serves_one_person_and_forgets_what_was_refused(desk: Desk) -> None:
    """The same key of another person is that person's own; a refused write may be sent again."""
    planner, engineer = program(desk, Role.PLANNER, "k1"), program(desk, Role.ADMINISTRATOR, "k1")
    refused = planner.post("/api/programme/203", json={"day": "2026-09-14"})
    assert refused.status_code == 409
    again = planner.post("/api/programme/203", json={"day": "2026-09-14", "reason": "its depot"})
    assert again.status_code == 200, again.text
    opened = engineer.post(
        "/api/people", json={"name": "ada", "role": "viewer", "password": "three other words"}
    )
    assert opened.status_code == 200
    assert Right.PEOPLE.name not in opened.text
