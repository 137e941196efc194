"""What can be booked for a vehicle or a unit from its page, and the papers that go with it."""

from collections.abc import Iterable
from urllib.parse import urlencode

from pacewright.events.registry import KINDS
from pacewright.events.scan import code_of
from pacewright.events.standing import Phase, PieceStanding, UnitStanding, VehicleStanding
from pacewright.events.things import Condition
from pacewright.office.access import Person
from pacewright.office.papers import has_sort
from pacewright.office.signing import kinds_for
from pacewright.reports.address import step, value

Link = tuple[str, str]
"""Words and address."""

_VEHICLE = {
    Phase.CALLED: ("arrived", "called_off", "promised"),
    Phase.AT_GATE: ("admitted", "turned_back", "odometer_read", "promised"),
    Phase.IN_SERVICE: ("called", "arrived", "odometer_read"),
}
_WHOLE = ("moved", "stage_finished", "held", "freed", "removed", "fitted", "stripped", "parted",
          "tested", "failed", "rectified", "promised", "odometer_read", "overridden",
          "released")  # fmt: skip
_IN_PIECES = ("moved", "stage_finished", "held", "freed", "removed", "fitted", "married", "failed",
              "rectified", "promised", "overridden")  # fmt: skip
"""Kinds of event booked for a vehicle from its page, by how far it is."""

_UNIT = {
    Condition.SERVICEABLE: ("issued", "fitted", "sent", "received", "unit_found", "quarantined",
                            "age_told"),
    Condition.UNSERVICEABLE: ("sent", "received", "unit_found", "reconditioned", "scrapped",
                              "quarantined", "age_told"),
    Condition.QUARANTINE: ("cleared", "received"),
    Condition.SCRAPPED: (),
}  # fmt: skip
_FITTED = ("removed", "missed", "robbed", "age_told")
"""Kinds of event booked for a unit from its page, by its condition, or while it is on something."""

_FOR_PIECE = {"removed": "off", "fitted": "onto"}
"""Kind -> its field for what the unit is on, where that is no field ``piece``."""

_PAPERS = (
    ("vehicle-card", "Vehicle card"),
    ("inspection-form", "Strip inspection form"),
    ("job-cards", "Job cards"),
    ("kit-list", "Kit list"),
    ("docket", "Movement docket"),
)


def vehicle_bookings(
    person: Person, known: VehicleStanding, stands_at: PieceStanding | None
) -> list[Link]:
    """Forms of events the person may book for a vehicle, filled in with it.

    Parameters
    ----------
    stands_at : the vehicle while whole, the assembly with its number while in pieces; None: it is
        not inside.
    """
    kinds = _VEHICLE.get(known.phase, ())
    if known.phase is Phase.INSIDE:
        kinds = _IN_PIECES if known.parted else _WHOLE
    code = code_of(stands_at.piece) if stands_at else f"vehicle:{known.vehicle_id}"
    then = f"/vehicles/{step(known.vehicle_id)}"
    stage = {"stage_id": stands_at.stage_id} if stands_at and stands_at.stage_id else {}
    found = []
    for kind in _allowed(person, kinds):
        fields = KINDS[kind].__dataclass_fields__
        given = {_FOR_PIECE.get(kind, "piece"): code}
        if "vehicle_id" in fields:
            given = {"vehicle_id": known.vehicle_id}
        if "stage_id" in fields and kind != "moved":
            given |= stage
        found.append(_form(kind, given, then))
    return found


def unit_bookings(person: Person, known: UnitStanding) -> list[Link]:
    """Forms of events the person may book for a unit, filled in with it."""
    kinds = _FITTED if known.onto is not None else _UNIT[known.condition]
    code = code_of(known.unit)
    then = f"/serial?code={value(code)}"
    found = []
    for kind in _allowed(person, kinds):
        given = {"unit": code}
        if known.onto is not None and "off" in KINDS[kind].__dataclass_fields__:
            given["off"] = code_of(known.onto)
        if known.issued_to is not None and kind == "fitted":
            given["onto"] = code_of(known.issued_to)
        found.append(_form(kind, given, then))
    return found


def _allowed(person: Person, kinds: Iterable[str]) -> list[str]:
    may = kinds_for(person)
    return [kind for kind in kinds if kind in may]


def _form(kind: str, given: dict[str, str], then: str) -> Link:
    return kind.replace("_", " ").capitalize(), f"/book/{kind}?" + urlencode(
        given | {"then": then}, safe=":/"
    )  # fmt: skip


def vehicle_papers(vehicle_id: str, stands_at: PieceStanding) -> list[Link]:
    """Papers that go with a vehicle inside; the docket with what has its number now."""
    asked = {"docket": {"thing": code_of(stands_at.piece)}}
    return [
        (
            name,
            f"/papers/{sort}.pdf?" + urlencode(asked.get(sort, {"vehicle": vehicle_id}), safe=":"),
        )
        for sort, name in _PAPERS
        if has_sort(sort)
    ]


def unit_papers(code: str) -> list[Link]:
    """Papers that go with a unit."""
    found = (
        ("unit-labels", "Label", {"unit": code}),
        ("docket", "Movement docket", {"thing": code}),
    )
    return [
        (name, f"/papers/{sort}.pdf?" + urlencode(asked, safe=":"))
        for sort, name, asked in found
        if has_sort(sort)
    ]
