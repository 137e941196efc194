"""The plan over REST, with a tag by which a program learns that nothing has changed."""

import json
from collections.abc import Callable
from hashlib import sha256
from typing import Annotated, Any

from fastapi import APIRouter, Header, Query
from starlette.exceptions import HTTPException
from starlette.responses import Response

from pacewright.office.desk import Desk
from pacewright.office.errors import NoPlanError
from pacewright.office.sheets.today_paper import NO_PLAN_YET, plan_job
from pacewright.plans.plan import Plan
from pacewright.reports.sheet import table_data
from pacewright.reports.table import Table
from pacewright.reports.tables import plan_tables
from pacewright.web.api.shapes import PlanOut, TableOut
from pacewright.web.who import OpenDesk, Seeing

PATIENCE_SECONDS = 120.0
"""How long a program that asks for the plan is kept while it is being made."""

router = APIRouter(tags=["plan"])
UNCHANGED: dict[int | str, dict[str, Any]] = {
    304: {"description": "nothing has changed since the tag that was sent"}
}
Tags = Annotated[str, Header(max_length=2000, description="ETag of an answer kept")]


@router.get("/api/plan", response_model=PlanOut, responses=UNCHANGED, summary="The plan")
def plan(desk: OpenDesk, person: Seeing, if_none_match: Tags = "") -> Response:
    """Which plan it is, what it assumes, and the addresses of its tables.

    The plan of a day is made when it is first asked for and changes with the tables of the works;
    its ``ETag`` stays the same as long as it does.
    """
    made, tables = _made(desk)

    def data() -> dict[str, Any]:
        return {
            "works": made.works_name,
            "today": made.today.isoformat(),
            "inputs_hash": made.inputs_hash,
            "version": made.version,
            "assumptions": list(made.assumptions),
            "tables": [
                {
                    "name": one.name,
                    "title": one.title,
                    "about": one.about,
                    "rows": len(one.rows),
                    "address": f"/api/plan/{one.name}",
                }
                for one in tables.values()
            ],
        }

    return _tagged(_tag(made, "plan"), if_none_match, data)


@router.get("/api/plan/{table}", response_model=TableOut, responses=UNCHANGED, summary="One table")
def plan_table(
    desk: OpenDesk,
    person: Seeing,
    table: str,
    first: Annotated[int, Query(ge=1, le=10**9, description="first row, from 1")] = 1,
    rows: Annotated[int, Query(ge=1, le=20_000, description="most rows")] = 1000,
    if_none_match: Tags = "",
) -> Response:
    """Rows of one table of the plan, with the meaning and unit of each column."""
    made, tables = _made(desk)
    found = tables.get(table)
    if found is None:
        raise HTTPException(
            404, f"{table[:40]}: the plan has no such table. Its tables are {', '.join(tables)}."
        )

    def data() -> dict[str, Any]:
        told = table_data(found)
        in_all = len(told["rows"])
        told["rows"] = told["rows"][first - 1 : first - 1 + rows]
        return told | {"rows_in_all": in_all}

    return _tagged(_tag(made, f"{table} {first} {rows}"), if_none_match, data)


def _made(desk: Desk) -> tuple[Plan, dict[str, Table]]:
    job = plan_job(desk, PATIENCE_SECONDS)
    if not job.there():
        raise NoPlanError(NO_PLAN_YET)
    made: Plan = job.made

    def tables() -> dict[str, Table]:
        works, _ = desk.works_now()
        return {one.name: one for one in plan_tables(made, works)}

    return made, desk.paper("plan tables", tables, (made.inputs_hash, made.today, made.version))


def _tag(made: Plan, part: str) -> str:
    mark = f"{made.inputs_hash} {made.today} {made.version} {part}"
    return f'"{sha256(mark.encode()).hexdigest()[:32]}"'


def _tagged(tag: str, known: str, data: Callable[[], dict[str, Any]]) -> Response:
    """The answer with its tag, or 304 when the asker has it already (RFC 9110, 13.1.2)."""
    headers = {"etag": tag, "cache-control": "private, no-cache"}
    given = {one.strip().removeprefix("W/") for one in known.split(",")}
    if "*" in given or tag in given:
        return Response(status_code=304, headers=headers)
    body = json.dumps({"status": "done", "data": data()}, ensure_ascii=False)
    return Response(body, media_type="application/json", headers=headers)
