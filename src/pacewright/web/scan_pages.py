"""A scanned or typed code opens the page of what it stands for; a piece and a stage, the move."""

from collections.abc import Iterator
from datetime import date
from urllib.parse import urlencode

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from pacewright.events.scan import parts_of_code
from pacewright.events.standing import Standing
from pacewright.events.things import WHOLE, Piece, Unit
from pacewright.office.desk import Desk
from pacewright.office.sheets.today_paper import day_paper
from pacewright.office.sheets.vehicles_forecast import forecast_of
from pacewright.reports.address import step, value
from pacewright.reports.papers.flow_sheet import FLOW
from pacewright.web.frame import environment
from pacewright.web.texts import TEXTS
from pacewright.web.who import OpenDesk, Seeing
from pacewright.works import Works

router = APIRouter(include_in_schema=False)

STAGE, EVENT = "stage", "event"
"""Sorts of code that stand for no vehicle, piece or unit."""


@router.get("/scan")
def scan(desk: OpenDesk, person: Seeing, code: str = "") -> Response:
    """Lead on to the page of a code."""
    said = code.strip()[:120]
    to = move_of(said) or page_of(desk, said)
    if to is None:
        raise HTTPException(
            404,
            f"{said[:60] or 'nothing'}: neither the record nor the tables know it. Wanted is a "
            "code as vehicle:1043, body:B-11, motor:M-7, stage:paint, event:12 or "
            "flow:2026-03-02, or a vehicle number. Scan the label again, or type it.",
        )
    return RedirectResponse(to, 303)


def move_of(said: str) -> str | None:
    """The form that books a move, for a piece and a stage scanned one after the other."""
    codes = [parts_of_code(one) for one in said.split()]
    if len(codes) != 2 or None in codes:
        return None
    piece, stage = codes
    assert piece is not None and stage is not None
    if stage[0] != STAGE or piece[0] in (STAGE, EVENT):
        return None
    return "/book/moved?" + urlencode({"piece": ":".join(piece), "stage_id": stage[1]}, safe=":")


def page_of(desk: Desk, said: str) -> str | None:
    """The address of the page of a code; None: nothing is known of it."""
    parts = parts_of_code(said)
    with desk.standing() as standing:
        if parts is None:
            return next(_bare(desk.works, standing, said), None)
        if parts[0] == STAGE:
            return _shop_page(desk.works, parts[1])
        if parts[0] == EVENT:
            last = desk.ledger.head().place
            known = parts[1].isascii() and parts[1].isdigit() and 1 <= int(parts[1][:12]) <= last
            return f"/record/{int(parts[1])}" if known else None
        return _thing_page(desk.works, standing, parts) or _flow_page(parts)


def _bare(works: Works, standing: Standing, said: str) -> Iterator[str]:
    """Pages that a word without its sort may mean, the likeliest first."""
    if _is_vehicle(works, standing, said):
        yield _vehicle_page(said)
    if any(one.unit_kind_id == said for one in works.unit_kinds):
        yield f"/parts/{step(said)}"
    if any(one.shop_id == said for one in works.shops):
        yield f"/shops/{step(said)}"
    shop_page = _shop_page(works, said)
    if shop_page:
        yield shop_page
    things: list[Piece | Unit] = [*standing.pieces, *standing.units]
    alike = [one for one in things if one.serial == said]
    if len(alike) == 1:
        yield _life_page(alike[0])


def _thing_page(works: Works, standing: Standing, parts: tuple[str, str]) -> str | None:
    sort, serial = parts
    if sort == WHOLE:
        return _vehicle_page(serial) if _is_vehicle(works, standing, serial) else None
    piece = standing.pieces.get(Piece(sort, serial))
    if piece is not None:
        return _vehicle_page(piece.vehicle_id) if piece.vehicle_id else _life_page(piece.piece)
    return _life_page(Unit(sort, serial)) if Unit(sort, serial) in standing.units else None


def _flow_page(parts: tuple[str, str]) -> str | None:
    """The flow of the day whose code stands on a printed sheet."""
    sort, day = parts
    try:
        return f"/flow?day={date.fromisoformat(day)}" if sort == FLOW else None
    except ValueError:
        return None


def _is_vehicle(works: Works, standing: Standing, number: str) -> bool:
    return number in standing.vehicles or any(one.vehicle_id == number for one in works.vehicles)


def _vehicle_page(number: str) -> str:
    return f"/vehicles/{step(number)}"


def _shop_page(works: Works, stage_id: str) -> str | None:
    shops = (one.shop_id for one in works.stages if one.stage_id == stage_id)
    return next((f"/shops/{step(one)}" for one in shops), None)


def _life_page(thing: Piece | Unit) -> str:
    return f"/serial?code={value(':'.join(thing))}"


@router.get("/forecast/wait")
def forecast_wait(
    request: Request, desk: OpenDesk, person: Seeing, then: str = "/vehicles"
) -> Response:
    """The line that tells whether the forecast asked for is there yet."""
    local = then if then.startswith("/") and not then.startswith(("//", "/\\")) else "/vehicles"
    values = {
        "waits": forecast_of(desk, day_paper(desk)).being_made,
        "then": local,
        "say": TEXTS["en"],
    }
    html = environment().get_template("forecast_wait.html.j2").render(**values)
    return Response(html, media_type="text/html", headers={"cache-control": "no-store"})
