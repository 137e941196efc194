"""A page in its frame: works, person, areas, and the texts of its language."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse

from pacewright.office.access import Person
from pacewright.office.desk import Desk
from pacewright.reports.address import step
from pacewright.reports.written import day, local, moment, number, share, some
from pacewright.web.areas import AREAS
from pacewright.web.static import address_of
from pacewright.web.texts import TEXTS


@dataclass(frozen=True, slots=True)
class Said:
    """What became of what the person just did.

    Parameters
    ----------
    look : ``said`` when it was done, ``faulty`` when it was not.
    lines : in words.
    """

    look: str
    lines: tuple[str, ...]


@cache
def environment() -> Environment:
    """The templates; everything a user wrote is escaped, and nothing may be missing."""
    made = Environment(
        loader=ChoiceLoader([PackageLoader("pacewright.web"), PackageLoader("pacewright.reports")]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        # They are part of the package and do not change while the server runs.
        auto_reload=False,
    )
    made.filters |= {
        "day": day,
        "moment": moment,
        "number": number,
        "share": share,
        "some": some,
        "local": local,
        "step": step,
    }
    made.globals["at"] = address_of
    return made


def page(
    request: Request,
    template: str,
    person: Person | None,
    values: Mapping[str, Any],
    status: int = 200,
) -> HTMLResponse:
    """A page as the answer to a request.

    Parameters
    ----------
    values : of the template; ``title`` is needed, ``here`` (key of the area) may be given.
    """
    desk: Desk = request.app.state.desk
    texts = TEXTS["en"]
    given = {
        "say": texts,
        "works_name": desk.works.settings.name,
        "person": person,
        "areas": [one for one in AREAS if person is not None and one.for_person(person)],
        "here": "",
        "head_place": desk.head_place() if person is not None else 0,
        "read_only": desk.read_only,
        "said": None,
    }
    html = environment().get_template(template).render(**(given | dict(values)))
    return HTMLResponse(html, status)
