"""Writes come from our own pages only: a form on another site cannot act for a signed-in person."""

from urllib.parse import urlsplit

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from pacewright.web.guard.refusal import refuse

READING = frozenset({"GET", "HEAD", "OPTIONS"})


def foreign(headers: Headers) -> str:
    """Why a writing request may come from another site; empty: it does not.

    Browsers send ``Sec-Fetch-Site`` (W3C Fetch Metadata) and ``Origin`` (RFC 6454) by themselves
    and scripts cannot forge them. A request with a token and neither comes from a program, not
    from a browser that could be misled.
    """
    site = headers.get("sec-fetch-site")
    if site is not None and site not in ("same-origin", "none"):
        return f"the request comes from another site ({site})"
    origin = headers.get("origin")
    if origin is not None:
        host = urlsplit(origin).netloc
        return "" if host == headers.get("host") else f"the request comes from {origin[:100]}"
    if site is None and "authorization" not in headers:
        return "the request does not say which page it comes from"
    return ""


class OwnOrigin:
    """Refuses writes that another site may have made a browser send."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or refuse it with 403."""
        if scope["type"] == "http" and scope["method"] not in READING:
            why = foreign(Headers(scope=scope))
            if why:
                await refuse(
                    scope,
                    receive,
                    send,
                    403,
                    f"{why}. Writes are taken from this server's own pages, or with a token. "
                    "Open the page here and send it again.",
                )
                return
        await self.app(scope, receive, send)
