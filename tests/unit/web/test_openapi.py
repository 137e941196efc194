"""What the REST description promises is what the server does, whatever is asked.

Requests are made from ``/api/openapi.json`` by Schemathesis (property-based testing of described
interfaces); its answers are held to the description: status, content type, shape.
"""

import warnings
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.web.app import create_app
from pacewright.web.who import COOKIE
from planner_desk import story_desk
from web_desk import PASSWORD, quick_hashing

with warnings.catch_warnings():
    # Its own imports warn of things to come in libraries it uses; ours must not.
    warnings.simplefilter("ignore")
    import schemathesis
    from schemathesis.checks import not_a_server_error
    from schemathesis.core.result import Ok
    from schemathesis.specs.openapi.checks import (
        content_type_conformance,
        response_schema_conformance,
        status_code_conformance,
    )

CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]
EXAMPLES = 12
"""Requests for each address and method; sought anew each run would make a flaky gate: the seed
stays the same."""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The small works with its story, one account a role."""
    with quick_hashing():
        made = story_desk(tmp_path_factory.mktemp("openapi"))
    yield made
    made.close()


WHO = {
    ("PUT", "/api/works/files/{name}"): Role.ENGINEER,
    ("GET", "/api/people"): Role.ADMINISTRATOR,
    ("POST", "/api/people"): Role.ADMINISTRATOR,
    ("POST", "/api/people/{name}"): Role.ADMINISTRATOR,
    ("POST", "/api/inspection/{vehicle_id}"): Role.INSPECTOR,
}
"""Who asks where a planner gets no further than the door; a planner everywhere else."""


@pytest.fixture(scope="module")
def asking(desk: Desk) -> dict[Role, dict[str, str]]:
    """What a program of each role sends, and for papers, which take no token, a browser."""
    made = {}
    for role in {Role.PLANNER, *WHO.values()}:
        key = desk.access.sign_in(role.value, PASSWORD, "here")
        person = desk.access.person(key)
        assert person
        token = desk.access.new_token(person, "schemathesis", person.rights, 1)
        made[role] = {"authorization": f"Bearer {token}", "cookie": f"{COOKIE}={key}"}
    return made


@pytest.fixture(scope="module")
def schema(desk: Desk) -> Any:
    """The description as the server gives it."""
    return schemathesis.openapi.from_asgi("/api/openapi.json", create_app(desk))


def test_the_description_is_whole(schema: Any) -> None:
    """Every REST address says what it is, what it takes, and how it refuses."""
    told = schema.raw_schema
    assert told["openapi"].startswith("3.")
    for path, operations in told["paths"].items():
        for method, one in operations.items():
            assert one.get("summary"), (method, path)
            assert {"401", "403", "404", "422"} <= one["responses"].keys(), (method, path)
            named = {part["name"] for part in one.get("parameters", []) if part["in"] == "path"}
            assert named == {part.split("}")[0] for part in path.split("{")[1:]}, path


def test_answers_are_as_described(schema: Any, asking: dict[Role, dict[str, str]]) -> None:
    """For each address and method: no error of the server, and nothing the description lacks."""
    asked: list[str] = []
    for result in schema.get_all_operations():
        assert isinstance(result, Ok), result
        operation = result.ok()
        role = WHO.get((operation.method.upper(), operation.path), Role.PLANNER)
        _each(operation, asking[role], asked)
    assert len(asked) > 100


def _each(operation: Any, headers: dict[str, str], asked: list[str]) -> None:
    @settings(
        max_examples=EXAMPLES,
        deadline=None,
        derandomize=True,
        database=None,
        phases=[Phase.explicit, Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy())
    def answered(case: Any) -> None:
        asked.append(operation.path)
        case.call_and_validate(headers=headers, checks=CHECKS)

    answered()


def test_nobody_is_told_so_in_the_described_way(schema: Any) -> None:
    """Without a token each address answers 401 in the one shape, whatever else is wrong."""
    for result in schema.get_all_operations():
        operation = result.ok()

        @settings(
            max_examples=2,
            deadline=None,
            derandomize=True,
            database=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(case=operation.as_strategy())
        def refused(case: Any) -> None:
            answer = case.call(headers={"origin": "http://testserver"}, allow_redirects=False)
            expected = 401 if case.path.startswith("/api/") else 303
            assert answer.status_code == expected, (case.path, answer.text)
            case.validate_response(answer, checks=CHECKS)

        refused()
