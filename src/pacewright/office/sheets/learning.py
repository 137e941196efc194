"""Learning: what the record shows beside the tables, and what a person decided about it."""

from collections.abc import Mapping, Sequence
from itertools import islice

from pacewright.events.record import FactorDecided
from pacewright.ledger.entry import Kept
from pacewright.office.desk import Desk
from pacewright.office.sheets.learning_paper import LearnedPaper, Learning, learning_of
from pacewright.plans.learned import Learned, Proposal
from pacewright.reports.drawings.ratio_rows import RatioRow, ratio_rows
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.learned_tables import learned_tables, proposals_table
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.table import Table, moment, number, table, text, yes_no
from pacewright.reports.written import day, some
from pacewright.reports.written import number as said_number

MOST_DRAWN = 40
MOST_DECIDED = 200

PROPOSED_HOW = (
    "Shown: what the record alone tells. Proposed: that, drawn to the table's figure by its "
    "weight, so that a small sample moves it little. The range holds the true figure with a chance "
    "of 90 %. Asked is what differs from the table for real: the old figure is outside the range "
    "of 99 %, and it was not rejected on evidence not much smaller. The largest change first. "
    "Nothing changes by itself: a person accepts or rejects, by name."
)
CAUTION = (
    "Factors forecast quantities; they never decide an individual part. Must-change means always.",
    "Times learned are for planning, not for ranking people.",
)
_COLUMNS = ("row", "column", "old", "shown", "proposed", "low", "high", "sample", "of_what",
            "effect")  # fmt: skip


def learning(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """What is proposed, what else was learned, and what was decided."""
    state = learning_of(desk)
    decided = decisions(desk)
    if state.paper is None:
        return _without(state, decided)
    paper = state.paper
    open_ones, rest = still_asked(paper, decided), _others(paper, decided)
    return Sheet(
        key="learning",
        title="Learning",
        question="Which figures of the tables does the record contradict, and what is decided?",
        answer=tuple(_answer(paper.learned, open_ones)),
        figures=_figures(paper.learned, open_ones),
        parts=(
            Part("asked", "Asked: accept or reject", PROPOSED_HOW,
                 proposals_table(open_ones, "asked", "Asked: accept or reject"),
                 drawing=_drawing(open_ones), columns=_COLUMNS,
                 empty="Nothing is asked: no figure differs from the table for real."),
            Part("others", "Seen, and nothing asked",
                 "What the record tells of other figures: the table agrees within the noise of the "
                 "sample, or the change was rejected before.",
                 proposals_table(rest, "others", "Seen, and nothing asked"),
                 columns=(*_COLUMNS, "rejected_on"), folded=True,
                 empty="The record tells of no other figure."),
            *_learned(paper.learned),
            _decided_part(decided),
        ),
        caution=CAUTION,
        basis=(state.said, *paper.learned.notes),
    )  # fmt: skip


def _without(state: Learning, decided: Sequence[Kept]) -> Sheet:
    return Sheet(
        key="learning",
        title="Learning",
        question="Which figures of the tables does the record contradict, and what is decided?",
        answer=(state.said,),
        awaited=state.being_made,
        parts=(_decided_part(decided),),
        caution=CAUTION,
        basis=(state.said,),
    )


def decisions(desk: Desk) -> list[Kept]:
    """Decisions of the record, the newest first."""
    found = desk.ledger.entries(kind="factor_decided", newest_first=True, limit=MOST_DECIDED)
    return list(found)


def still_asked(paper: LearnedPaper, decided: Sequence[Kept]) -> list[Proposal]:
    """Proposals asked of the planner that were not decided since they were made."""
    gone = _since(paper, decided)
    return [one for one in paper.learned.proposals if one.asked and one.proposal_id not in gone]


def _others(paper: LearnedPaper, decided: Sequence[Kept]) -> list[Proposal]:
    gone = _since(paper, decided)
    return [one for one in paper.learned.proposals if not one.asked and one.proposal_id not in gone]


def _since(paper: LearnedPaper, decided: Sequence[Kept]) -> frozenset[str]:
    """Names of proposals decided after the paper was made."""
    events = (kept.entry.event for kept in decided if kept.place > paper.place)
    return frozenset(
        f"{one.table}:{one.row.replace(' ', '+')}:{one.column}"
        for one in events
        if isinstance(one, FactorDecided)
    )


def _answer(learned: Learned, asked: Sequence[Proposal]) -> list[str]:
    span = ""
    if learned.first and learned.last:
        span = f" from {day(learned.first.date())} to {day(learned.last.date())}"
    said = [f"{some(learned.events, 'event')}{span} were read."]
    if asked:
        said.append(f"{some(len(asked), 'figure')} of the tables differ from what they show.")
        told = (f"{named(one)}: {one.effect}." for one in asked if one.effect)
        said += list(islice(told, 2))
    else:
        said.append("No figure of the tables differs from them for real.")
    return said


def named(one: Proposal) -> str:
    """A proposal as people read it."""
    return f"{one.row}, {one.column.replace('_', ' ')}"


def ratio_of(one: Proposal) -> RatioRow | None:
    """A proposal over the figure that stands; None: none stands there, or nought."""
    if not one.old:
        return None
    return RatioRow(
        named(one),
        f"{said_number(one.old, 3)} → {said_number(one.proposed, 3)}",
        one.shown / one.old,
        one.proposed / one.old,
        one.low / one.old,
        one.high / one.old,
    )


def _figures(learned: Learned, asked: Sequence[Proposal]) -> tuple[Figure, ...]:
    seen = len(learned.proposals)
    found = [
        Figure("Asked", str(len(asked)), f"of {some(seen, 'figure')} the record tells of",
               PROPOSED_HOW),
    ]  # fmt: skip
    if learned.released_a_week is not None:
        mean, low, high = learned.released_a_week
        found.append(Figure("Released a week", said_number(mean),
                            f"vehicles, {said_number(low)} to {said_number(high)}",
                            "Mean of the full weeks after the first release, with the 90 % range "
                            "of the mean (Student).")
                     )  # fmt: skip
    return tuple(found)


def _drawing(asked: Sequence[Proposal]) -> Drawing | None:
    rows = [row for row in map(ratio_of, asked) if row is not None][:MOST_DRAWN]
    return ratio_rows("ratios", "Proposed beside the table", rows) if rows else None


def _learned(learned: Learned) -> tuple[Part, ...]:
    _, turns, lives = learned_tables(learned)
    return (
        Part("turn_times", "Turn times learned",
             "From coming off to serviceable, units still in repair reckoned in; the mean is drawn "
             "to the table's by its weight. The page of each unit kind draws the turns one by one.",
             turns, links={"unit_kind_id": "/parts/{}"}, folded=True,
             empty="No unit was seen from removal to serviceable yet."),
        Part("part_lives", "Lives of parts",
             "From fitting to removal, units still on vehicles reckoned in (product limit; Weibull "
             "law of greatest likelihood). A shape above 1 is wear, at 1 chance.", lives,
             links={"unit_kind_id": "/parts/{}"}, folded=True,
             empty="No unit was seen fitted yet."),
    )  # fmt: skip


def _decided_part(decided: Sequence[Kept]) -> Part:
    return Part("decided", "Decided so far", f"The newest {MOST_DECIDED} decisions, by whom and "
                "why; follow a number to the event.", _decided_table(decided),
                links={"place": "/record/{}"}, empty="Nothing was decided yet.")  # fmt: skip


def _decided_table(decided: Sequence[Kept]) -> Table:
    return table(
        ("decided", "Decided so far", "The newest first."),
        (text("place", "event", lambda r: str(r.place)), moment("at", "when", "entry.event.at"),
         text("table", "table", "entry.event.table"), text("row", "its row", "entry.event.row"),
         text("column", "its column", "entry.event.column"),
         text("old", "what stood there", "entry.event.old"),
         text("new", "what was proposed", "entry.event.new"),
         yes_no("accepted", "yes: the table was rewritten", "entry.event.accepted"),
         number("sample", "on how many it rested", "cases", "entry.event.sample"),
         text("decided_by", "who decided", "entry.event.decided_by"),
         text("reason", "why", "entry.event.reason")),
        decided,
    )  # fmt: skip
