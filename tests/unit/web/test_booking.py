"""Booking on a page: the form, the right, the name, the door, and the answer."""

import re
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import fields
from datetime import date, datetime
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from httpx2 import Response

from pacewright.events.gate import OdometerRead, Promised
from pacewright.events.identity import Parted
from pacewright.events.registry import KIND_OF, KINDS
from pacewright.events.scan import event_from_text
from pacewright.events.stages import Tested
from pacewright.events.things import Event, Piece
from pacewright.ledger.errors import RecordError
from pacewright.office import desk as desks
from pacewright.office.desk import Desk
from pacewright.office.event_form import cells_of
from pacewright.office.rights import NEEDED, RIGHTS, Role
from pacewright.office.signing import ELSEWHERE, SIGNS
from web_booking import AS_SCRIPT, VEHICLE, book, hidden, let_in
from web_desk import PASSWORD, browser, open_desk


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A small works of its own, its record empty."""
    made = open_desk(tmp_path)
    yield made
    made.close()


@pytest.fixture(scope="module")
def still(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """A small works that only forms are asked of."""
    made = open_desk(tmp_path_factory.mktemp("forms"))
    let_in(made)
    yield made
    made.close()


@pytest.fixture(scope="module")
def clients(still: Desk) -> dict[Role, TestClient]:
    """A browser for each role, at the small works."""
    return {role: browser(still, role) for role in Role}


@pytest.mark.parametrize("role", list(Role))
def test_each_role_is_offered_what_it_may_book(still: Desk, role: Role) -> None:
    """The choice lists the kinds whose right the role has, and opens the form of no other."""
    client = browser(still, role)
    html = client.get("/book").text
    for kind in KINDS:
        may = kind not in ELSEWHERE and (
            NEEDED[kind] in RIGHTS[role] or (kind in ("freed", "held") and role is Role.INSPECTOR)
        )
        assert (f'href="/book/{kind}"' in html) is may, kind
        answer = client.get(f"/book/{kind}").status_code
        assert answer == (200 if may else 409 if kind in ELSEWHERE else 403), kind


def test_a_viewer_has_no_entry_for_booking(still: Desk) -> None:
    """Who books nothing sees no such entry in the navigation."""
    assert 'href="/book"' not in browser(still, Role.VIEWER).get("/record").text
    assert 'href="/book"' in browser(still, Role.STORES).get("/record").text


@pytest.mark.parametrize("kind", [one for one in KINDS if one not in ELSEWHERE])
def test_every_kind_has_a_form_with_all_its_fields(
    clients: dict[Role, TestClient], kind: str
) -> None:
    """Each field of the class has an input with its meaning, or is filled in by the account."""
    role = next(role for role in Role if NEEDED[kind] in RIGHTS[role])
    html = clients[role].get(f"/book/{kind}").text
    for name in [one.name for one in fields(KINDS[kind])]:
        shown = f'name="{name}"' in html
        assert shown is not (name in SIGNS), name
        assert f'id="f-{name}-m"' in html, name


def test_the_form_is_filled_in_from_its_address(still: Desk) -> None:
    """A link may carry the piece and the stage; what it carries is escaped."""
    client = browser(still, Role.PLANNER)
    html = client.get(
        "/book/moved", params={"piece": "vehicle:P0001", "stage_id": '"><script>x</script>'}
    ).text
    assert 'value="vehicle:P0001"' in html
    assert "<script>x" not in html
    assert "&lt;script&gt;x" in html


def test_booked_by_the_person_with_the_time_of_the_form(desk: Desk) -> None:
    """What is booked stands in the record with the account's name, and the page says so."""
    planner = let_in(desk)
    kept = list(desk.ledger.entries())
    assert [one.entry.recorded_by for one in kept] == ["planner", "planner"]
    assert kept[0].entry.event_id.startswith("web-")
    answer = book(planner, "moved", {
        "at": f"{desk.now():%Y-%m-%dT%H:%M}", "piece": f"vehicle:{VEHICLE}", "stage_id": "arrive",
        "position": "1", "reference": "card 7",
    }, script=False)  # fmt: skip
    assert answer.status_code == 303
    assert answer.headers["location"] == "/record/3?booked=3"
    assert list(desk.ledger.entries())[2].entry.reference == "card 7"
    html = planner.get("/record/3?booked=3").text
    assert 'class="said"' in html
    assert "Booked" in html


def test_a_double_send_is_kept_once(desk: Desk) -> None:
    """The same form sent twice makes one event; filled in otherwise it is refused and told."""
    planner = browser(desk, Role.PLANNER)
    html = planner.get("/book/called").text
    form = {"event_id": hidden(html, "event_id"), "person": "planner", "vehicle_id": VEHICLE,
            "type_id": "pair", "depot_id": "orrisbank", "due_in": "2030-01-07",
            "at": f"{desk.now():%Y-%m-%dT%H:%M}"}  # fmt: skip
    for _ in range(2):
        answer = planner.post("/book/called", data=form, headers=AS_SCRIPT).json()
        assert answer["status"] == "done"
    assert desk.ledger.head().place == 1
    other = planner.post("/book/called", data=form | {"due_in": "2030-01-08"}, headers=AS_SCRIPT)
    assert other.status_code == 409
    assert "booked already, as event 1" in other.json()["faults"][0]
    assert other.json()["event_id"] != form["event_id"]


def test_what_is_wrong_stands_beside_what_was_typed(desk: Desk) -> None:
    """Without script the form comes back with every fault and every field as typed."""
    planner = browser(desk, Role.PLANNER)
    answer = book(planner, "called", {"vehicle_id": "P 1", "type_id": "pair", "depot_id": "moon",
                                      "due_in": "tomorrow"}, script=False)  # fmt: skip
    assert answer.status_code == 422
    assert "due_in" in answer.text
    assert "vehicle_id" in answer.text
    assert 'value="P 1"' in answer.text
    refused = book(planner, "called", {"vehicle_id": VEHICLE, "type_id": "pair",
                                       "depot_id": "moon", "due_in": "2030-01-07"})  # fmt: skip
    assert refused.status_code == 409
    assert "&#39;moon&#39;" in answer.text or "moon" in refused.json()["faults"][0]
    assert desk.ledger.head().place == 0


def test_nobody_books_beyond_the_right(desk: Desk) -> None:
    """A planner cannot book an inspector's word, whatever is sent; nor the shop a release."""
    let_in(desk)
    before = desk.ledger.head().place
    for role, kind in (
        (Role.PLANNER, "found"),
        (Role.PLANNER, "released"),
        (Role.PLANNER, "cleared"),
        (Role.SHOP, "tested"),
        (Role.VIEWER, "arrived"),
        (Role.ADMINISTRATOR, "moved"),
    ):
        answer = browser(desk, role).post(f"/book/{kind}", data={}, headers=AS_SCRIPT)
        assert answer.status_code == 403, (role, kind)
        assert answer.json()["status"] == "refused"
    assert desk.ledger.head().place == before


def test_nobody_signs_for_another(desk: Desk) -> None:
    """Who acts is the person signed in; another name is refused."""
    let_in(desk)
    inspector = browser(desk, Role.INSPECTOR)
    answer = book(inspector, "released", {"vehicle_id": VEHICLE, "signed_by": "planner"})
    assert answer.status_code == 403
    assert "planner found, inspector books" in answer.json()["faults"][0]
    own = book(inspector, "released", {"vehicle_id": VEHICLE})
    assert own.status_code == 409  # the door: it has passed no stage yet
    assert "released" not in [one.entry.event for one in desk.ledger.entries()]


def test_a_safety_hold_is_freed_by_an_inspector_alone(desk: Desk) -> None:
    """A planner may free other holds, an inspector the safety hold only."""
    planner = let_in(desk)
    piece = {"piece": f"vehicle:{VEHICLE}"}
    for cause in ("safety", "people"):
        assert book(planner, "held", piece | {"cause": cause}).json()["status"] == "done"
    assert book(planner, "freed", piece | {"cause": "safety"}).status_code == 403
    inspector = browser(desk, Role.INSPECTOR)
    assert book(inspector, "freed", piece | {"cause": "people"}).status_code == 403
    assert book(inspector, "freed", piece | {"cause": "safety"}).json()["status"] == "done"
    last = list(desk.ledger.entries(kind="freed"))[-1].entry.event
    assert last.freed_by == "inspector"  # type: ignore[attr-defined]
    assert book(planner, "freed", piece | {"cause": "people"}).json()["status"] == "done"


def test_a_form_of_one_person_is_not_booked_by_the_next(desk: Desk) -> None:
    """On a shared tablet what waited for one person waits on when another is signed in."""
    answer = browser(desk, Role.PLANNER).post(
        "/book/called", data={"person": "shop", "vehicle_id": VEHICLE}, headers=AS_SCRIPT
    )
    assert answer.status_code == 401
    assert desk.ledger.head().place == 0


def test_nobody_signed_in_is_told_as_the_script_reads_it(desk: Desk) -> None:
    """A script gets JSON and 401, so that it keeps what waits; a page leads to the sign-in."""
    client = browser(desk)
    assert client.post("/book/called", data={}, headers=AS_SCRIPT).status_code == 401
    assert client.post("/book/called", data={}).status_code == 303


@pytest.mark.parametrize(
    "then",
    ["//evil.example", "https://evil.example", "/\\evil.example", "/\t/evil.example", "/a\\b"],
)
def test_booking_leads_to_this_server_only(desk: Desk, then: str) -> None:
    """An address elsewhere is not followed."""
    planner = browser(desk, Role.PLANNER)
    answer = book(planner, "called", {"vehicle_id": VEHICLE, "type_id": "pair", "then": then,
                                      "depot_id": "orrisbank", "due_in": "2030-01-07"})  # fmt: skip
    assert answer.json()["then"] == "/record/1?booked=1"


def test_a_huge_number_of_fields_is_refused(desk: Desk) -> None:
    """A form with thousands of fields is not read."""
    planner = browser(desk, Role.PLANNER)
    cells = {f"field{number}": "x" for number in range(3000)}
    assert planner.post("/book/called", data=cells).status_code == 400


# -- corrections ---------------------------------------------------------------------------------


def mend(client: TestClient, place: int, cells: dict[str, str]) -> Response:
    """Send the correction form of an event, its fields as the page gave them."""
    html = client.get(f"/record/{place}").text
    names = ("event_id", "person", "mend_at")
    sent = {name: hidden(html, name) for name in names} if 'name="mend_at"' in html else {}
    typed = dict(re.findall(r'<input id="f-[^"]*" name="([^"]+)"[^>]* value="([^"]*)"', html))
    answer: Response = client.post(f"/record/{place}", data=sent | typed | cells, headers=AS_SCRIPT)
    return answer


def test_a_wrong_booking_is_voided_or_replaced_with_a_reason(desk: Desk) -> None:
    """The record keeps both; where things stand is as if it had been told right."""
    planner = browser(desk, Role.PLANNER)
    call = {"vehicle_id": VEHICLE, "type_id": "pair", "depot_id": "orrisbank"}
    book(planner, "called", call | {"due_in": "2030-01-07"})
    select = {"type_id": "pair", "depot_id": "orrisbank"}
    assert mend(planner, 1, {"how": "replace", "mend_reason": ""} | select).status_code == 422
    assert mend(planner, 1, {"mend_reason": "slip"} | select).status_code == 422
    answer = mend(
        planner, 1, select | {"how": "replace", "mend_reason": "slip", "due_in": "2030-01-14"}
    )
    assert answer.json() == {"status": "done", "then": "/record/2?booked=2"}
    with desk.standing() as now:
        assert now.vehicles[VEHICLE].due_in == date(2030, 1, 14)
    again = mend(planner, 1, {"how": "void", "mend_reason": "slip"})
    assert again.status_code == 409
    assert "mends it already" in again.json()["faults"][0]
    assert mend(planner, 2, {"how": "void", "mend_reason": "right after all"}).status_code == 200
    with desk.standing() as now:
        assert now.vehicles[VEHICLE].due_in == date(2030, 1, 7)
    assert mend(planner, 9, {"how": "void", "mend_reason": "x"}).status_code == 404


def test_a_planner_corrects_no_inspectors_word(desk: Desk) -> None:
    """An inspector mends a finding; a planner neither voids it nor makes one out of a move."""
    planner = let_in(desk)
    inspector = browser(desk, Role.INSPECTOR)
    item = desk.works.operations[0].operation_id
    told = {"piece": f"vehicle:{VEHICLE}", "item_id": item, "verdict": "replace"}
    assert book(inspector, "found", told).json()["status"] == "done"
    assert 'name="mend_at"' not in planner.get("/record/3").text
    refused = mend(planner, 3, {"how": "void", "mend_reason": "too dear"})
    assert refused.status_code == 403
    assert "may not write down what inspection" in refused.json()["faults"][0]
    assert mend(inspector, 2, {"how": "void", "mend_reason": "x"}).status_code == 403
    fine = mend(inspector, 3, {"how": "replace", "verdict": "repair", "mend_reason": "slip"})
    assert fine.json()["status"] == "done"
    # Nor does a planner void the correction, which would put the first word back.
    assert mend(planner, 4, {"how": "void", "mend_reason": "x"}).status_code == 403


def test_who_signed_stays_under_what_is_corrected(desk: Desk) -> None:
    """A correction never puts a name under what another did."""
    let_in(desk)
    inspector = browser(desk, Role.INSPECTOR)
    cells = {"unit": "pantograph:N-1", "told_by": "inspector", "made_on": "2010-01-01"}
    stores = browser(desk, Role.STORES)
    book(stores, "unit_entered", {"unit": "pantograph:N-1", "condition": "serviceable",
                                  "place_id": "store"})  # fmt: skip
    place = desk.ledger.head().place + 1
    assert book(inspector, "age_told", cells).json()["status"] == "done"
    answer = mend(inspector, place, {"how": "replace", "made_on": "2011-01-01",
                                     "told_by": "planner", "mend_reason": "misread"})  # fmt: skip
    assert answer.json()["status"] == "done"
    body = next(iter(desk.ledger.entries(kind="corrected"))).entry.event.instead[0]  # type: ignore[attr-defined]
    assert (body["told_by"], body["made_on"]) == ("inspector", "2011-01-01")


@pytest.mark.parametrize(
    "event",
    [
        Promised(datetime(2026, 3, 2, 7, 30, 5), "P0001", date(2026, 5, 1)),
        OdometerRead(datetime(2026, 3, 2, 7, 30), "P0001", 1695657.0),
        OdometerRead(datetime(2026, 3, 2, 7, 30), "P0001", 0.1 + 0.2),
        Tested(datetime(2026, 3, 2, 7, 30), Piece("body", "B-1"), "brake", False, -2.5, "bar"),
        Parted(datetime(2026, 3, 2), "P0001", (Piece("body", "B-1"), Piece("bogie", "G-1"))),
    ],
    ids=lambda one: type(one).__name__,
)
def test_what_is_typed_reads_back_as_the_event(event: Event) -> None:
    """The fields of an event as its form shows them make the same event again."""
    assert event_from_text(KIND_OF[type(event)], cells_of(event)) == event


def test_robbing_takes_two_persons_at_one_form(desk: Desk) -> None:
    """The planner approves by being signed in, the engineer by the own password; both stand in
    the record.
    """
    planner = let_in(desk)
    other = next(one for one in desk.works.vehicles if one.vehicle_id != VEHICLE)
    let_in(desk, other.vehicle_id, other.type_id)
    stores = browser(desk, Role.STORES)
    unit = {"unit": "pantograph:N-1"}
    book(stores, "unit_entered", unit | {"condition": "serviceable", "place_id": "store"})
    age = unit | {"told_by": "inspector", "made_on": "2024-01-01"}
    assert book(browser(desk, Role.INSPECTOR), "age_told", age).json()["status"] == "done"
    assert book(planner, "issued", unit | {"to": f"vehicle:{VEHICLE}"}).json()["status"] == "done"
    rob = unit | {"off": f"vehicle:{VEHICLE}", "to": f"vehicle:{other.vehicle_id}",
                  "second_approval": "engineer"}  # fmt: skip
    wrong = book(planner, "robbed", rob | {"second_password": "a guess"})
    assert wrong.status_code == 403
    done = book(planner, "robbed", rob | {"second_password": PASSWORD})
    assert done.json()["status"] == "done"
    event = next(iter(desk.ledger.entries(kind="robbed"))).entry.event
    assert (event.approved_by, event.second_approval) == ("planner", "engineer")  # type: ignore[attr-defined]
    shown = planner.post("/book/robbed", data=rob | {"second_password": "a guess"})
    assert "a guess" not in shown.text


@pytest.mark.parametrize("every", [desks.LOOK_SECONDS, 0.0])
def test_the_floor_goes_on_while_a_table_is_faulty(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, every: float
) -> None:
    """A table saved half edited holds up no booking, though reading a large works takes longer
    than it is until it is looked at again; the last good tables hold."""
    monkeypatch.setattr(desks, "LOOK_SECONDS", every)
    (desk.path / "depots.csv").write_text("depot_id,nonsense\n", encoding="utf-8")
    desk._looked = 0.0
    let_in(desk)
    assert desk.ledger.head().place == 2


def test_a_record_that_cannot_be_written_keeps_the_booking_waiting(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The answer is one that a browser keeps and sends again, not a refusal."""
    planner = browser(desk, Role.PLANNER)

    def full(*_: object, **__: object) -> None:
        raise RecordError("the disk is full. Nothing was kept. Make room, then send it again.")

    monkeypatch.setattr(desk, "book", full)
    answer = book(planner, "called", {"vehicle_id": VEHICLE, "type_id": "pair",
                                      "depot_id": "orrisbank", "due_in": "2030-01-07"})  # fmt: skip
    assert answer.status_code == 503
    assert "disk is full" in answer.json()["faults"][0]


def test_two_persons_book_at_once_and_nothing_is_lost(desk: Desk) -> None:
    """Forty bookings by two persons at the same time are all in the record, each once."""
    clients = [browser(desk, role) for role in (Role.PLANNER, Role.PLANNER)]
    fleet = [one for one in desk.works.vehicles if one.type_id == "pair"][:40]

    def call(number: int) -> str:
        one = fleet[number]
        cells = {"vehicle_id": one.vehicle_id, "type_id": "pair", "depot_id": "orrisbank",
                 "due_in": "2030-01-07", "event_id": f"web-{number}"}  # fmt: skip
        answer = clients[number % 2].post("/book/called", data=cells, headers=AS_SCRIPT)
        return str(answer.json()["status"])

    with ThreadPoolExecutor(8) as pool:
        assert set(pool.map(call, range(len(fleet)))) == {"done"}
    kept = [one.entry.event_id for one in desk.ledger.entries()]
    assert sorted(kept) == sorted(f"web-{number}" for number in range(len(fleet)))
    assert not desk.ledger.verify().faults


def test_whoever_inspects_may_stop_work(desk: Desk) -> None:
    """An inspector puts a safety hold on a piece, and no other hold."""
    let_in(desk)
    inspector, piece = browser(desk, Role.INSPECTOR), {"piece": f"vehicle:{VEHICLE}"}
    assert book(inspector, "held", piece | {"cause": "people"}).status_code == 403
    assert book(inspector, "held", piece | {"cause": "safety"}).json()["status"] == "done"


def test_a_safety_hold_is_not_corrected_away(desk: Desk) -> None:
    """To void a safety hold is to end it: a planner may not, not even the own; an inspector may."""
    planner = let_in(desk)
    piece = {"piece": f"vehicle:{VEHICLE}"}
    assert book(planner, "held", piece | {"cause": "safety"}).json()["status"] == "done"
    told = piece | {"at": f"{desk.now():%Y-%m-%dT%H:%M}", "mend_reason": "in the way"}
    for how in ({"how": "void"}, {"how": "replace", "cause": "people"}):
        assert mend(planner, 3, told | how).status_code == 403
    assert 'name="mend_at"' not in planner.get("/record/3").text
    inspector = browser(desk, Role.INSPECTOR)
    assert mend(inspector, 3, {"how": "void", "mend_reason": "wrong tram"}).status_code == 200


def test_a_correction_puts_no_unit_into_use(desk: Desk) -> None:
    """What a count said of a unit's condition is mended by those who count, not by a planner."""
    stores, planner = browser(desk, Role.STORES), browser(desk, Role.PLANNER)
    unit = {"unit": "pantograph:N-1", "condition": "unserviceable", "place_id": "store"}
    assert book(stores, "unit_entered", unit).json()["status"] == "done"
    fixed = unit | {"how": "replace", "condition": "serviceable", "mend_reason": "slip",
                    "at": f"{desk.now():%Y-%m-%dT%H:%M}"}  # fmt: skip
    assert mend(planner, 1, fixed).status_code == 403
    assert mend(stores, 1, fixed).status_code == 200
