"""The forms of the planner's sheets: filters, call-ins, issues, robbing."""

from collections import Counter
from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode

from starlette.requests import Request

from pacewright.control.next_move import MOVE, Move
from pacewright.events.scan import code_of
from pacewright.office.access import Person
from pacewright.office.desk import Desk
from pacewright.office.desk_booking import new_id
from pacewright.office.rights import Right
from pacewright.office.robbing_waits import Waiting, waiting, waiting_for
from pacewright.office.sheets.programme_move import asked_move
from pacewright.office.sheets.shortages_allot import BETWEEN, MOST_AT_ONCE, allotment_paper
from pacewright.office.sheets.shortages_rob_sheet import rob_state
from pacewright.office.sheets.today_paper import day_paper
from pacewright.plans.allotment import UnitAllotted
from pacewright.plans.programme import Zone
from pacewright.web.who import desk_of

MOST_MOVES = 24
"""Moves that get a button; all stand in the table."""

Forms = Callable[[Request, Person], tuple[str, dict[str, Any]] | None]


def _programme(request: Request, person: Person) -> tuple[str, dict[str, Any]]:
    desk, asked = desk_of(request), request.query_params
    choices = (
        ("zone", [("all", "all"), *((one.value, one.value) for one in Zone)]),
        ("type", [("", "all"), *((one.type_id, one.name) for one in desk.works.vehicle_types)]),
        ("depot", [("", "all"), *((one.depot_id, one.name) for one in desk.works.depots)]),
    )
    narrowed = asked.get("week") or asked.get("vehicle")
    values = {
        "choices": [
            (name, options, asked.get(name, ("all" if narrowed else "firm") * (name == "zone")))
            for name, options in choices
        ],
        "week": asked.get("week", ""),
        "vehicle": asked.get("vehicle", ""),
    }
    return "programme_page.html.j2", values


def _move(request: Request, person: Person) -> tuple[str, dict[str, Any]] | None:
    desk = desk_of(request)
    found = asked_move(desk, {**request.query_params, **request.path_params})
    if found is None:
        return None
    values = {
        "found": found,
        "may_agree": person.may(Right.BOOK_GATE) and not desk.read_only and not found.refused,
        "event_id": new_id(),
    }
    return "move.html.j2", values


def _shortages(request: Request, person: Person) -> tuple[str, dict[str, Any]]:
    return "shortages.html.j2", {}


def _allot(request: Request, person: Person) -> tuple[str, dict[str, Any]] | None:
    desk = desk_of(request)
    if desk.read_only or not person.may(Right.BOOK_UNITS):
        return None
    by_vehicle: dict[str, list[tuple[str, UnitAllotted]]] = {}
    made = allotment_paper(desk, day_paper(desk))
    for one in made.units[:MOST_AT_ONCE] if made else ():
        by_vehicle.setdefault(one.to, []).append((f"{one.unit}{BETWEEN}{one.to}", one))
    reasons = Counter(one.reason for rows in by_vehicle.values() for _, one in rows)
    usual = max(reasons, key=reasons.__getitem__, default="")
    return "allot.html.j2", {"to_issue": by_vehicle, "usual": usual, "event_id": new_id()}


def _rob(request: Request, person: Person) -> tuple[str, dict[str, Any]] | None:
    desk = desk_of(request)
    state = rob_state(desk, day_paper(desk), dict(request.query_params))
    priced = state.cost is not None and not state.cost.refused
    may = person.may(Right.APPROVE_ROBBING) and not desk.read_only
    waits = waiting_for(desk, state.case.unit) if state.case.unit else None
    this = waits is not None and (waits.off, waits.to) == (state.case.off, state.case.to)
    mine = waits is not None and waits.asked.approved_by == person.name
    values = {
        "case": state.case,
        "pending": state.pending,
        "waits": waits,
        "this": this,
        "mine": mine,
        "may": may,
        "may_ask": may and priced and (waits is None or waits.over),
        "may_agree": may and priced and this and not mine and waits is not None and not waits.over,
        "may_approve": may and priced,
        "event_id": new_id(),
    }
    return "rob.html.j2", values


def _today(request: Request, person: Person) -> tuple[str, dict[str, Any]] | None:
    desk = desk_of(request)
    waits: list[Waiting] = []
    if person.may(Right.APPROVE_ROBBING):
        waits = [one for one in waiting(desk) if one.asked.approved_by != person.name]
    moves = _moves(desk) if person.may(Right.BOOK_WORK) and not desk.read_only else []
    values = {"moves": moves, "waits": [one for one in waits if not one.over]}
    return ("today_page.html.j2", values) if moves or waits else None


def _moves(desk: Desk) -> list[tuple[Move, str]]:
    """Moves that can be made now, each with what its form is filled in with."""
    paper = day_paper(desk)
    codes = {str(piece): code_of(piece) for piece in paper.standing.pieces}
    moves = [
        (one, urlencode({"piece": codes[one.piece], "stage_id": one.to_stage_id,
                         "position": one.position, "then": "/today"}))
        for one in paper.today.found.moves
        if one.what == MOVE and one.piece in codes
    ]  # fmt: skip
    return moves[:MOST_MOVES]


PLANNER_FORMS: dict[str, Forms] = {
    "today": _today,
    "programme": _programme,
    "move": _move,
    "shortages": _shortages,
    "allot": _allot,
    "rob": _rob,
}
"""Key of a sheet -> what makes its forms."""
