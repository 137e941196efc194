"""The form on the page Learning: what is asked, for whoever may decide it."""

from typing import Any

from starlette.requests import Request

from pacewright.office.access import Person
from pacewright.office.desk_booking import new_id
from pacewright.office.desk_learning import seen_of
from pacewright.office.rights import Right
from pacewright.office.sheets.learning import PROPOSED_HOW, decisions, ratio_of, still_asked
from pacewright.office.sheets.learning_paper import learning_of
from pacewright.plans.learned import Proposal
from pacewright.reports.drawings.ratio_rows import ratio_bar
from pacewright.web.who import desk_of

MOST_AT_ONCE = 40
"""Proposals in the form; the rest come when these are decided."""


def learning_form(request: Request, person: Person) -> tuple[str, dict[str, Any]]:
    """What may be decided, by who may."""
    desk = desk_of(request)
    state = learning_of(desk)
    asked: list[Proposal] = []
    if state.paper is not None and person.may(Right.FACTORS) and not desk.read_only:
        asked = still_asked(state.paper, decisions(desk))
    values = {
        "waits": state.being_made and state.paper is None,
        "proposals": [_proposal(one) for one in asked[:MOST_AT_ONCE]],
        "more": max(0, len(asked) - MOST_AT_ONCE),
        "how_proposed": PROPOSED_HOW,
        "event_id": new_id(),
    }
    return "learning.html.j2", values


def _proposal(one: Proposal) -> dict[str, Any]:
    row = ratio_of(one)
    return {
        "name": one.proposal_id,
        "row": one.row,
        "column": one.column.replace("_", " "),
        "table": one.table,
        "old": "-" if one.old is None else f"{one.old:.4g}",
        "proposed": f"{one.proposed:.4g}",
        "bar": ratio_bar(row) if row is not None else "",
        "evidence": (
            f"the record alone {one.shown:.3g}; true figure {one.low:.3g} to {one.high:.3g} in "
            f"nine cases of ten; from {one.sample:,.4g} {one.of_what}"
        ),
        "effect": one.effect,
        "seen": seen_of(one),
    }
