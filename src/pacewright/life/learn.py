"""Everything a record teaches, as proposals; nothing is changed by it."""

from collections.abc import Iterable
from math import sqrt

import numpy as np

from pacewright.events.things import Event
from pacewright.life.effects import Effects
from pacewright.life.evidence import Evidence, NothingRecordedError, gather
from pacewright.life.hours import hour_proposals
from pacewright.life.lateness import lateness_proposals
from pacewright.life.part_lives import part_lives
from pacewright.life.shares import share_proposals
from pacewright.life.turn_times import TurnsSeen, turn_proposals, turn_times
from pacewright.life.weighing import SHOWN_LEVEL, Weighing, student
from pacewright.plans.learned import Learned, Proposal
from pacewright.works import Works

__all__ = ["NothingRecordedError", "learn"]


def learn(works: Works, events: Iterable[Event]) -> Learned:
    """Read the events once, and propose what they say otherwise than the tables.

    Parameters
    ----------
    works : its tables as they are now; decisions taken before are in the events.
    events : of the record, mended of corrections, in its order.

    Raises
    ------
    NothingRecordedError : there is none.
    """
    evidence = gather(works, events)
    weighing = Weighing(evidence.decided)
    released = _released_a_week(works, evidence)
    pace = released[0] / works.week_days if released else _planned_pace(works)
    effects = Effects(works, pace)
    seen = TurnsSeen(evidence)
    lines = (
        *share_proposals(works, evidence, weighing, effects),
        *turn_proposals(works, seen, weighing, effects),
        *hour_proposals(works, evidence, weighing, effects),
        *lateness_proposals(works, evidence.lateness, evidence.working, weighing),
    )
    return Learned(
        works_name=works.settings.name,
        events=evidence.events,
        first=evidence.first,
        last=evidence.last,
        released_a_week=released,
        proposals=tuple(sorted(lines, key=_asked_first)),
        turn_times=tuple(turn_times(works, seen, weighing).values()),
        lives=tuple(part_lives(works, evidence)),
        notes=tuple(_notes(evidence, lines)),
    )


def _asked_first(one: Proposal) -> tuple[bool, float, str]:
    return (not one.asked, -one.apart, one.proposal_id)


def _released_a_week(works: Works, evidence: Evidence) -> tuple[float, float, float] | None:
    # Before the first release the record, or the works, was only filling up.
    begun = min(evidence.releases, default=0)
    weeks = [week for week in evidence.full_weeks() if week > begun]
    if len(weeks) < 2 or not evidence.releases:
        return None
    full = works.week_days
    count = [evidence.releases[w] * full / evidence.working.days_of_week(w) for w in weeks]
    mean = float(np.mean(count))
    far = student(SHOWN_LEVEL, len(count) - 1) * float(np.std(count, ddof=1)) / sqrt(len(count))
    return mean, max(mean - far, 0.0), mean + far


def _planned_pace(works: Works) -> float:
    steps = works.settings.plan.pace
    return steps[-1].vehicles_a_week / works.week_days if steps else 0.0


def _notes(evidence: Evidence, lines: tuple[Proposal, ...]) -> Iterable[str]:
    if not evidence.inspections.counted and not any(
        one.column == "occurrence_share" for one in lines
    ):
        yield "No finding of an operation is on record; occurrence shares cannot be learned."
    if not evidence.work.hours:
        yield "No man-hours are on record; performance and standard hours cannot be learned."
    if not evidence.releases:
        yield "No release is on record; removal shares and the pace cannot be learned."
