"""A second approval given at an own screen: what it answers, and until when it may be given."""

from collections.abc import Iterator
from datetime import datetime, time

from pacewright.events.robbing_rules import LONGEST_WAIT
from pacewright.events.scan import code_of
from pacewright.events.standing import Standing
from pacewright.events.units import Robbed
from pacewright.office.access import Access, Person
from pacewright.office.rights import Right, Role, may
from pacewright.works import Works

_END_OF_DAY = time(23, 59)


def waits_until(works: Works, at: datetime) -> datetime:
    """Until when a second approval may be given: the end of the next working day.

    Parameters
    ----------
    at : when the first approved. A longer shutdown lets it wait no longer than the record takes.
    """
    try:
        day = next(one for one in works.calendar.days if one > at.date())
    except StopIteration:
        return at + LONGEST_WAIT
    return min(datetime.combine(day, _END_OF_DAY), at + LONGEST_WAIT)


def agrees(person: Person, event: Robbed) -> bool:
    """True when the person books a robbing as its second, on the first approval of another."""
    return event.second_approval == person.name != event.approved_by


def faults_of_agreement(
    access: Access, standing: Standing, now: datetime, event: Robbed
) -> Iterator[str]:
    """Why nobody may agree to a robbing now, a sentence each: what waits must be that very case."""
    where, remedy = f"robbing of {code_of(event.unit)}", "Look at the shortages anew."
    waits = standing.robbing_asked.get(event.unit)
    if waits is None:
        yield (
            f"{where}: none waits for a second approval. It was booked, refused or withdrawn "
            f"meanwhile, or never asked. Agreed is to what waits. {remedy}"
        )
        return
    if (waits.off, waits.to, waits.approved_by) != (event.off, event.to, event.approved_by):
        yield (
            f"{where}: what waits is another case: off {code_of(waits.off)} for "
            f"{code_of(waits.to)}, approved by {waits.approved_by}. Agreed is to what waits. "
            f"{remedy}"
        )
    if now > waits.until:
        yield (
            f"{where}: it waited until {waits.until:%Y-%m-%d %H:%M}. Its price is one of then. "
            "Approve it anew, and let another agree."
        )
    if not _still_may(access, waits.approved_by):
        yield (
            f"{where}: {waits.approved_by} may not {Right.APPROVE_ROBBING.value} any more. Two "
            "who may approve. Approve it anew, and let another agree."
        )


def _still_may(access: Access, name: str) -> bool:
    account = access.people.account(name)
    return account is not None and account.open and may(Role(account.role), Right.APPROVE_ROBBING)
