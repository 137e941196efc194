"""Allotment: which serviceable unit is meant for which vehicle, and issuing what is agreed."""

from collections.abc import Mapping, Sequence

from pacewright.base.faults import CallError
from pacewright.control.allotment import Seen, allotment
from pacewright.control.door import door_of
from pacewright.ledger.entry import Entry
from pacewright.office.desk import Desk
from pacewright.office.desk_booking import Sender, typed_entry
from pacewright.office.sheets.shortages import CAUTION
from pacewright.office.sheets.today import LINKS
from pacewright.office.sheets.today_made import DayPaper, day_here
from pacewright.office.sheets.today_paper import background, day_paper
from pacewright.plans.allotment import Allotment
from pacewright.plans.plan import Plan
from pacewright.reports.allotment_tables import allotment_tables
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.written import number, some

BETWEEN = " for "
MOST_AT_ONCE = 800
WAIT_SECONDS = 4.0
LAST_SECONDS = 600.0
"""A proposal so old is still shown while a newer one is worked out."""

QUESTION = "Which serviceable unit is meant for which vehicle?"


def allotment_paper(desk: Desk, paper: DayPaper) -> Allotment | None:
    """The proposal for the day as it stands; None: it is being worked out.

    While a newer one is worked out the last one is shown, some minutes old at most; what is
    issued by it is judged by the record's rules as everything stands then.
    """
    mark = (paper.place, paper.today.now.date())
    job = background(desk).ask(
        "allotment", mark, lambda: desk.apart(allotment_made, paper.plan), WAIT_SECONDS
    )
    if not job.there() and job.before is not None and job.before.age_seconds() < LAST_SECONDS:
        job = job.before
    return job.made if job.there() else None


def allotment_made(desk: Desk, plan: Plan | None) -> Allotment:
    """Work the proposal out as everything stands now."""
    paper = day_here(desk, plan)
    one = paper.today
    return allotment(
        Seen(paper.works, paper.standing, one.seen, one.wanted, one.pool, door_of(paper.works))
    )


def allot_sheet(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """The proposal as a page."""
    paper = day_paper(desk)
    made = allotment_paper(desk, paper)
    if made is None:
        return _being_made(paper)
    tables = {one.name: one for one in allotment_tables(made)}
    late = sum(one.late_days for one in made.outcomes)
    return Sheet(
        key="allot",
        title="Allotment",
        question=QUESTION,
        answer=(
            f"To issue now: {some(len(made.units), 'unit')}. Loose with a vehicle to go to: "
            f"{some(len(made.assemblies), 'assembly', 'assemblies')}. Will stand all the same: "
            f"{some(len(made.outcomes), 'vehicle')}.",
            f"{_how_good(made)} A person decides, and books what is issued.",
        ),
        figures=(
            Figure("To issue", str(len(made.units)), "units",
                   "Serviceable now and needed within the next days."),
            Figure("Vehicles that stand", str(len(made.outcomes)), "vehicles",
                   "What the best allotment leaves standing."),
            Figure("Late for want of units", number(late), "working days together",
                   "Waits beyond the slack to each current promise, summed."),
        ),
        parts=tuple(
            Part(one.name, one.title, f"{one.about}.", one, links=LINKS, empty=_EMPTY[one.name])
            for one in tables.values()
        ),
        caution=CAUTION,
        up_to=paper.place,
        basis=(
            *paper.basis,
            f"Proposal on the record as of {made.now:%Y-%m-%d %H:%M}.",
            *made.notes,
        ),
    )  # fmt: skip


def _how_good(made: Allotment) -> str:
    if made.card.status == "optimal":
        return "No other proposal makes vehicles stand less: proven."
    gap = made.card.gap
    sure = f"at most {gap:.1%} above the proven least" if gap is not None else "not proven best"
    return f"The best proposal found in the time there is, {sure}."


def _being_made(paper: DayPaper) -> Sheet:
    return Sheet(
        key="allot",
        title="Allotment",
        question=QUESTION,
        answer=(
            "The proposal is being worked out; where much is short that takes up to half a minute. "
            "Show this page again in a moment.",
        ),
        parts=(),
        caution=CAUTION,
        up_to=paper.place,
        basis=paper.basis,
        awaited=True,
    )


_EMPTY = {
    "units": "Nothing is to be issued now: no need of the next days is met from store.",
    "assemblies": "No loose assembly is meant for a vehicle.",
    "awaiting": "Nothing is waited for: every need is met from what is there.",
    "outcomes": "No vehicle stands for want of a unit or assembly.",
}


def issue_entries(desk: Desk, sender: Sender, ticked: Sequence[str], event_id: str) -> list[Entry]:
    """The entries ``issued`` for what was ticked, each ``motor:M-7 for vehicle:101``.

    Raises
    ------
    CallError : nothing is ticked, or one of it is not proposed any more.
    """
    made = allotment_paper(desk, day_paper(desk))
    proposed = {f"{one.unit}{BETWEEN}{one.to}": one for one in made.units} if made else {}
    gone = [one for one in ticked if one not in proposed]
    if not ticked or gone or len(ticked) > MOST_AT_ONCE:
        raise CallError(
            f"issue: {', '.join(one[:60] for one in gone[:5]) or 'nothing'} found. What is issued "
            "is ticked in the proposal as it stands now. Show the page again and tick anew."
        )
    return [
        typed_entry(
            desk,
            sender,
            "issued",
            {"unit": proposed[one].unit, "to": proposed[one].to},
            f"{event_id[:60]}-{place}",
            "allotment",
        )
        for place, one in enumerate(ticked)
    ]
