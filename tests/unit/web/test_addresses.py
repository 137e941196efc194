"""Any id that the tables take has its page, CSV, REST and code, and each leads back to it."""

import re
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import quote, unquote

from fastapi.testclient import TestClient
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter

from pacewright.base.columns import Id
from pacewright.events.scan import code_of
from pacewright.events.things import Unit
from pacewright.ledger.entry import Outcome
from pacewright.office.access import Person
from pacewright.office.desk import Desk
from pacewright.office.desk_booking import Sender, hand_in, written_entry
from pacewright.office.rights import RIGHTS, Role
from pacewright.reports.address import name_of, step
from pacewright.reports.papers.qr import code
from planner_desk import NOW, keep_quick
from small_works import Tables, write_small
from web_desk import browser

IDS = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._/-]{0,39}", fullmatch=True)
HARD = ("12/3", "A/7", "a/../b", "x/csv/way", "a//b", "1/.", "0/-2F", "9..")
"""Ids that an address could take for something else."""
ANY = st.text(st.characters(exclude_categories=("Cs",)), min_size=1, max_size=30)


@given(ANY)
def test_a_step_of_an_address_names_one_id_and_needs_no_other_writing(name: str) -> None:
    """Whatever the text, its step is plain letters (RFC 3986, 2.3) and leads back to it alone."""
    written = step(name)
    assert re.fullmatch(r"[A-Za-z0-9._~-]+", written)
    assert written not in (".", "..")
    assert name_of(written) == name
    # Neither reading nor writing it as a server, a proxy or a browser does changes it.
    assert unquote(written) == quote(written, safe="") == written


def test_plain_ids_look_as_they_are() -> None:
    """A link of an id without strokes stays as it always was."""
    assert [step(one) for one in ("1043", "M-7", "A.4_b")] == ["1043", "M-7", "A.4_b"]


@settings(
    max_examples=4,
    deadline=None,
    phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)
@given(
    vehicles=st.lists(IDS, min_size=2, max_size=2),
    kind=IDS,
    shop=IDS,
    serial=IDS,
)
def test_every_id_leads_to_its_pages_and_back(
    vehicles: list[str], kind: str, shop: str, serial: str
) -> None:
    """Page, CSV, REST, both writings of the address, link and scanned code: all of one thing."""
    named = [one for one in dict.fromkeys([*vehicles, *HARD]) if not one.isdigit()]
    others = [f"{kind[:30]}.k", f"{shop[:30]}.s"]
    for one in (*named, *others, serial):
        TypeAdapter(Id).validate_python(one)
    with TemporaryDirectory() as room:
        desk = _desk(Path(room), named, *others)
        try:
            client = browser(desk, Role.PLANNER)
            for one in named:
                _leads_back(client, "vehicles", "vehicle_id", one)
                assert client.get(f"/api/programme/{step(one)}").status_code == 200
                # It is not inside: nothing to inspect, and that is said of it and no other.
                (fault,) = client.get(f"/api/inspection/{step(one)}").json()["faults"]
                assert f"vehicle {one}" in fault
                assert _scanned(client, f"vehicle:{one}") == f"/vehicles/{step(one)}"
            _leads_back(client, "parts", "unit_kind_id", others[0])
            _leads_back(client, "shops", "shop_id", others[1])
            _the_serial(desk, client, Unit(others[0], serial))
        finally:
            desk.close()


def _desk(room: Path, vehicles: list[str], kind: str, shop: str) -> Desk:
    def change(tables: Tables) -> None:
        first = tables["vehicles"][0]
        tables["vehicles"] += [dict(first, vehicle_id=one) for one in vehicles]
        for row in (row for rows in tables.values() for row in rows):
            for column, old, new in (("unit_kind_id", "motor", kind), ("shop_id", "elec", shop)):
                row.update({column: new} if row.get(column) == old else {})

    return keep_quick(Desk(write_small(room / "works", change), clock=lambda: NOW))


def _leads_back(client: TestClient, area: str, column: str, name: str) -> None:
    """The page of a thing in both writings, its CSV, its REST twin, and the link from the list."""
    address = f"/{area}/{step(name)}"
    data = client.get(f"/api{address}")
    assert data.status_code == 200, (name, data.text)
    assert client.get(f"/api/{area}/{quote(name, safe='')}").json() == data.json()
    tables = data.json()["data"]["tables"]
    page = client.get(address).text
    assert f'href="/api{address}"' in page
    for part in list(tables)[:1]:
        assert f'href="{address}/csv/{part}' in page
        assert client.get(f"{address}/csv/{part}").headers["content-type"].startswith("text/csv")
    # 'phase=all' shows what is not inside as well; other lists know no such filter.
    listed = client.get(f"/{area}", params={"phase": "all"} if area == "vehicles" else {})
    assert f'<a href="{address}">' in listed.text, (column, name)


def _scanned(client: TestClient, said: str) -> str:
    answer = client.get("/scan", params={"code": code(said).says})
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


def _the_serial(desk: Desk, client: TestClient, unit: Unit) -> None:
    person = Person("stores", "Stores", Role.STORES, RIGHTS[Role.STORES])
    event = {"kind": "unit_entered", "unit": code_of(unit), "condition": "serviceable",
             "place_id": "store"}  # fmt: skip
    answers = hand_in(desk, [written_entry(desk, Sender(person, "rest"), event, "", "")])
    assert [one.outcome for one in answers] == [Outcome.KEPT], answers
    to = _scanned(client, code_of(unit))
    assert client.get(to).status_code == 200
    assert client.get(f"/api{to}").json()["data"]["title"].endswith(unit.serial)


@given(ANY)
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
def test_what_nobody_knows_is_named_as_it_was_asked(name: str) -> None:
    """An id no table would take is not found, by its own name, and spoils no other address."""
    answer = STRANGE.client().get(f"/api/vehicles/{step(name)}")
    assert answer.status_code == 404
    (fault,) = answer.json()["faults"]
    assert name[:20].strip() in fault
    if name not in (".", ".."):
        assert STRANGE.client().get(f"/api/vehicles/{quote(name, safe='')}").json() == answer.json()


class _Strange:
    """One small works for all strange addresses: it is only read."""

    def __init__(self) -> None:
        self._room = TemporaryDirectory()
        self._client: TestClient | None = None

    def client(self) -> TestClient:
        """A planner's browser."""
        if self._client is None:
            desk = keep_quick(Desk(write_small(Path(self._room.name) / "works")))
            self._client = browser(desk, Role.PLANNER)
        return self._client


STRANGE = _Strange()
