"""Every route of the application, read from the application itself."""

import re
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from fastapi import FastAPI
from starlette.routing import BaseRoute

SAMPLES = {
    "vehicle_id": "101",
    "shop_id": "run",
    "unit_kind_id": "motor",
    "kind_id": "motor",
    "place": "3",
    "kind": "called",
    "sort": "vehicle-card",
    "part": "none",
    "digest": "0" * 64,
}
"""Path parameter -> a value the small works knows; any other gets ``1``."""


_PARAMETER = re.compile(r"\{(\w+)\}")
_CONVERTED = re.compile(r"\{(\w+):\w+\}")


class Route(NamedTuple):
    """One method at one address."""

    method: str
    path: str

    @property
    def names(self) -> list[str]:
        """Its parameters."""
        return _PARAMETER.findall(self.path)

    def at(self, **given: str) -> str:
        """The address with its parameters filled in."""
        return _PARAMETER.sub(
            lambda one: given.get(one[1], SAMPLES.get(one[1], "1")),
            self.path,
        )


def routes_of(app: FastAPI) -> list[Route]:
    """Every method at every address, in the order in which they are tried."""
    return [
        Route(method, path)
        for one in _leaves(app.routes)
        for path in [_CONVERTED.sub(r"{\1}", str(one.path))]  # type: ignore[attr-defined]
        for method in sorted(set(getattr(one, "methods", None) or ()) - {"HEAD"})
    ]


def _leaves(routes: Iterable[BaseRoute]) -> Iterator[BaseRoute]:
    for one in routes:
        # An included router is one entry of the list that holds its own.
        within: Any = getattr(one, "original_router", None)
        if within is not None:
            yield from _leaves(within.routes)
        else:
            yield one
