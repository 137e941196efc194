"""No body larger than it need be, whether it says its length or not."""

from collections.abc import Callable

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from pacewright.web.guard.refusal import refuse

FORM_BYTES = 256 * 1024
"""Largest body of a form or a REST write."""

UPLOAD_BYTES = 64 * 1024 * 1024
"""Largest body where files are taken."""


class TooLargeError(Exception):
    """A body grew beyond its limit while it came in."""


class BodySize:
    """Refuses bodies beyond the limit of their path with 413.

    Parameters
    ----------
    uploads : paths (beginnings) at which files are taken.
    known : whether somebody signed in asks; nobody else may send a file.
    """

    def __init__(
        self, app: ASGIApp, uploads: tuple[str, ...], known: Callable[[Scope], bool]
    ) -> None:
        self.app, self.uploads, self.known = app, uploads, known

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on with a counted body."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        most = UPLOAD_BYTES if await self._takes_files(scope) else FORM_BYTES
        message = f"The body is larger than {most:,} bytes. Send less at a time."
        said = Headers(scope=scope).get("content-length", "0")
        if not said.isdigit() or int(said) > most:
            await refuse(scope, receive, send, 413, message)
            return
        came = 0
        over = refused = False

        async def counted() -> Message:
            nonlocal came, over
            part = await receive()
            came += len(part.get("body", b""))
            if came > most:
                over = True
                raise TooLargeError
            return part

        async def watched(part: Message) -> None:
            # Whatever the application makes of the broken body, this is what was wrong with it.
            nonlocal refused
            if not over:
                await send(part)
            elif not refused:
                refused = True
                await refuse(scope, receive, send, 413, message)

        try:
            await self.app(scope, counted, watched)
        except TooLargeError:
            if not refused:
                await refuse(scope, receive, send, 413, message)

    async def _takes_files(self, scope: Scope) -> bool:
        if scope["method"] not in ("POST", "PUT") or not scope["path"].startswith(self.uploads):
            return False
        return await run_in_threadpool(self.known, scope)
