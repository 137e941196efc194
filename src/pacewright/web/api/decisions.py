"""Decisions over REST: what planner, stores and inspector do on pages, by the same functions."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Depends
from pydantic import BaseModel, ConfigDict, Field
from starlette.requests import Request
from starlette.responses import Response

from pacewright.office.access import Person
from pacewright.office.booking import NotAnEventError
from pacewright.office.desk import Desk
from pacewright.office.desk_booking import Answer, Entry, Sender, hand_in, new_id
from pacewright.office.desk_inspection import Filled, book_findings
from pacewright.office.desk_learning import decide_at_desk, seen_figures
from pacewright.office.rights import Right
from pacewright.office.robbing_waits import agree, ask, decline
from pacewright.office.sheets.inspection import inspected
from pacewright.office.sheets.programme_agree import call_entry
from pacewright.office.sheets.shortages_allot import BETWEEN, MOST_AT_ONCE, issue_entries
from pacewright.office.sheets.shortages_rob_book import robbed_entry
from pacewright.web.api.answered import booked, tried
from pacewright.web.api.once import Key, once
from pacewright.web.api.shapes import Booked, NotBooked
from pacewright.web.who import OpenDesk, having

router = APIRouter(
    tags=["decisions"],
    responses={
        status: {"model": NotBooked, "description": meaning}
        for status, meaning in (
            (403, "a right is missing, or another is named"),
            (409, "it cannot be done as things stand"),
            (422, "something sent is wrong; nothing was booked"),
            (503, "the record cannot be written now; send it again"),
        )
    },
)

Caller = Annotated[Person, Depends(having(Right.BOOK_GATE))]
Stores = Annotated[Person, Depends(having(Right.BOOK_UNITS))]
Approver = Annotated[Person, Depends(having(Right.APPROVE_ROBBING))]
Inspector = Annotated[Person, Depends(having(Right.INSPECT))]
Decider = Annotated[Person, Depends(having(Right.FACTORS))]

Code = Annotated[str, Field(max_length=90, description="as on its label, motor:M-7, vehicle:101")]
Reason = Annotated[str, Field(max_length=400, description="why")]


class _Sent(BaseModel):
    model_config = ConfigDict(extra="forbid")


class CallIn(_Sent):
    """A day agreed with a depot."""

    day: Annotated[date, Field(description="day it comes in")]
    reason: Annotated[
        Reason, Field(description="why; needed where a caution stands (GET of the same address)")
    ] = ""


class IssueOne(_Sent):
    """One unit that is given out."""

    unit: Code
    to: Code


class IssueIn(_Sent):
    """Units given out as the allotment proposes now."""

    issue: Annotated[list[IssueOne], Field(min_length=1, max_length=MOST_AT_ONCE)]


class RobIn(_Sent):
    """A robbing on two approvals, one after the other or both at once."""

    unit: Code
    to: Code
    act: Annotated[
        Literal["ask", "agree", "decline", "both"],
        Field(
            description="approve as the first and let it wait; agree as the second to what waits; "
            "refuse or withdraw what waits; or both at once"
        ),
    ]
    reason: Annotated[Reason, Field(description="why; needed unless one agrees")] = ""
    second_approval: Annotated[
        str, Field(max_length=120, description="both at once: account of another person")
    ] = ""
    second_password: Annotated[
        str, Field(max_length=1000, description="both at once: of that person")
    ] = ""


class FindingIn(_Sent):
    """What was found of one item of the standard form."""

    piece: Code
    item_id: Annotated[str, Field(max_length=40)]
    verdict: Annotated[str, Field(max_length=20, description="use, repair, replace or scrap")]
    measurement: Annotated[
        float | None, Field(allow_inf_nan=False, description="in the item's unit; null: by eye")
    ] = None
    photo: Annotated[
        str,
        Field(pattern="^([0-9a-f]{64})?$", description="SHA-256 told by POST /api/photos"),
    ] = ""


class InspectionIn(_Sent):
    """What was found at strip inspection, all kept or none."""

    findings: Annotated[list[FindingIn], Field(min_length=1, max_length=500)]
    at: Annotated[str, Field(max_length=40, description="works clock; blank: now")] = ""


class DecisionIn(_Sent):
    """One proposal accepted or rejected, with the figures it had when it was looked at."""

    proposal_id: Annotated[str, Field(max_length=200)]
    decision: Literal["accept", "reject"]
    old: Annotated[float | None, Field(allow_inf_nan=False, description="as in its row")]
    proposed: Annotated[float, Field(allow_inf_nan=False, description="as in its row")]
    sample: Annotated[float, Field(allow_inf_nan=False, description="as in its row")]


class DecisionsIn(_Sent):
    """Proposals decided together."""

    decisions: Annotated[list[DecisionIn], Field(min_length=1, max_length=200)]
    reason: Annotated[Reason, Field(description="why; needed for a rejection")] = ""


def _sender(request: Request, person: Person, second_password: str = "") -> Sender:
    address = request.client.host if request.client else ""
    return Sender(person, "rest", address, second_password)


def _written(
    request: Request, person: Person, key: str, sent: _Sent, act: Callable[[], Sequence[Answer]]
) -> Response:
    def whole() -> Response:
        return tried(lambda: booked(act()))

    return once(request, person, key, sent.model_dump_json(), whole)


def _together(desk: Desk, entries: Sequence[Entry]) -> Sequence[Answer]:
    return hand_in(desk, entries, together=True)


def _refuse_elsewhere(desk: Desk, vehicle_id: str, items: Sequence[Filled]) -> None:
    form = {(line.piece, line.item_id) for line in inspected(desk, vehicle_id).lines}
    faults = [
        f"{one.item_id} on {one.piece}: not on the standard form of vehicle {vehicle_id}. Its "
        "items stand in the answer to GET. Book anything else as an event 'found'."
        for one in items
        if (one.piece, one.item_id) not in form
    ]
    if faults:
        raise NotAnEventError(faults)


@router.post(
    "/api/programme/{vehicle_id:id}", response_model=Booked, summary="Agree to a day of call-in"
)
def call_in(
    request: Request, desk: OpenDesk, person: Caller, vehicle_id: str, sent: CallIn, key: Key = ""
) -> Response:
    """Book the call of a vehicle for a day, judged as it stands now; GET tells the consequence."""
    asked = {"vehicle_id": vehicle_id, "day": sent.day.isoformat()}
    cells = {"event_id": key or new_id(), "reference": sent.reason}
    return _written(
        request,
        person,
        key,
        sent,
        lambda: _together(desk, [call_entry(desk, _sender(request, person), asked, cells)]),
    )


@router.post("/api/shortages/allot", response_model=Booked, summary="Issue what is proposed")
def issue(
    request: Request, desk: OpenDesk, person: Stores, sent: IssueIn, key: Key = ""
) -> Response:
    """Issue units that the allotment proposes now (GET), all of them or none."""
    chosen = [f"{one.unit}{BETWEEN}{one.to}" for one in sent.issue]
    sender = _sender(request, person)
    return _written(
        request,
        person,
        key,
        sent,
        lambda: _together(desk, issue_entries(desk, sender, chosen, key or new_id())),
    )


@router.post("/api/shortages/rob", response_model=Booked, summary="Rob on two approvals")
def rob(request: Request, desk: OpenDesk, person: Approver, sent: RobIn, key: Key = "") -> Response:
    """Approve a robbing whose price was asked for (GET with unit and to), or decline it."""
    cells = sent.model_dump(exclude={"second_password", "act"}) | {"event_id": key or new_id()}
    sender = _sender(request, person, sent.second_password)
    act = {"ask": ask, "agree": agree, "decline": decline}.get(sent.act, _both)
    return _written(request, person, key, sent, lambda: act(desk, sender, cells))


def _both(desk: Desk, sender: Sender, cells: Mapping[str, str]) -> Sequence[Answer]:
    return _together(desk, [robbed_entry(desk, sender, cells)])


@router.post(
    "/api/inspection/{vehicle_id:id}", response_model=Booked, summary="Write down an inspection"
)
def inspect(
    request: Request,
    desk: OpenDesk,
    person: Inspector,
    vehicle_id: str,
    sent: InspectionIn,
    key: Key = "",
) -> Response:
    """Book verdicts and measurements of the standard form (GET), all of them or none.

    The limit a measurement is held against is taken from the tables.
    """
    items = tuple(
        Filled(
            one.piece,
            one.item_id,
            one.verdict,
            "" if one.measurement is None else str(one.measurement),
            one.photo,
        )
        for one in sent.findings
    )
    sender = _sender(request, person)

    def act() -> Sequence[Answer]:
        _refuse_elsewhere(desk, vehicle_id, items)
        return book_findings(desk, sender, items, sent.at, key or new_id())

    return _written(request, person, key, sent, act)


@router.post("/api/learning", response_model=Booked, summary="Accept or reject proposed figures")
def decide(
    request: Request, desk: OpenDesk, person: Decider, sent: DecisionsIn, key: Key = ""
) -> Response:
    """Write accepted figures into the tables and every decision into the record, together.

    A figure that is not the one proposed any more is refused.
    """
    chosen: dict[str, str] = {one.proposal_id: one.decision for one in sent.decisions}
    seen: dict[str, Any] = {
        one.proposal_id: seen_figures(one.old, one.proposed, one.sample) for one in sent.decisions
    }
    return _written(
        request,
        person,
        key,
        sent,
        lambda: decide_at_desk(desk, person, chosen, seen, sent.reason),
    )
