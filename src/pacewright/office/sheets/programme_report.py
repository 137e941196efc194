"""The plan of today as the report that stands alone."""

from pacewright.office.desk import Desk
from pacewright.office.sheets.today_paper import plan_job
from pacewright.plans.plan import Plan
from pacewright.reports.page import report_page


def plan_report(desk: Desk) -> str | None:
    """The report; None: the plan is still being made.

    Raises
    ------
    NoPlanError : none can be made; it says why.
    """
    job = plan_job(desk)
    if not job.there():
        return None
    plan: Plan = job.made
    return desk.paper(
        "plan report", lambda: report_page(plan, desk.works_now()[0]), (plan.inputs_hash,)
    )
