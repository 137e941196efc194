"""The inputs of a form of an event: which control each field gets, and what may be chosen in it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pacewright.office.desk import Desk
from pacewright.office.event_form import TABLES, EventField, Offer, fields_of, known_for

MOST_IN_SELECT = 60
"""Longer lists are typed or scanned, with the list offered while typing."""

_CONTROLS = {
    "moment": "moment",
    "day": "day",
    "whole": "whole",
    "number": "number",
    "choice": "select",
    "yesno": "select",
    "who": "said",
    "events": "said",
    "photo": "photo",
}
_HINTS = {
    "piece": "code_rule",
    "unit": "code_rule",
    "pieces": "codes_rule",
    "who": "as_signed_in",
    "second": "second_name",
}


@dataclass(frozen=True, slots=True)
class Input:
    """One input of a form.

    Parameters
    ----------
    control : moment, day, whole, number, select, text, photo, or said (nothing to fill in).
    options : what may be chosen, each with a word on it; of a text it is only offered.
    hint : key of a text that says how it is filled in; empty: none.
    asks_password : a second person gives the own password beside it.
    """

    name: str
    label: str
    meaning: str
    needed: bool
    control: str
    options: Sequence[Offer]
    value: str
    hint: str
    asks_password: bool


def inputs_for(desk: Desk, kind: str, given: Mapping[str, str], signs: str) -> list[Input]:
    """The inputs of a kind of event.

    Parameters
    ----------
    given : field -> text that stands in it.
    signs : name of the person who acts.
    """

    def made() -> dict[str, tuple[Offer, ...]]:
        with desk.standing() as now:
            return known_for(kind, desk.works, now)

    # What is offered may be a moment old; what is booked is held to the record itself.
    known = desk.paper(("offers", kind), made, (desk.head_place(), id(desk.works)))
    return [_input(one, known.get(one.name, ()), given, signs) for one in fields_of(kind)]


def _input(one: EventField, known: Sequence[Offer], given: Mapping[str, str], signs: str) -> Input:
    value = given.get(one.name, "")
    control = _CONTROLS.get(one.sort, "text")
    options: Sequence[Offer] = known
    if control == "select":
        options = [(choice, "") for choice in one.choices or ("yes", "no")]
    elif control == "text" and one.name in TABLES and 0 < len(known) <= MOST_IN_SELECT:
        control = "select"
    if control == "select" and value and value not in dict(options):
        options = [*options, (value, "")]
    return Input(
        name=one.name,
        label=one.name.removesuffix("_id").replace("_", " "),
        meaning=one.meaning,
        needed=one.needed,
        control=control,
        options=options,
        value=value or (signs if one.sort == "who" else ""),
        hint=_HINTS.get(one.sort, ""),
        asks_password=one.sort == "second",
    )
