"""What goes wrong, in one shape: a page for people, JSON under ``/api/``."""

from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response

from pacewright.web.frame import page
from pacewright.web.guard.headers import ALWAYS
from pacewright.web.texts import TEXTS
from pacewright.web.who import person_here

SIGN_IN = "/sign-in"


def asks_json(request: Request) -> bool:
    """Whether a script of a page asks, which reads JSON and follows no redirect."""
    return "application/json" in request.headers.get("accept", "")


def answer(request: Request, status: int, faults: list[str]) -> Response:
    """The faults as the asker reads them best."""
    if request.url.path.startswith("/api/") or asks_json(request):
        return JSONResponse({"status": "refused", "faults": faults}, status)
    if status == 401:
        return RedirectResponse(f"{SIGN_IN}?then={request.url.path}", 303)
    say = TEXTS["en"]
    title = say.get(f"fault_{status}", say["fault"])
    values = {"title": title, "faults": faults, "status": status}
    return page(request, "fault.html.j2", person_here(request), values, status)


async def on_refusal(request: Request, error: Exception) -> Response:
    """A page or person refused the request."""
    assert isinstance(error, HTTPException)
    said, path = str(error.detail), request.url.path[:200]
    if error.status_code == 404 and said == "Not Found":
        said = f"{path}: there is no such page. Check the address."
    if error.status_code == 405:
        said = f"{path}: {request.method} is not for it. Check address and method."
    made = answer(request, error.status_code, [said])
    # Which methods there are for it (RFC 9110, section 15.5.6).
    made.headers.update(error.headers or {})
    return made


async def on_wrong_input(request: Request, error: Exception) -> Response:
    """A field is missing or has the wrong sort of value."""
    assert isinstance(error, RequestValidationError)
    faults = [
        f"{'.'.join(str(part) for part in one['loc'])}: {one['msg']}. Correct it."
        for one in error.errors()
    ]
    return answer(request, 422, faults)


async def on_failure(request: Request, error: Exception) -> Response:
    """Something in the server failed: said on a page in its frame, as far as that still stands.

    This answer passes none of the middleware, so that it is dressed here.
    """
    del error  # The server's log has it whole; the page tells nothing of the inside.
    said = [
        f"{request.url.path}: the server failed at it. What was to be booked is either in the "
        "record whole or not at all: look there, then try again. If it fails again, tell who looks "
        "after the server; its log says more."
    ]
    try:
        made = answer(request, 500, said)
    except Exception:
        made = PlainTextResponse(said[0] + "\n", 500)
    made.headers.update(ALWAYS | {"cache-control": "no-store"})
    return made


async def on_wrong_call(request: Request, error: Exception) -> Response:
    """The office says why it cannot be done."""
    return answer(request, 409, str(error).split("\n"))
