"""The day of the works as all sheets of a day share it: made once for each event or few minutes."""

from collections.abc import Callable
from dataclasses import replace

from pacewright.base.faults import WorksFaultyError
from pacewright.events.standing import Standing
from pacewright.office.background import Background, Job
from pacewright.office.desk import Desk
from pacewright.office.errors import NoPlanError
from pacewright.office.sheets.today_made import DayPaper, day_to_send
from pacewright.plans.plan import Plan

WAIT_SECONDS = 0.25
"""How long a page waits for a newer day; of most works it is there sooner."""

STALE_SECONDS = 60.0
"""A day older than this is not shown any more: the page waits for the new one."""

REST = 2.0
"""A slow day is not made anew for events alone before so many times as long as it took."""

STEP_MINUTES = 10
"""The day is made anew after so many minutes though nothing is booked."""

PLAN_SECONDS = 4.0
"""How long a page waits for a plan; small works never show that one is being made."""

NO_PLAN_YET = "The plan of today is being made; until then waits before stages are left out."


def background(desk: Desk) -> Background:
    """What the desk makes in the background."""
    return desk.paper("background", Background, ("once",))


def plan_job(desk: Desk, wait_seconds: float = PLAN_SECONDS) -> Job:
    """The plan of today; begun when there is none yet."""
    look(desk)
    return background(desk).ask(
        "plan", (desk.now().date(), desk.works), lambda: desk.apart(plan_made), wait_seconds
    )


def plan_made(desk: Desk) -> Plan:
    """Make the plan of today."""
    return desk.plan()


def look(desk: Desk) -> None:
    """Take up changed tables; while they are faulty the last sound ones hold."""
    try:
        desk.look_again()
    except WorksFaultyError:
        return


def plan_if_there(desk: Desk) -> tuple[Plan | None, str]:
    """The plan of today when it is made, else why there is none."""
    job = plan_job(desk)
    try:
        return (job.made, "") if job.there() else (None, NO_PLAN_YET)
    except NoPlanError as error:
        return None, f"No plan can be made: {error}"


def day_paper(desk: Desk) -> DayPaper:
    """The day as it stands now; where it takes long to make, as it stood some seconds ago.

    Every page says up to which event it knows.
    """
    plan, why = plan_if_there(desk)
    mark = _mark(desk, desk.head_place(), plan)
    days = _days(desk)
    last = days.last("day")
    if last is not None and last.mark[1:] == mark[1:] and _rests(last):
        rested: DayPaper = last.made
        return rested
    # Of a day that took longer the next would not be there in time either.
    wait = WAIT_SECONDS if last is None or last.seconds <= WAIT_SECONDS else 0.0
    job = days.ask("day", mark, lambda: _paper(desk, plan, why), wait)
    last = job.before
    if last is not None and last.age_seconds() < STALE_SECONDS and not job.there():
        job = last
    job.done.wait()
    job.there()
    made: DayPaper = job.made
    return made


def day_paper_with(desk: Desk, has: Callable[[Standing], bool]) -> DayPaper:
    """The day for a page of one thing, which a day of before may not know though the record does.

    Parameters
    ----------
    has : whether the thing is there.
    """
    paper = day_paper(desk)
    if has(paper.standing):
        return paper
    with desk.standing() as standing:
        there = has(standing)
    return _newest(desk) if there else paper


def _newest(desk: Desk) -> DayPaper:
    place = desk.ledger.head().place
    plan, why = plan_if_there(desk)
    # The one under way may know less, and so may one begun meanwhile by who saw an older end.
    for _ in range(3):
        mark = _mark(desk, place, plan)
        job = _days(desk).ask("day", mark, lambda: _paper(desk, plan, why))
        job.done.wait()
        job.there()
        if job.made.place >= place:
            break
    made: DayPaper = job.made
    return made


def _days(desk: Desk) -> Background:
    return desk.paper("day background", Background, ("once",))


def _mark(desk: Desk, place: int, plan: Plan | None) -> tuple[object, ...]:
    now = desk.now()
    step = now.replace(minute=now.minute - now.minute % STEP_MINUTES)
    return (place, step, plan.inputs_hash if plan else "", desk.works)


def _rests(last: Job) -> bool:
    # Where bookings come faster than days are made, making them would take the machine from pages.
    # A day that is quick to make never rests: who booked something sees it at once.
    slow = last.seconds > WAIT_SECONDS
    return slow and last.age_seconds() < min(REST * last.seconds, STALE_SECONDS)


def _paper(desk: Desk, plan: Plan | None, why: str) -> DayPaper:
    made = desk.apart(day_to_send, plan)
    standing = desk.copied(until=made.place).standing
    return replace(made, standing=standing, plan=plan, no_plan=why)
