"""Who may book an event, and in whose name: nobody signs for another."""

from collections.abc import Iterable, Iterator
from dataclasses import fields

from pacewright.base.faults import CallError
from pacewright.events.record import Corrected
from pacewright.events.registry import KIND_OF, KINDS
from pacewright.events.stages import Held
from pacewright.events.things import Cause, Event
from pacewright.events.written import read_event
from pacewright.office.access import Access, NoEntryError, Person
from pacewright.office.rights import INSPECTORS_ALONE, Right, right_for

SIGNS = frozenset(
    {
        "signed_by",
        "approved_by",
        "authorised_by",
        "cleared_by",
        "freed_by",
        "seen_by",
        "told_by",
        "decided_by",
        "declined_by",
    }
)
"""Fields that name who acts: it is the person who books."""

SECOND = "second_approval"
"""The field that names a second person, who gives it by the own password."""

ELSEWHERE = {"corrected": "/record", "factor_decided": "/learning"}
"""Kinds that are not booked by themselves -> the page where they come about."""

_NEVER_BY_OTHERS = INSPECTORS_ALONE | {
    Right.COUNT,
    Right.OVERRIDE,
    Right.APPROVE_ROBBING,
    Right.FACTORS,
}
"""Rights whose word nobody else mends or puts in place; a count says of a unit that it may be
fitted."""


class NotAllowedError(CallError):
    """The person may not book this; says what is missing."""


def rights_for(event: Event) -> frozenset[Right]:
    """Every right that booking an event needs.

    A correction needs the right to correct, or, where an inspector's word is mended or put in
    place, that right itself: a planner does not rewrite a finding, an inspector mends the own.
    """
    if not isinstance(event, Corrected):
        return frozenset({right_for(KIND_OF[type(event)], str(getattr(event, "cause", "")))})
    needed = {right for one in event.instead for right in rights_for(read_event(one))}
    return frozenset(needed & _NEVER_BY_OTHERS)


def rights_to_mend(mended: Iterable[Event], correction: Corrected) -> frozenset[Right]:
    """Every right that a correction needs.

    Parameters
    ----------
    mended : the event it names; when that is a correction itself, those behind it as well.
    """
    before = tuple(mended)
    touched = {right for one in before for right in rights_for(one)} | rights_for(correction)
    if any(isinstance(one, Held) and one.cause is Cause.SAFETY for one in before):
        # To void a safety hold is to end it.
        touched.add(Right.CLEAR)
    return frozenset(touched & _NEVER_BY_OTHERS) or frozenset({Right.CORRECT})


def check_allowed(person: Person, event: Event) -> None:
    """Let a person pass who may book an event.

    Whoever inspects may stop work: a safety hold needs no other right.

    Raises
    ------
    NotAllowedError : with what is missing.
    """
    stops = isinstance(event, Held) and event.cause is Cause.SAFETY and person.may(Right.INSPECT)
    if not stops:
        check_rights(person, rights_for(event), KIND_OF[type(event)])


def kinds_for(person: Person) -> tuple[str, ...]:
    """The kinds of event a person may book, in the order of the registry."""
    return tuple(
        kind
        for kind in KINDS
        if kind not in ELSEWHERE and any(person.may(one) for one in _any_right(kind))
    )


def _any_right(kind: str) -> tuple[Right, ...]:
    stops = (Right.INSPECT,) if KINDS[kind] is Held else ()
    return (right_for(kind), right_for(kind, Cause.SAFETY), *stops)


def check_rights(person: Person, needed: Iterable[Right], what: str) -> None:
    """Let a person pass who has every right needed.

    Raises
    ------
    NotAllowedError : with what is missing.
    """
    lacking = sorted(one.value for one in needed if not person.may(one))
    if lacking:
        raise NotAllowedError(
            f"{what}: {person.shown} ({person.role.value}) may not {'; may not '.join(lacking)}. "
            "Ask somebody who may."
        )


def names_asked(kind: str) -> tuple[str, ...]:
    """Fields of a kind that name who acts, the second person's included."""
    model = KINDS[kind]
    return tuple(one.name for one in fields(model) if one.name in SIGNS or one.name == SECOND)


def names_of_others(
    person: Person, event: Event, vouched: Iterable[str] = (), before: Iterable[Event] = ()
) -> Iterator[str]:
    """A sentence for each field in which the event names as acting somebody else.

    Parameters
    ----------
    vouched : names of those who gave their own password for it.
    before : events it is put in the place of; who acted in them may stay named.
    """
    for name in names_asked(KIND_OF[type(event)]):
        said = getattr(event, name)
        own = set(vouched) if name == SECOND else {person.name}
        own |= {getattr(one, name) for one in before if type(one) is type(event)}
        if not said or said in own:
            continue
        rule = (
            "A second approval is given by another person, with the own password."
            if name == SECOND
            else "Who acts books it in the own name."
        )
        yield (
            f"{KIND_OF[type(event)]}, {name}: {said} found, {person.name} books. "
            f"{rule} Let that person do so."
        )


def second_person(
    access: Access, first: Person, name: str, password: str, right: Right, address: str
) -> str:
    """The name of a second person who approves, known by the own password.

    Raises
    ------
    NotAllowedError : it is the first person, the password is wrong, or that person may not.
    """
    name = name.strip().lower()
    if name == first.name:
        raise NotAllowedError(
            f"second approval: {name} gave the first. Two persons approve. Ask another who may."
        )
    try:
        key = access.sign_in(name, password, address)
    except NoEntryError as error:
        raise NotAllowedError(f"second approval: {error}") from error
    second = access.person(key)
    access.sign_out(key)
    if second is None or not second.may(right):
        raise NotAllowedError(
            f"second approval: {name} may not {right.value}. Ask somebody who may."
        )
    return second.name
