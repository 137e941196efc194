"""What the planner agreed with a depot, as the event that is booked."""

from collections.abc import Mapping

from pacewright.base.faults import CallError
from pacewright.ledger.entry import Entry
from pacewright.office.desk import Desk
from pacewright.office.desk_booking import Sender, typed_entry
from pacewright.office.sheets.programme_move import asked_move


def call_entry(
    desk: Desk, sender: Sender, asked: Mapping[str, str], cells: Mapping[str, str]
) -> Entry:
    """The entry ``called`` for the vehicle and day asked, judged once more as it stands now.

    Parameters
    ----------
    asked : ``vehicle_id`` and ``day``.
    cells : ``event_id`` and ``reference`` of the form.

    Raises
    ------
    CallError : it may not be agreed, or a caution stands and no reason is given.
    NotFoundError, NoPlanError, ValueError : as ``asked_move``.
    """
    found = asked_move(desk, asked)
    if found is None:
        raise CallError("The plan of today is being made. Agree when the page shows it.")
    if found.refused:
        raise CallError("\n".join(found.refused))
    reason = cells.get("reference", "").strip()
    if found.cautions and not reason:
        raise CallError(
            f"vehicle {found.vehicle_id}: no reason given. Where a caution stands, whoever agrees "
            f"says why. Fill it in. {' '.join(found.cautions)}"
        )
    fields = {
        "vehicle_id": found.vehicle_id,
        "type_id": found.window.type_id,
        "depot_id": found.window.depot_id,
        "due_in": found.day.isoformat(),
    }
    return typed_entry(desk, sender, "called", fields, cells.get("event_id", "")[:80], reason)
