"""Proposals accepted or rejected at the desk: tables rewritten and record told together."""

from collections.abc import Mapping, Sequence

from pacewright.base.faults import CallError
from pacewright.ledger.entry import Answer, Outcome
from pacewright.office.access import Person
from pacewright.office.desk import Desk
from pacewright.office.desk_booking import hand_in
from pacewright.office.learning import Decision, decision_entries
from pacewright.office.rewriting import Rewritten
from pacewright.office.sheets.learning import decisions, still_asked
from pacewright.office.sheets.learning_paper import LearnedPaper, learning_of
from pacewright.plans.learned import Proposal

ACCEPT, REJECT = "accept", "reject"


def seen_of(one: Proposal) -> str:
    """What was seen of a proposal when it was decided, to be held against what is there then."""
    return seen_figures(one.old, one.proposed, one.sample)


def seen_figures(old: float | None, proposed: float, sample: float) -> str:
    """What was seen, from the figures of a proposal's row."""
    before = None if old is None else float(old)
    return f"{before!r} {float(proposed)!r} {float(sample)!r}"


def decide_at_desk(
    desk: Desk,
    person: Person,
    chosen: Mapping[str, str],
    seen: Mapping[str, str],
    reason: str,
) -> tuple[Answer, ...]:
    """Write accepted figures into the tables, and every decision into the record.

    Parameters
    ----------
    person : who decides; has the right to.
    chosen : proposal -> ``accept`` or ``reject``.
    seen : proposal -> ``seen_of`` it on the page that was sent.
    reason : why; needed for a rejection.

    Raises
    ------
    WorksFaultyError : the tables would be faulty with the new figures; nothing was changed.
    CallError : nothing was chosen, a proposal is unknown or another by now, no reason, a workbook,
        this server only shows; nothing was changed.
    """
    with desk.files_turn:
        asked = _asked(desk)
        decided = [(_known(asked, name, seen), how == ACCEPT) for name, how in chosen.items()]
        _refuse_wrong(desk, decided, reason)
        accepted = [one for one, taken in decided if taken]
        decision = Decision(
            tuple(one.proposal_id for one in accepted),
            tuple(one.proposal_id for one, taken in decided if not taken),
            person.name,
            reason.strip(),
        )
        entries = decision_entries(decision, decided, desk.now())
        with Rewritten(desk.path, accepted) as kept:
            answers = hand_in(desk, entries, together=True)
            _refuse_refused(answers)
            kept.stay()
    return answers


def _asked(desk: Desk) -> dict[str, Proposal]:
    state = learning_of(desk)
    paper: LearnedPaper | None = state.paper
    if paper is None:
        raise CallError(state.said)
    if paper.works is not desk.works:
        raise CallError(
            "The tables were changed since the record was read against them. Look at the page "
            "again when it is read anew, and decide then."
        )
    return {one.proposal_id: one for one in still_asked(paper, decisions(desk))}


def _known(asked: Mapping[str, Proposal], name: str, seen: Mapping[str, str]) -> Proposal:
    one = asked.get(name)
    if one is None:
        raise CallError(
            f"{name[:80]}: nothing of that name is asked now. Somebody may have decided it. Look "
            "at the page again."
        )
    if seen.get(name) != seen_of(one):
        raise CallError(
            f"{name[:80]}: the record proposes another figure by now. Look at the page again, and "
            "decide about what stands there."
        )
    return one


def _refuse_wrong(desk: Desk, decided: Sequence[tuple[Proposal, bool]], reason: str) -> None:
    if desk.read_only:
        raise CallError("This server only shows. Nothing is decided here.")
    if not decided:
        raise CallError("Nothing was chosen. Choose accept or reject for a figure at least.")
    if not reason.strip() and not all(taken for _, taken in decided):
        raise CallError("No reason. A rejection says why. Give one.")
    if desk.path.is_file() and any(taken for _, taken in decided):
        raise CallError(
            f"{desk.path.name} is a workbook, which is not rewritten here: its formats would be "
            "lost. Write the accepted figures into its sheets, or keep the works as a folder."
        )


def _refuse_refused(answers: Sequence[Answer]) -> None:
    refused = [why for one in answers if one.outcome is Outcome.REFUSED for why in one.reasons]
    if refused:
        raise CallError("\n".join(["The record refused the decision; nothing changed.", *refused]))
