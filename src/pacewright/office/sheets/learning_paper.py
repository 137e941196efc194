"""What the record teaches, made aside: reading a long record takes long."""

from dataclasses import dataclass

from pacewright.office.aside import Aside
from pacewright.office.desk import Desk
from pacewright.office.sheets.today_paper import background
from pacewright.plans.learned import Learned
from pacewright.works import Works

KEEP_SECONDS = 900.0
"""What was learned changes slowly; it is learned anew after so long, or after a decision."""


@dataclass(frozen=True, slots=True)
class LearnedPaper:
    """What was learned, and from what.

    Parameters
    ----------
    works : tables it was held against.
    place : last event of the record it knows.
    """

    learned: Learned
    works: Works
    place: int


@dataclass(frozen=True, slots=True)
class Learning:
    """What there is now.

    Parameters
    ----------
    paper : None: there is none yet. ``being_made``: a newer one is under way.
    why_not : why there is none.
    """

    paper: LearnedPaper | None
    being_made: bool = False
    why_not: str = ""

    @property
    def said(self) -> str:
        """How it stands, a sentence."""
        newer = " Newer events are being read." if self.being_made else ""
        if self.paper is not None:
            return f"Learned from the record up to event {self.paper.place:,}.{newer}"
        if self.being_made:
            return "The record is being read; show the page again in a moment."
        return self.why_not or "Nothing was learned yet."


def learned_keeper(desk: Desk) -> Aside[LearnedPaper]:
    """Who keeps what was learned at a desk."""
    return desk.paper("learned", lambda: Aside("learned", KEEP_SECONDS), ("once",))


def learning_of(desk: Desk, wait_seconds: float = 0.0) -> Learning:
    """What the record teaches; begun when it was not learned yet, or not for long.

    Parameters
    ----------
    wait_seconds : how long to wait for it.
    """
    works, place = desk.works, desk.head_place()
    if not place:
        return Learning(None, why_not="The record is empty: factors are learned from what is "
                                      "recorded. Book or import what happens first.")  # fmt: skip
    told = learned_keeper(desk).look(
        background(desk),
        (place, works),
        lambda: LearnedPaper(desk.apart(learned_made), works, place),
        wait_seconds,
    )
    why_not = f"Nothing can be learned: {told.why_not}" if told.why_not else ""
    return Learning(told.made, told.being_made, why_not)


def learned_if_there(desk: Desk) -> Learned | None:
    """What was learned, for pages that show it beside other things; begun when there is none."""
    paper = learning_of(desk).paper
    return paper.learned if paper else None


def learned_made(desk: Desk) -> Learned:
    """Learn from the whole record."""
    from pacewright.life.learn import learn

    return learn(desk.works, desk.ledger.mended())
