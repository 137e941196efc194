"""Whatever is sent to REST or typed into a form, the answer is one of those it promises."""

from collections.abc import Iterator
from typing import Any

import pytest
import schemathesis
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from pacewright.events.registry import KINDS
from pacewright.office.desk import Desk
from pacewright.office.event_form import fields_of
from pacewright.office.rights import Role
from pacewright.web.api.shapes import Refused
from web_booking import AS_SCRIPT, let_in
from web_desk import PASSWORD, browser, open_desk

OURS = ("/api/events", "/api/kinds", "/api/plan", "/api/plan/{table}", "/api/inspection",
        "/api/inspection/{vehicle_id}", "/api/record/{place}")  # fmt: skip
MANY = settings(
    max_examples=80,
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
FEW = settings(MANY, max_examples=12)
LEAF = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**12), 10**12),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(max_size=60),
    st.sampled_from(["vehicle:P0001", "motor:M-1", "P0001", "pair", "arrive", "safety", "use",
                     "2026-01-05T07:00", "2026-01-05", "=1+1", "a:b:c", "planner"]),
)  # fmt: skip
VALUE = st.one_of(LEAF, st.lists(LEAF, max_size=3), st.dictionaries(st.text(max_size=5), LEAF))


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """A small works with a tram inside."""
    made = open_desk(tmp_path_factory.mktemp("strange"))
    let_in(made)
    yield made
    made.close()


@pytest.fixture(scope="module")
def clients(desk: Desk) -> dict[Role, TestClient]:
    """A browser of each role."""
    return {role: browser(desk, role) for role in Role}


@st.composite
def events(draw: st.DrawFn) -> dict[str, Any]:
    """A body that looks like an event: a kind, some of its fields, any values."""
    kind = draw(st.sampled_from(sorted(KINDS)))
    names = [one.name for one in fields_of(kind)]
    body = {name: draw(VALUE) for name in names if draw(st.booleans())}
    if draw(st.booleans()):
        body[draw(st.text(max_size=8))] = draw(VALUE)
    return {"kind": kind} | body


@MANY
@given(body=events(), role=st.sampled_from([Role.PLANNER, Role.INSPECTOR, Role.ENGINEER]))
def test_no_event_brings_rest_down(
    clients: dict[Role, TestClient], body: dict[str, Any], role: Role
) -> None:
    """Any event-like body is booked, or refused with faults; the server never fails."""
    answer = clients[role].post("/api/events", json={"events": [{"event": body}]})
    assert answer.status_code in (200, 403, 409, 422), answer.text
    if answer.status_code != 200:
        assert Refused(**answer.json()).faults


@MANY
@given(body=events(), role=st.sampled_from([Role.PLANNER, Role.INSPECTOR, Role.SHOP]))
def test_no_form_brings_a_page_down(
    clients: dict[Role, TestClient], body: dict[str, Any], role: Role
) -> None:
    """Any text in any field of a form is booked, or refused on the page with what was typed."""
    cells = {name: str(value) for name, value in body.items() if name != "kind" and name}
    answer = clients[role].post(f"/book/{body['kind']}", data=cells, headers=AS_SCRIPT)
    assert answer.status_code in (200, 403, 409, 422), answer.text
    page = clients[role].post(f"/book/{body['kind']}", data=cells)
    assert page.status_code in (303, 403, 409, 422), page.text


def test_rest_answers_as_it_is_described(desk: Desk) -> None:
    """Schemathesis, from the OpenAPI description: every answer has a status, a type and a shape
    that the description names, and none is a failure of the server.
    """
    key = desk.access.sign_in("planner", PASSWORD, "here")
    person = desk.access.person(key)
    assert person
    token = desk.access.new_token(person, "test", person.rights, 1)
    client = browser(desk)
    schema = schemathesis.openapi.from_asgi("/api/openapi.json", client.app)
    checks = [
        not_a_server_error,
        status_code_conformance,
        content_type_conformance,
        response_schema_conformance,
    ]
    tried = set()
    for found in schema.get_all_operations():
        operation = found.ok()
        if operation.path not in OURS:
            continue

        @FEW
        @given(case=operation.as_strategy())
        def run(case: Any) -> None:
            case.call_and_validate(headers={"authorization": f"Bearer {token}"}, checks=checks)

        run()
        tried.add(operation.path)
    assert tried == set(OURS)
