"""A refusal given before any page is asked: as JSON under ``/api/``, else as a short text."""

from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.types import Receive, Scope, Send


def refusal(path: str, status: int, message: str) -> Response:
    """The answer to a request that goes no further."""
    if path.startswith("/api/"):
        return JSONResponse({"status": "refused", "faults": [message]}, status)
    return PlainTextResponse(message + "\n", status)


async def refuse(scope: Scope, receive: Receive, send: Send, status: int, message: str) -> None:
    """Send the refusal."""
    await refusal(scope["path"], status, message)(scope, receive, send)
