"""The forms of the works' files: what was looked at and waits, and how a new one is sent."""

from dataclasses import dataclass
from typing import Any

from starlette.requests import Request

from pacewright.office.access import Person
from pacewright.office.differing import Difference
from pacewright.office.rights import Right
from pacewright.office.works_files import SETTINGS, WORKBOOK, File, files_of, versions
from pacewright.web.frame import Said
from pacewright.web.texts import TEXTS
from pacewright.web.who import desk_of

MOST_SHOWN = 200
"""Differences shown on the page; the rest are counted."""


@dataclass(frozen=True, slots=True)
class Looked:
    """A file that was looked at and waits for the word to replace the one there is.

    Parameters
    ----------
    key : by which it is taken. ``rows`` : the first differences of ``count``.
    """

    key: str
    reason: str
    rows: tuple[Difference, ...]
    count: int


def _works(request: Request, person: Person) -> tuple[str, dict[str, Any]]:
    return "works.html.j2", {}


def _settings(request: Request, person: Person) -> tuple[str, dict[str, Any]]:
    return "settings.html.j2", _replacing(request, person, files_of(desk_of(request))[0])


def _table(request: Request, person: Person) -> tuple[str, dict[str, Any]]:
    desk, name = desk_of(request), request.path_params["table"]
    more = {"find": request.query_params.get("find", "")}
    return "table.html.j2", _replacing(
        request, person, File(name, desk.path / f"{name}.csv")
    ) | more


def _replacing(request: Request, person: Person, one: File) -> dict[str, Any]:
    desk = desk_of(request)
    here = one.key in {file.key for file in files_of(desk)}
    return {
        "key": one.key,
        "file_name": one.name,
        "sort": one.key if one.key in (SETTINGS, WORKBOOK) else "table",
        "suffix": one.path.suffix,
        "here_path": "/works/settings" if one.key in (SETTINGS, WORKBOOK) else f"/works/{one.key}",
        "may_replace": here and person.may(Right.TABLES) and not desk.read_only,
        "kept": [row for row in versions(desk) if row.table == one.key and row.kept_as],
        "looked": getattr(request.state, "looked", None),
    } | _replaced(request, one)


def _replaced(request: Request, one: File) -> dict[str, Any]:
    """That the file was replaced, read from the versions kept: an address claims nothing."""
    at, say = request.query_params.get("replaced", ""), TEXTS["en"]
    for row in versions(desk_of(request)) if at else ():
        if (row.at, row.table) == (at, one.key):
            kept = say["replace_kept"].format(row.kept_as) if row.kept_as else say["replace_first"]
            return {"said": Said("said", (say["replace_done"], kept))}
    return {}


WORKS_FORMS = {"works": _works, "settings": _settings, "table": _table}
"""Key of a sheet -> what stands beside it."""
