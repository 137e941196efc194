"""Ids in addresses: any id the tables or the record take leads to its pages and back."""

import re
from urllib.parse import unquote

from starlette.convertors import Convertor, register_url_convertor
from starlette.types import ASGIApp, Receive, Scope, Send

from pacewright.reports.address import name_of, step

_PLAIN = re.compile(r"\{(\w+)\}")


class StepOfId(Convertor[str]):
    """One step of an address that names something, as ``reports.address`` writes it."""

    regex = "[^/]+"

    def convert(self, value: str) -> str:
        """The id named."""
        return name_of(value)

    def to_string(self, value: str) -> str:
        """The step that names it."""
        return step(value)


register_url_convertor("id", StepOfId())


def by_id(path: str) -> str:
    """A path whose steps in braces are read as ids.

    Examples
    --------
    >>> by_id("/vehicles/{vehicle_id}/csv/{part}")
    '/vehicles/{vehicle_id:id}/csv/{part:id}'
    """
    return _PLAIN.sub(r"{\1:id}", path)


class StrokesWithin:
    """Lets ``12%2F3`` be one step of an address, as most programs write it.

    The server hands on the path with ``%2F`` read already, when it cannot be told from the end of
    a step any more.
    """

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Write the strokes within steps as our own links do."""
        raw = scope.get("raw_path") or b""
        if scope["type"] == "http" and b"%2f" in raw.lower():
            steps = raw.partition(b"?")[0].decode("ascii", "replace").split("/")
            read = (unquote(one).replace("/", step("/")) for one in steps)
            scope = dict(scope) | {"path": "/".join(read)}
        await self.app(scope, receive, send)
