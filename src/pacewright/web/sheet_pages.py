"""Every sheet of the office as a page, as CSV and as REST, from one list."""

from collections.abc import Callable
from typing import Any

from fastapi import APIRouter, Depends, Query
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from pacewright.office.access import Person
from pacewright.office.errors import NotFoundError
from pacewright.office.rights import Right
from pacewright.office.sheets.catalogue import SHEETS, SheetMaker
from pacewright.reports.address import step
from pacewright.reports.csvfile import csv_bytes
from pacewright.reports.html_table import html_table
from pacewright.reports.sheet import Part, Sheet, sheet_data
from pacewright.reports.table import Table
from pacewright.web.forms import forms_of
from pacewright.web.frame import Said, page
from pacewright.web.steps import by_id
from pacewright.web.who import Seeing, desk_of, having


def sheet_routes() -> APIRouter:
    """Routes for every sheet, and the first page."""
    router = APIRouter()
    for maker in SHEETS.values():
        check = having(maker.right)
        path = by_id(maker.path)
        router.add_api_route(path, _page_of(maker, check), methods=["GET"], include_in_schema=False)
        router.add_api_route(path + "/csv/{part}", _csv_of(maker, check), include_in_schema=False)
        router.add_api_route(
            "/api" + path,
            _data_of(maker, check),
            methods=["GET"],
            summary=maker.title,
            description=maker.about,
            tags=["sheets"],
            responses={401: {"description": "nobody known"}, 403: {"description": "not allowed"}},
        )
    router.add_api_route("/", _first_page, include_in_schema=False)
    return router


def _first_page(person: Seeing) -> Response:
    return RedirectResponse("/inspection" if person.may(Right.INSPECT) else "/today", 303)


def made(request: Request, maker: SheetMaker) -> Sheet:
    """The sheet a request asks for.

    Raises
    ------
    HTTPException : 404, what is asked for does not exist; 422, a choice is wrong.
    """
    asked = dict(request.query_params) | dict(request.path_params)
    asked.pop("part", None)
    try:
        return maker.make(desk_of(request), asked)
    except NotFoundError as error:
        raise HTTPException(404, str(error)) from None
    except ValueError as error:
        raise HTTPException(422, str(error)) from None


def show(
    request: Request, maker: SheetMaker, person: Person, said: Said | None = None, status: int = 200
) -> Response:
    """A sheet as a page, with the forms the person may use."""
    sheet = made(request, maker)
    if request.headers.get("hx-trigger") == "being-made":
        # A page that waits asks whether it is there; only then is it shown anew.
        return Response(status_code=204, headers={} if sheet.awaited else {"HX-Refresh": "true"})
    template, more = forms_of(maker.key, request, person, sheet)
    query = f"?{request.url.query}" if request.url.query else ""
    # Not the path asked for: a form that was refused shows the sheet from another address.
    here = maker.path.format(**{name: step(str(v)) for name, v in request.path_params.items()})
    values = {
        "title": sheet.title,
        "here": maker.area,
        "sheet": sheet,
        "parts": [_shown(part) for part in sheet.parts],
        "csv_of": lambda key: f"{here}/csv/{key}{query}",
        "api_path": f"/api{here}{query}",
        "here_path": f"{here}{query}",
        "said": said,
    }
    if sheet.up_to:
        # News since then is told on the page, also where it was there before the page was.
        values["head_place"] = sheet.up_to
    return page(request, template, person, values | more, status)


def _shown(part: Part) -> dict[str, Any]:
    table = part.table
    return {
        "key": part.key,
        "heading": part.heading,
        "how": part.how,
        "drawing": part.drawing,
        "empty": part.empty,
        "folded": part.folded,
        "photos": part.photos,
        "rows": len(table.rows) if table is not None else 0,
        "html": None
        if table is None
        else html_table(table, part.columns, _heads(table), links=part.links),
    }


def _heads(table: Table) -> dict[str, str]:
    """Headings without ``id`` where no other column has that name: people say stage, not id."""
    names = [column.name for column in table.columns]
    return {
        name: name.removesuffix("_id").replace("_", " ")
        for name in names
        if name.endswith("_id") and name.removesuffix("_id") not in names
    }


Check = Callable[[Request], Person]


def _page_of(maker: SheetMaker, check: Check) -> Callable[..., Response]:
    def sheet_page(request: Request, person: Person = Depends(check)) -> Response:
        return show(request, maker, person)

    return sheet_page


def _csv_of(maker: SheetMaker, check: Check) -> Callable[..., Response]:
    def sheet_csv(
        request: Request,
        part: str,
        person: Person = Depends(check),
    ) -> Response:
        found = made(request, maker).part(part)
        if found is None or found.table is None:
            raise HTTPException(404, f"{part}: there is no such table here. Check the address.")
        name = f"{maker.key}-{part}.csv"
        headers = {"content-disposition": f'attachment; filename="{name}"'}
        return Response(csv_bytes(found.table), media_type="text/csv", headers=headers)

    return sheet_csv


def _data_of(maker: SheetMaker, check: Check) -> Callable[..., Response]:
    def sheet_json(
        request: Request,
        person: Person = Depends(check),
        first: int = Query(1, ge=1, description="first row of each table, from 1"),
        rows: int = Query(1000, ge=1, le=20_000, description="most rows of each table"),
    ) -> Response:
        data = sheet_data(made(request, maker))
        for table in data["tables"].values():
            table["rows_in_all"] = len(table["rows"])
            table["rows"] = table["rows"][first - 1 : first - 1 + rows]
        return JSONResponse({"status": "done", "data": data})

    return sheet_json
