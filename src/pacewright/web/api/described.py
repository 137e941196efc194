"""The OpenAPI description made whole: who may ask, and the one shape of every refusal."""

from typing import Any

from fastapi import FastAPI

from pacewright.web.api.shapes import Refused

REFUSALS = {
    "400": "the request cannot be read",
    "401": "nobody is signed in, and no token was sent",
    "403": "the person, or the token, lacks the right",
    "404": "what is asked for does not exist",
    "409": "it cannot be done as things stand",
    "413": "the body is too large",
    "422": "a value is wrong",
}
_SCHEMES = {
    "token": {"type": "http", "scheme": "bearer", "description": "a token of the page /tokens"},
    "session": {"type": "apiKey", "in": "cookie", "name": "pacewright"},
}


def describe(app: FastAPI) -> None:
    """Let the application tell what every address may answer, refusals in one shape."""
    plain = app.openapi

    def whole() -> dict[str, Any]:
        if app.openapi_schema is None:
            _complete(plain())
        return plain()

    app.openapi = whole  # type: ignore[method-assign]


def _complete(told: dict[str, Any]) -> None:
    parts = told.setdefault("components", {})
    parts.setdefault("schemas", {}).setdefault("Refused", Refused.model_json_schema())
    parts["securitySchemes"] = _SCHEMES
    told["security"] = [{"token": []}, {"session": []}]
    for path, operations in told["paths"].items():
        for operation in operations.values():
            rest = path.startswith("/api/")
            _refusals(operation["responses"], rest)
            _names_in_path(operation, path)
            if not rest:
                operation["security"] = [{"session": []}]
                operation["responses"]["303"] = {"description": "nobody is signed in: to the door"}
    for unused in ("HTTPValidationError", "ValidationError"):
        parts["schemas"].pop(unused, None)


def _refusals(answers: dict[str, Any], rest: bool) -> None:
    content: dict[str, Any] = {
        "application/json": {"schema": {"$ref": "#/components/schemas/Refused"}}
    }
    if not rest:
        # A paper is asked for by people, who read a page, unless the asker wants JSON.
        content["text/html"] = {}
    for status, meaning in REFUSALS.items():
        known = answers.get(status, {})
        if "NotBooked" not in str(known):
            answers[status] = {
                "description": known.get("description") or meaning,
                "content": content,
            }


def _names_in_path(operation: dict[str, Any], path: str) -> None:
    """Name what stands in braces: sheets take it from the address, not as an argument."""
    given = operation.setdefault("parameters", [])
    known = {one["name"] for one in given if one["in"] == "path"}
    for name in (part.split("}")[0] for part in path.split("{")[1:]):
        if name not in known:
            word = {"type": "string", "minLength": 1}
            given.append({"name": name, "in": "path", "required": True, "schema": word})
