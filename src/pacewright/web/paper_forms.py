"""The forms of the page of papers: a small one for each sort, with what it may be picked by."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from starlette.requests import Request

from pacewright.events.things import Condition
from pacewright.office.access import Person
from pacewright.office.desk import Desk
from pacewright.office.papers import sorts
from pacewright.reports.papers.flow_sheet import SIZES
from pacewright.web.who import desk_of


@dataclass(frozen=True, slots=True)
class Pick:
    """One input of a form.

    Parameters
    ----------
    choices : (value, words) to choose from; empty: it is typed.
    needed : it cannot be left out.
    """

    name: str
    meaning: str
    choices: tuple[tuple[str, str], ...]
    needed: bool


def paper_forms(request: Request, _person: Person) -> tuple[str, dict[str, Any]]:
    """Every sort with its inputs."""
    choices = _choices(desk_of(request))
    made = [
        (
            sort,
            tuple(
                Pick(name, meaning, choices.get(name, ()), name in sort.needs)
                for name, meaning in sort.picks.items()
            ),
        )
        for sort in sorts()
    ]
    return "papers.html.j2", {"sorts": made}


def _choices(desk: Desk) -> Mapping[str, tuple[tuple[str, str], ...]]:
    works = desk.works
    return {
        "vehicle": tuple(_inside(desk)),
        "shop": tuple((one.shop_id, one.name) for one in works.shops),
        "trade": tuple((one.trade_id, one.name) for one in works.trades),
        "kind": tuple((one.unit_kind_id, one.name) for one in works.unit_kinds),
        "depot": tuple((one.depot_id, one.name) for one in works.depots),
        "size": tuple((key, key.upper()) for key in SIZES),
        "condition": tuple((one.value, one.value) for one in Condition),
    }


def _inside(desk: Desk) -> Iterator[tuple[str, str]]:
    with desk.standing() as standing:
        numbers = [one.vehicle_id for one in standing.inside()]
    yield from ((one, one) for one in numbers)


PAPER_FORMS = {"papers": paper_forms}
"""Key of the sheet -> what makes its forms."""
