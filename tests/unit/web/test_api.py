"""REST: events booked and read, tokens, the plan's tag, one shape each way, docs that run."""

import re
import shlex
from collections.abc import Iterator
from pathlib import Path
from string import Template
from typing import Any

import pytest
from fastapi.testclient import TestClient

from pacewright.events.registry import KINDS
from pacewright.office.desk import Desk
from pacewright.office.rights import NEEDED, Right, Role
from pacewright.web.api.shapes import Booked, Events, Kinds, NotBooked, PlanOut, Refused, TableOut
from small_photos import JPEG
from web_booking import VEHICLE
from web_desk import browser, open_desk

DOCS = Path(__file__).parents[3] / "docs" / "rest.md"
CALL = {"kind": "called", "vehicle_id": VEHICLE, "type_id": "pair", "depot_id": "orrisbank",
        "due_in": "2030-01-07"}  # fmt: skip


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A small works of its own, its record empty."""
    made = open_desk(tmp_path)
    yield made
    made.close()


@pytest.fixture(scope="module")
def still(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """A small works that is only read."""
    made = open_desk(tmp_path_factory.mktemp("rest"))
    yield made
    made.close()


def program(desk: Desk, role: Role, *rights: Right) -> TestClient:
    """A program with a token of a role's person: no cookie, no origin."""
    account = desk.access.people.account(role.value)
    assert account
    key = desk.access.sign_in(account.name, "three words together", "here")
    person = desk.access.person(key)
    assert person
    token = desk.access.new_token(person, "test", frozenset(rights) or person.rights, 1)
    client = browser(desk)
    del client.headers["origin"]
    client.headers["authorization"] = f"Bearer {token}"
    return client


def send(client: TestClient, *events: dict[str, Any], **more: Any) -> Any:
    """Post events; the answer."""
    headers = more.pop("headers", {})
    body = {"events": [{"event": one} for one in events]} | more
    return client.post("/api/events", json=body, headers=headers)


# -- booking -------------------------------------------------------------------------------------


def test_events_are_booked_in_order_by_the_person_of_the_token(desk: Desk) -> None:
    """Two events, the second resting on the first, are kept with the person's name."""
    answer = send(program(desk, Role.PLANNER), CALL, {"kind": "arrived", "type_id": "pair",
                                                      "vehicle_id": VEHICLE})  # fmt: skip
    assert answer.status_code == 200
    told = Booked.model_validate(answer.json()).data.answers
    assert [(one.outcome, one.place) for one in told] == [("kept", 1), ("kept", 2)]
    assert {one.entry.recorded_by for one in desk.ledger.entries()} == {"planner"}
    assert {one.entry.device for one in desk.ledger.entries()} == {"rest"}


def test_the_same_key_adds_nothing(desk: Desk) -> None:
    """A request sent again after a lost answer is known; the key with other events is refused."""
    client, key = program(desk, Role.PLANNER), {"idempotency-key": "shift-7"}
    call = CALL | {"at": desk.now().isoformat(timespec="minutes")}
    outcomes = [
        send(client, call, headers=key).json()["data"]["answers"][0]["outcome"] for _ in range(2)
    ]
    assert outcomes == ["kept", "known"]
    assert next(iter(desk.ledger.entries())).entry.event_id == "shift-7-1"
    other = send(client, call | {"due_in": "2030-01-08"}, headers=key)
    assert other.status_code == 409
    assert desk.ledger.head().place == 1


def test_together_keeps_all_or_none(desk: Desk) -> None:
    """With ``together`` one refusal holds back the rest; without it the rest is kept."""
    client = program(desk, Role.PLANNER)
    wrong = {"kind": "admitted", "vehicle_id": "P0002"}
    answer = send(client, CALL, wrong, together=True)
    told = NotBooked.model_validate(answer.json())
    assert answer.status_code == 409
    assert told.data
    assert [one.outcome for one in told.data.answers] == ["refused", "refused"]
    assert desk.ledger.head().place == 0
    answer = send(client, CALL, wrong)
    assert answer.status_code == 409
    assert [one["outcome"] for one in answer.json()["data"]["answers"]] == ["kept", "refused"]
    assert answer.json()["faults"][0].startswith("events[1]: vehicle P0002")


@pytest.mark.parametrize(
    "event",
    [
        {},
        {"kind": 7},
        {"kind": ["called"]},
        {"kind": "flown"},
        CALL | {"due_in": 20300107},
        CALL | {"colour": "red"},
        CALL | {"at": "2030-01-01T00:00:00+00:00"},
        CALL | {"version": "1"},
        {"kind": "moved", "piece": "P0001", "stage_id": "arrive", "position": 1},
        {"kind": "moved", "piece": ["vehicle"], "stage_id": "arrive", "position": "1"},
        {"kind": "corrected", "mends": "no-such", "instead": [], "reason": "x"},
        {"kind": "corrected", "mends": "no-such", "instead": [{"kind": "x"}], "reason": "x"},
    ],
    ids=str,
)
def test_what_is_no_event_is_refused_whole(still: Desk, event: dict[str, Any]) -> None:
    """Nothing is booked when one of the events cannot be read; each fault names it."""
    answer = send(program(still, Role.PLANNER), CALL, event)
    assert answer.status_code == 422
    assert all(one.startswith("events[1]: ") for one in Refused(**answer.json()).faults)
    assert still.ledger.head().place == 0


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"[]",
        b"{",
        b'{"events": []}',
        b'{"events": [{"event": 1}]}',
        b'{"events": [{"event": {}, "more": 1}]}',
        b'{"events": [{"event": {"kind": "called"}, "event_id": "with blank"}]}',
        b'{"events": [{"event": NaN}]}',
        b"\xff\xfe",
    ],
    ids=str,
)
def test_bodies_that_are_none_are_refused_in_the_one_shape(still: Desk, body: bytes) -> None:
    """Whatever is sent, the answer is 4xx with faults."""
    answer = program(still, Role.PLANNER).post(
        "/api/events", content=body, headers={"content-type": "application/json"}
    )
    assert answer.status_code in (400, 422)
    assert Refused(**answer.json()).faults


def test_a_token_has_only_the_rights_it_was_given(desk: Desk) -> None:
    """Beyond its scope a token is refused, though its person may."""
    client = program(desk, Role.PLANNER, Right.SEE, Right.BOOK_WORK)
    answer = send(client, CALL)
    assert answer.status_code == 403
    assert "may not book calls" in answer.json()["faults"][0]
    assert desk.ledger.head().place == 0
    blind = program(desk, Role.PLANNER, Right.BOOK_GATE)
    assert blind.get("/api/events").status_code == 403


def test_nobody_is_named_as_acting_by_another(desk: Desk) -> None:
    """An inspector's program signs in the inspector's name only; a planner's not at all."""
    inspector, planner = program(desk, Role.INSPECTOR), program(desk, Role.PLANNER)
    released = {"kind": "released", "vehicle_id": VEHICLE}
    assert send(planner, released).status_code == 403
    answer = send(inspector, released | {"signed_by": "planner"})
    assert answer.status_code == 403
    assert "planner found, inspector books" in answer.json()["faults"][0]
    own = send(inspector, released)
    assert own.status_code == 409  # the door, since it is not inside
    assert "does not know it" in own.json()["faults"][0]


def test_a_factor_is_not_decided_past_its_page(still: Desk) -> None:
    """Booking the decision alone would tell of a table rewritten that is not."""
    answer = send(program(still, Role.ENGINEER), {
        "kind": "factor_decided", "table": "operations", "row": "a", "column": "b", "old": "1",
        "new": "2", "accepted": True, "sample": 3.0,
    })  # fmt: skip
    assert answer.status_code == 403
    assert "/learning" in answer.json()["faults"][0]


def test_robbing_takes_two_persons_passwords(desk: Desk) -> None:
    """A second approval counts only with that person's own password and right."""
    client = program(desk, Role.PLANNER)
    robbed = {"kind": "robbed", "unit": "pantograph:N-1", "off": "vehicle:P0001",
              "to": "vehicle:P0002"}  # fmt: skip
    for second, password, why in (
        ("planner", "three words together", "gave the first"),
        ("engineer", "wrong", "did not fit"),
        ("stores", "three words together", "may not approve"),
    ):
        body = {"events": [{"event": robbed | {"second_approval": second},
                            "second_password": password}]}  # fmt: skip
        answer = client.post("/api/events", json=body)
        assert answer.status_code == 403, second
        assert why in answer.json()["faults"][0]
    body = {"events": [{"event": robbed | {"second_approval": "engineer"},
                        "second_password": "three words together"}]}  # fmt: skip
    answer = client.post("/api/events", json=body)
    assert answer.status_code == 409  # past the names, at the door: no such unit
    assert "pantograph N-1" in answer.json()["faults"][0]


def test_a_correction_over_rest_keeps_to_the_rights(desk: Desk) -> None:
    """A planner corrects a call, with events in its place; an inspector may not."""
    planner = program(desk, Role.PLANNER)
    send(planner, CALL | {"at": "2026-01-05T07:00"}, headers={"idempotency-key": "k"})
    fixed = CALL | {"version": 1, "at": "2026-01-05T07:00", "due_in": "2030-02-04"}
    correction = {"kind": "corrected", "mends": "k-1", "instead": [fixed], "reason": "slip"}
    assert send(program(desk, Role.INSPECTOR), correction).status_code == 403
    assert send(planner, correction).status_code == 200
    with desk.standing() as now:
        assert str(now.vehicles[VEHICLE].due_in) == "2030-02-04"
    sneaked = {"kind": "released", "version": 1, "at": "2026-01-05T07:00", "vehicle_id": VEHICLE,
               "signed_by": "inspector"}  # fmt: skip
    place = {"kind": "corrected", "mends": "k-1", "instead": [sneaked], "reason": "x"}
    assert send(planner, place).status_code == 403


# -- reading -------------------------------------------------------------------------------------


def test_events_are_read_a_page_at_a_time(desk: Desk) -> None:
    """Following ``next`` gives every event once, in order and backwards."""
    client = program(desk, Role.PLANNER)
    calls = [CALL | {"vehicle_id": f"P000{n}", "at": f"2026-01-05T07:0{n}"} for n in range(1, 6)]
    types = {one.vehicle_id: one for one in desk.works.vehicles}
    calls = [
        one | {"type_id": types[one["vehicle_id"]].type_id,
               "depot_id": types[one["vehicle_id"]].depot_id}
        for one in calls
    ]  # fmt: skip
    assert send(client, *calls).status_code == 200
    for query, order in (("limit=2", [1, 2, 3, 4, 5]), ("limit=2&newest_first=true",
                                                        [5, 4, 3, 2, 1])):  # fmt: skip
        address: str | None = f"/api/events?{query}"
        places: list[int] = []
        while address:
            page = Events.model_validate(client.get(address).json()).data
            places += [one.place for one in page.events]
            address = page.next
        assert places == order
    assert client.get("/api/events?about=vehicle:P0003").json()["data"]["events"][0]["place"] == 3
    assert (
        client.get("/api/events?since=2026-01-05T07:04").json()["data"]["events"][0]["place"] == 4
    )
    for wrong in ("limit=0", "limit=9999", "kind=flown", "since=never", "since=2026-01-05T07:04Z",
                  "after=-1", "until=99999999999", "about=P0003"):  # fmt: skip
        answer = client.get(f"/api/events?{wrong}")
        assert answer.status_code == 422, wrong
        assert Refused(**answer.json()).faults


def test_kinds_tell_every_field_and_who_may(still: Desk) -> None:
    """Each kind, its right by name, its fields with meaning; ``may`` as the token goes."""
    client = program(still, Role.STORES)
    told = Kinds.model_validate(client.get("/api/kinds").json()).data.kinds
    assert [one.kind for one in told] == list(KINDS)
    assert all(field.meaning for one in told for field in one.fields)
    stores = {one.kind for one in told if one.may}
    assert stores == {kind for kind, right in NEEDED.items()
                      if right in (Right.BOOK_UNITS, Right.COUNT)}  # fmt: skip
    verdict = next(f for one in told if one.kind == "found" for f in one.fields
                   if f.name == "verdict")  # fmt: skip
    assert verdict.choices == ["use", "repair", "replace", "scrap"]


def test_the_plan_has_a_tag_and_is_sent_once(still: Desk) -> None:
    """With its tag the plan is answered 304 without a body; each table has its own."""
    client = program(still, Role.VIEWER)
    first = client.get("/api/plan")
    told = PlanOut.model_validate(first.json()).data
    assert told.tables
    tag = first.headers["etag"]
    for sent in (tag, f"W/{tag}", f'"other", {tag}', "*"):
        again = client.get("/api/plan", headers={"if-none-match": sent})
        assert (again.status_code, again.content) == (304, b"")
        assert again.headers["etag"] == tag
    assert client.get("/api/plan", headers={"if-none-match": '"other"'}).status_code == 200
    table = client.get(told.tables[0].address + "?rows=2")
    rows = TableOut.model_validate(table.json()).data
    assert len(rows.rows) <= 2
    assert rows.rows_in_all == told.tables[0].rows
    assert table.headers["etag"] != tag
    assert client.get("/api/plan/none").status_code == 404


# -- tokens --------------------------------------------------------------------------------------


def make_token(client: TestClient, **fields: Any) -> Any:
    """Send the form of the tokens page."""
    return client.post("/tokens", data={"note": "stock", "days": "30", "right": ["SEE"]} | fields)


def test_a_token_is_shown_once_and_ends(desk: Desk) -> None:
    """Made on the page, it opens REST, never a page; ended, it opens nothing."""
    stores = browser(desk, Role.STORES)
    html = make_token(stores, right=["SEE", "BOOK_UNITS"]).text
    found = re.search(r'<code class="key">([^<]+)<', html)
    assert found
    assert found[1] not in stores.get("/tokens").text
    client = browser(desk)
    client.headers["authorization"] = f"Bearer {found[1]}"
    assert client.get("/api/events").status_code == 200
    assert client.get("/record").status_code == 303
    mark = re.search(r'name="mark" value="([0-9a-f]+)"', stores.get("/tokens").text)
    assert mark
    assert browser(desk, Role.SHOP).post("/tokens/end", data={"mark": mark[1]}).status_code == 404
    assert stores.post("/tokens/end", data={"mark": mark[1]}).status_code == 200
    assert client.get("/api/events").status_code == 401
    assert any("ended the token" in one.what for one in desk.access.people.logged())


@pytest.mark.parametrize(
    "fields",
    [{"note": " "}, {"days": "0"}, {"days": "401"}, {"days": "²"}, {"right": ["RELEASE"]},
     {"right": ["NONE"]}, {"right": []}],
    ids=str,
)  # fmt: skip
def test_a_token_never_exceeds_its_person(still: Desk, fields: dict[str, Any]) -> None:
    """Rights the person lacks, no right, no purpose or no end: refused, and told why."""
    answer = make_token(browser(still, Role.STORES), **fields)
    assert answer.status_code in (409, 422)
    assert 'class="faulty"' in answer.text
    assert 'class="key"' not in answer.text


def test_an_administrator_ends_anybodys_token(desk: Desk) -> None:
    """Who keeps the accounts sees every token; others see their own."""
    make_token(browser(desk, Role.STORES), note="stock program")
    assert "stock program" not in browser(desk, Role.PLANNER).get("/tokens").text
    administrator = browser(desk, Role.ADMINISTRATOR)
    html = administrator.get("/tokens").text
    assert "stock program" in html
    mark = re.search(r'name="mark" value="([0-9a-f]+)"', html)
    assert mark
    assert administrator.post("/tokens/end", data={"mark": mark[1]}).status_code == 200


# -- description ---------------------------------------------------------------------------------


def test_openapi_tells_every_refusal_in_the_one_shape(still: Desk) -> None:
    """Every operation names its refusals with a model, who may ask, and a summary."""
    told = browser(still).get("/api/openapi.json").json()
    assert set(told["components"]["securitySchemes"]) == {"token", "session"}
    for path, operations in told["paths"].items():
        for method, operation in operations.items():
            assert operation["summary"], path
            for status in ("401", "403", "404", "409", "422"):
                schema = operation["responses"][status]["content"]["application/json"]["schema"]
                assert schema["$ref"].rsplit("/", 1)[1] in ("Refused", "NotBooked"), (method, path)
    text = browser(still).get("/api/openapi.json").text
    assert "HTTPValidationError" not in text


def test_unknown_addresses_answer_in_the_one_shape(still: Desk) -> None:
    """Under /api/ whatever is wrong is JSON, for everybody."""
    client = program(still, Role.VIEWER)
    assert Refused(**client.get("/api/nothing").json()).faults
    assert client.get("/api/nothing").status_code == 404
    wrong = client.put("/api/kinds")
    assert (wrong.status_code, wrong.headers["allow"]) == (405, "GET")
    assert wrong.json()["faults"] == ["/api/kinds: PUT is not for it. Check address and method."]
    assert client.delete("/api/events").status_code == 405
    assert Refused(**client.delete("/api/events").json()).faults
    assert browser(still).get("/api/events").status_code == 401


def examples() -> list[tuple[int, list[str]]]:
    """Every example of docs/rest.md: the status it says it answers, and its words."""
    text = DOCS.read_text(encoding="utf-8")
    blocks = re.findall(r"```sh\n# answers (\d+)[^\n]*\n(curl .*?)```", text, re.DOTALL)
    return [(int(status), shlex.split(block.replace("\\\n", " "))) for status, block in blocks]


def run(client: TestClient, words: list[str], known: dict[str, Any]) -> Any:
    """Do what a curl command does, its placeholders filled in."""
    headers, method, body, address = {}, "GET", None, ""
    left = iter(words[1:])
    for word in left:
        if word in ("-H", "--header"):
            name, _, value = next(left).partition(": ")
            headers[name] = Template(value).substitute(known)
        elif word in ("-d", "--data"):
            method, body = "POST", next(left)
        elif word == "-X":
            method = next(left)
        elif word == "--data-binary":
            method, body = (method if method != "GET" else "POST"), known[next(left)]
        elif word not in ("-s", "-i"):
            address = Template(word).substitute(known)
    assert address.startswith("http://testserver/"), words
    return client.request(method, address, headers=headers, content=body)


def test_every_example_of_the_docs_runs(desk: Desk) -> None:
    """Each curl command of docs/rest.md, run in order, answers what it says."""
    client = program(desk, Role.PLANNER)
    token = client.headers.pop("authorization").removeprefix("Bearer ")
    engineer = program(desk, Role.ENGINEER).headers["authorization"].removeprefix("Bearer ")
    known: dict[str, Any] = {"SERVER": "http://testserver", "TOKEN": token}
    known |= {"TAG": '"none"', "ENGINEER": engineer}
    trades = (desk.path / "trades.csv").read_text(encoding="utf-8")
    inspector = program(desk, Role.INSPECTOR).headers["authorization"].removeprefix("Bearer ")
    known |= {"INSPECTOR": inspector, "@weld.jpg": JPEG}
    known["@trades.csv"] = trades + "crane,Crane driver\n"
    told = examples()
    assert len(told) >= 8
    assert DOCS.read_text(encoding="utf-8").count("\ncurl ") == len(told)
    for status, words in told:
        answer = run(client, words, known)
        assert answer.status_code == status, (words, answer.text)
        if words[1:3] != ["-s", "-X"]:  # the tag of what was read, as the docs say
            known["TAG"] = answer.headers.get("etag", known["TAG"])
        if answer.content and answer.headers["content-type"] == "application/json":
            assert answer.json()["status"] == ("done" if status < 400 else "refused")


def test_the_docs_name_every_address() -> None:
    """Each address of REST that is no sheet stands in docs/rest.md."""
    text = DOCS.read_text(encoding="utf-8")
    for address in (
        "/api/events",
        "/api/kinds",
        "/api/plan",
        "/api/plan/TABLE",
        "/api/openapi.json",
        "/api/works/files",
        "/api/import",
        "/api/people",
        "/api/learning",
    ):
        assert f"`{address}`" in text or f"{address}`" in text, address
    for right in Right:
        assert f"`{right.name}`" in text, right
