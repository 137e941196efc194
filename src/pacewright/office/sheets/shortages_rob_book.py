"""A robbing as it is booked, judged once more as everything stands then."""

from collections.abc import Mapping, Sequence

from pacewright.base.faults import CallError
from pacewright.control.door import door_of
from pacewright.control.robbing import refused_for
from pacewright.events.units import Robbed
from pacewright.ledger.entry import Entry
from pacewright.office.desk import Desk
from pacewright.office.desk_booking import Sender, typed_entry
from pacewright.office.sheets.shortages_rob import (
    NOBODY,
    RobCase,
    as_waits,
    day_for_robbing,
    event_of,
    rob_case,
)
from pacewright.office.sheets.shortages_rob_price import cost_job, price_of


def robbed_entry(desk: Desk, sender: Sender, cells: Mapping[str, str]) -> Entry:
    """The entry ``robbed`` on two approvals, judged once more as everything stands now.

    The first approval is the sender's; the second is given by another person with the own
    password, in the same form.

    Raises
    ------
    CallError : the price has not been shown, a field lacks, or it may not be robbed.
    NotFoundError : the record does not know unit or vehicle.
    """
    second = cells.get("second_approval", "").strip().lower()
    reason = cells.get("reason", "").strip()
    faults = []
    if not reason:
        faults.append("reason: not given. A robbing is booked with its reason. Fill it in.")
    if not second:
        faults.append("second approval: nobody named. Two persons approve. Let another sign too.")
    case = priced_case(desk, cells, faults, (sender.person.name, second))
    fields = {
        "unit": case.unit,
        "off": case.off,
        "to": case.to,
        "second_approval": second,
        "reason": reason,
    }
    return typed_entry(desk, sender, "robbed", fields, cells.get("event_id", "")[:80])


def priced_case(
    desk: Desk, cells: Mapping[str, str], faults: Sequence[str], names: tuple[str, str] = NOBODY
) -> RobCase:
    """The case a form names, its price seen and nothing against it as everything stands now.

    Parameters
    ----------
    faults : what else is wrong with the form; all is told together.
    names : of those who approve.

    Raises
    ------
    As ``robbed_entry``.
    """
    asked = as_waits(desk, cells)
    paper = day_for_robbing(desk, asked)
    case = rob_case(paper, asked)
    told = list(faults)
    if price_of(cost_job(desk, paper, case, 0.0)) is None:
        told.insert(0, "The price of this robbing is not there yet. Look at it before you approve.")
    told = told or list(refused_now(desk, event_of(case, desk.now(), names)))
    if told:
        raise CallError("\n".join(told))
    return case


def refused_now(desk: Desk, event: Robbed) -> tuple[str, ...]:
    """Every rule a robbing would break as everything stands now, a sentence each."""
    from pacewright.control.promises import Moment

    works, _ = desk.works_now()
    with desk.standing() as standing:
        at = Moment(works, standing, desk.now())
        return tuple(str(one) for one in refused_for(at, event, door_of(works)))
