"""The programme as agreed, shared by all its pages; and the page while the plan is being made."""

from pacewright.control.agreed import Agreed, agreed
from pacewright.office.desk import Desk
from pacewright.office.sheets.today_paper import day_paper, plan_job
from pacewright.plans.plan import Plan
from pacewright.plans.programme import Call
from pacewright.reports.sheet import Sheet


def agreed_paper(desk: Desk) -> Agreed | None:
    """The programme with what is booked; None: the plan is still being made.

    Raises
    ------
    NoPlanError : none can be made; it says why.
    """
    job = plan_job(desk)
    if not job.there():
        return None
    plan: Plan = job.made

    def made() -> Agreed:
        works = day_paper(desk).works
        with desk.standing() as standing:
            return agreed(works, plan, standing)

    return desk.paper("agreed", made, (desk.head_place(), plan.inputs_hash))


def being_made(key: str, title: str, question: str) -> Sheet:
    """The sheet of a plan that is not there yet."""
    return Sheet(
        key=key,
        title=title,
        question=question,
        answer=(
            "The plan of today is being made. It takes from a few seconds to some minutes, by the "
            "size of the fleet. Show this page again in a while.",
        ),
        parts=(),
        basis=("No plan yet.",),
        awaited=True,
    )


def label_of(call: Call) -> str:
    """ISO week of a call-in."""
    year, week, _ = call.day.isocalendar()
    return f"{year}-W{week:02d}"
