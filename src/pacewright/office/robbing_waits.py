"""Robbings that wait for a second approval: asked, agreed to, refused or withdrawn on pages."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pacewright.base.faults import CallError
from pacewright.events.scan import code_of, parts_of_code
from pacewright.events.things import Unit
from pacewright.events.units import Robbed, RobbingAsked, RobbingDeclined
from pacewright.office.desk import Desk
from pacewright.office.desk_booking import Answer, Entry, Outcome, Sender, hand_in, typed_entry
from pacewright.office.sheets.shortages_rob_book import priced_case, refused_now
from pacewright.reports.written import some


@dataclass(frozen=True, slots=True)
class Waiting:
    """A robbing that one person approved.

    Parameters
    ----------
    unit, off, to : codes.
    asked : as it was asked for.
    shown : name of who approved, as people read it.
    age_hours : since then, by the works clock.
    against : why it may not be booked as everything stands now; empty: it may.
    over : its time is over.
    """

    unit: str
    off: str
    to: str
    asked: RobbingAsked
    shown: str
    age_hours: float
    against: tuple[str, ...]
    over: bool

    @property
    def age(self) -> str:
        """How long it waits, in words."""
        hours = round(self.age_hours)
        return some(hours, "hour") if hours else "less than half an hour"

    @property
    def state(self) -> str:
        """How it stands, in a word or two."""
        if self.over:
            return "its time is over"
        return "may not be done any more" if self.against else "waits"


def waiting(desk: Desk) -> tuple[Waiting, ...]:
    """Every robbing that waits, or waited in vain, the longest first."""
    with desk.standing() as standing:
        asked = sorted(standing.robbing_asked.values(), key=lambda one: one.at)
    return tuple(_waiting(desk, one) for one in asked)


def waiting_for(desk: Desk, unit_code: str) -> Waiting | None:
    """The robbing of one unit that waits; None: none does."""
    parts = parts_of_code(unit_code)
    with desk.standing() as standing:
        asked = standing.robbing_asked.get(Unit(*parts)) if parts else None
    return _waiting(desk, asked) if asked is not None else None


def _waiting(desk: Desk, asked: RobbingAsked) -> Waiting:
    now = desk.now()
    account = desk.access.people.account(asked.approved_by)
    as_booked = Robbed(now, asked.unit, asked.off, asked.to, asked.approved_by, "nobody yet")
    return Waiting(
        code_of(asked.unit),
        code_of(asked.off),
        code_of(asked.to),
        asked,
        account.shown if account else asked.approved_by,
        (now - asked.at).total_seconds() / 3600,
        refused_now(desk, as_booked),
        now > asked.until,
    )


def ask(desk: Desk, sender: Sender, cells: Mapping[str, str]) -> Sequence[Answer]:
    """Approve as the first, and let it wait for a second.

    Raises
    ------
    CallError : the price has not been shown, the reason lacks, or it may not be robbed.
    NotFoundError : the record does not know unit or vehicle.
    """
    if known := _sent_before(desk, sender, cells, RobbingAsked):
        return known
    case = priced_case(desk, cells, _no_reason(cells, "A robbing is approved with its reason."))
    fields = {"unit": case.unit, "off": case.off, "to": case.to, "reason": cells["reason"].strip()}
    return hand_in(desk, [_typed(desk, sender, "robbing_asked", fields, cells)])


def agree(desk: Desk, sender: Sender, cells: Mapping[str, str]) -> Sequence[Answer]:
    """Approve as the second what waits, and book it with both names.

    What waits, and what stands against it, is asked and booked in one turn of the desk, so that
    nobody withdraws it in between.

    Raises
    ------
    As ``ask``; NotAllowedError : nothing of the kind waits, or it may not be agreed to.
    """
    if known := _sent_before(desk, sender, cells, Robbed):
        return known
    case = priced_case(desk, cells, [])
    with desk.standing() as standing:
        waits = standing.robbing_asked.get(Unit(*(parts_of_code(case.unit) or ("", ""))))
        if waits is None:
            raise CallError(_gone(case.unit))
        if waits.approved_by == sender.person.name:
            raise CallError(
                f"second approval: {waits.approved_by} gave the first. Two persons approve. "
                "Another who may agrees at an own screen."
            )
        fields = {"unit": case.unit, "off": case.off, "to": case.to, "reason": waits.reason}
        fields |= {"approved_by": waits.approved_by, "second_approval": sender.person.name}
        return hand_in(desk, [_typed(desk, sender, "robbed", fields, cells)])


def decline(desk: Desk, sender: Sender, cells: Mapping[str, str]) -> Sequence[Answer]:
    """Refuse what waits, or withdraw what the sender asked for oneself.

    Raises
    ------
    CallError : nothing waits, or the reason lacks.
    """
    if known := _sent_before(desk, sender, cells, RobbingDeclined):
        return known
    unit = cells.get("waiting") or cells.get("unit", "")
    waits = waiting_for(desk, unit)
    faults = _no_reason(cells, "What is refused or withdrawn is so for a reason.")
    if waits is None:
        faults = [_gone(unit)]
    if waits is None or faults:
        raise CallError("\n".join(faults))
    fields = {"unit": waits.unit, "reason": cells["reason"].strip()}
    return hand_in(desk, [_typed(desk, sender, "robbing_declined", fields, cells)])


def _sent_before(
    desk: Desk,
    sender: Sender,
    cells: Mapping[str, str],
    kind: type[Robbed | RobbingAsked | RobbingDeclined],
) -> Sequence[Answer]:
    """The answer to a form that came before: what waited is booked, and not gone."""
    event_id = cells.get("event_id", "")[:80]
    kept = desk.ledger.entry(event_id) if event_id else None
    if kept is None or kept.entry.recorded_by != sender.person.name:
        return ()
    event, unit = kept.entry.event, cells.get("waiting") or cells.get("unit", "")
    same = isinstance(event, kind) and code_of(event.unit) == unit.strip()
    return (Answer(event_id, Outcome.KNOWN, kept.place),) if same else ()


def _typed(
    desk: Desk, sender: Sender, kind: str, fields: Mapping[str, str], cells: Mapping[str, str]
) -> Entry:
    return typed_entry(desk, sender, kind, fields, cells.get("event_id", "")[:80])


def _no_reason(cells: Mapping[str, str], rule: str) -> list[str]:
    if cells.get("reason", "").strip():
        return []
    return [f"reason: not given. {rule} Fill it in."]


def _gone(unit: str) -> str:
    return (
        f"robbing of {unit[:60]}: none waits for a second approval. It was booked, refused or "
        "withdrawn meanwhile. Look at the shortages anew."
    )
