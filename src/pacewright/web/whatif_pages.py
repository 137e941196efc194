"""What if: a change is handed in, stopped, kept or dropped; pages and REST."""

from collections.abc import Mapping
from typing import Annotated

from fastapi import APIRouter, Depends
from pydantic import BaseModel, Field
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from pacewright.base.faults import CallError, WorksFaultyError
from pacewright.office.access import Person
from pacewright.office.errors import NotFoundError
from pacewright.office.rights import Right
from pacewright.office.sheets.asked import whole_asked
from pacewright.office.sheets.catalogue import SHEETS
from pacewright.office.sheets.flow_days import shown
from pacewright.office.whatif_desk import trials_of
from pacewright.office.whatif_text import change_text
from pacewright.office.whatif_trial import (
    LEAST_REPLICATIONS,
    LEAST_WEEKS,
    MOST_REPLICATIONS,
    MOST_TEXT,
    MOST_WEEKS,
    USUAL_REPLICATIONS,
    USUAL_WEEKS,
    Trial,
    WhatIfAsked,
    faults_of,
)
from pacewright.web.api.answered import done, tried
from pacewright.web.api.once import Key, once
from pacewright.web.booking_pages import Typed
from pacewright.web.frame import Said, environment
from pacewright.web.sheet_pages import show
from pacewright.web.who import OpenDesk, Seeing, having

router = APIRouter()
LOAD_ANEW = {"HX-Refresh": "true"}
"""By this htmx loads the whole page anew (htmx reference, response headers)."""

Planning = Annotated[Person, Depends(having(Right.PROMISE))]


class WhatIfIn(BaseModel):
    """A what-if run as it is asked for over REST."""

    name: str = Field(description="what it is called", min_length=1, max_length=80)
    change: str = Field(description="text of a change file (TOML)", max_length=MOST_TEXT)
    replications: int = Field(USUAL_REPLICATIONS, ge=LEAST_REPLICATIONS, le=MOST_REPLICATIONS)
    weeks: int = Field(USUAL_WEEKS, ge=LEAST_WEEKS, le=MOST_WEEKS)
    start: str = Field("now", description="now, steady or empty")


@router.post("/whatif", include_in_schema=False)
def ask(request: Request, desk: OpenDesk, person: Planning, cells: Typed) -> Response:
    """Begin a run, and lead to its page."""
    try:
        works, _ = desk.works_now()
        name = cells.get("name", "").strip()
        trial = trials_of(desk).ask(
            _asked(cells, change_text(works, cells, name)), person.name, person.shown
        )
    except (CallError, WorksFaultyError) as error:
        faults = faults_of(error)
    except ValueError as error:
        faults = [str(error)]
    else:
        return RedirectResponse(f"/whatif/{trial.number}", 303)
    request.state.typed = cells
    return show(request, SHEETS["whatif"], person, Said("faulty", tuple(faults)), 409)


def _asked(cells: Mapping[str, str], text: str) -> WhatIfAsked:
    return WhatIfAsked(
        name=cells.get("name", "").strip(),
        text=text,
        replications=whole_asked(
            cells, "replications", USUAL_REPLICATIONS, LEAST_REPLICATIONS, MOST_REPLICATIONS
        ),
        weeks=whole_asked(cells, "weeks", USUAL_WEEKS, LEAST_WEEKS, MOST_WEEKS),
        start=cells.get("start", "now"),
    )


@router.post("/whatif/{run}/stop", include_in_schema=False)
def stop(desk: OpenDesk, person: Planning, run: int) -> Response:
    """Stop a run of one's own."""
    try:
        trials_of(desk).stop(run, person.name)
    except NotFoundError as error:
        raise HTTPException(404, str(error)) from None
    return RedirectResponse(f"/whatif/{run}", 303)


@router.post("/whatif/{run}/drop", include_in_schema=False)
def drop(desk: OpenDesk, person: Planning, run: int) -> Response:
    """Forget a run of one's own."""
    try:
        trials_of(desk).drop(run, person.name)
    except NotFoundError as error:
        raise HTTPException(404, str(error)) from None
    return RedirectResponse("/whatif", 303)


@router.get("/whatif/{run}/going", include_in_schema=False)
def going(desk: OpenDesk, person: Planning, run: int) -> Response:
    """How far a run is, for the page that waits for it; over, the page is loaded anew."""
    try:
        trial = trials_of(desk).one(run)
    except NotFoundError as error:
        raise HTTPException(404, str(error)) from None
    if trial.state.is_over:
        return Response(headers=LOAD_ANEW)
    made = environment().get_template("whatif_going.html.j2").module
    return HTMLResponse(str(made.progress(trial)))  # type: ignore[attr-defined]


@router.get("/flow/ready", include_in_schema=False)
def ready(request: Request, desk: OpenDesk, person: Seeing) -> Response:
    """Whether a forecast is there, for the page that waits for it; there, it is loaded anew."""
    try:
        making = shown(desk, dict(request.query_params), 0.0).making
    except (NotFoundError, ValueError) as error:
        raise HTTPException(422, str(error)) from None
    return Response(status_code=204) if making else Response(headers=LOAD_ANEW)


@router.get("/whatif/{run}/change.toml", include_in_schema=False)
def change_file(desk: OpenDesk, person: Planning, run: int) -> Response:
    """The change of a run as a file, for version control and ``pacewright compare``."""
    try:
        trial = trials_of(desk).one(run)
    except NotFoundError as error:
        raise HTTPException(404, str(error)) from None
    headers = {"content-disposition": f'attachment; filename="what-if-{run}.toml"'}
    return Response(trial.asked.text, media_type="application/toml", headers=headers)


@router.post(
    "/api/whatif",
    status_code=202,
    summary="Ask what would come of a change",
    tags=["what if"],
    responses={409: {"description": "the change is faulty, or a run of yours is not over"}},
)
def ask_by_program(
    request: Request, desk: OpenDesk, person: Planning, asked: WhatIfIn, key: Key = ""
) -> Response:
    """Begin a run in the background; ask for it again at the address of the answer."""
    whole = WhatIfAsked(asked.name, asked.change, asked.replications, asked.weeks, asked.start)

    def act() -> Response:
        return done(_told(trials_of(desk).ask(whole, person.name, person.shown)), 202)

    return once(request, person, key, asked.model_dump_json(), lambda: tried(act))


@router.post("/api/whatif/{run}/stop", summary="Stop a run", tags=["what if"])
def stop_by_program(desk: OpenDesk, person: Planning, run: int) -> Response:
    """Stop a run of one's own; what it has run is lost. One that is over stays as it is."""

    def act() -> Response:
        trials_of(desk).stop(run, person.name)
        return done(_told(trials_of(desk).one(run)))

    return tried(act)


@router.delete("/api/whatif/{run}", summary="Drop a run", tags=["what if"])
def drop_by_program(desk: OpenDesk, person: Planning, run: int) -> Response:
    """Forget a run of one's own; one that is not over is stopped."""

    def act() -> Response:
        trial = trials_of(desk).one(run)
        trials_of(desk).drop(run, person.name)
        return done(_told(trial))

    return tried(act)


@router.get(
    "/api/whatif/{run}/change.toml",
    summary="The change of a run",
    tags=["what if"],
    response_class=Response,
    responses={200: {"content": {"application/toml": {}}, "description": "a change file"}},
)
def change_for_program(desk: OpenDesk, person: Planning, run: int) -> Response:
    """The change as a file, to be kept in version control and run by ``pacewright compare``."""
    return change_file(desk, person, run)


def _told(trial: Trial) -> dict[str, object]:
    return {
        "run": trial.number,
        "name": trial.asked.name,
        "state": trial.state.value,
        "differs": list(trial.differs),
        "address": f"/api/whatif/{trial.number}",
    }
