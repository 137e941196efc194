"""What a robbing would cost, run in the background."""

from pacewright.control.door import door_of
from pacewright.office.background import Job
from pacewright.office.desk import Desk
from pacewright.office.errors import NoPlanError
from pacewright.office.sheets.shortages_rob import RobCase, event_of
from pacewright.office.sheets.today_made import DayPaper
from pacewright.office.sheets.today_paper import background
from pacewright.plans.programme import Programme
from pacewright.plans.robbing import RobCost

RUNS = 100
"""Pairs of runs for the cost; each interval beside a difference says how sure that is."""

WAIT_SECONDS = 3.0
PRICE_SECONDS = 1800.0
"""A price so old is still shown while a newer one is worked out."""


def cost_job(desk: Desk, paper: DayPaper, case: RobCase, wait: float = WAIT_SECONDS) -> Job:
    """The price of a robbing, run in the background; kept while nothing is booked."""
    key = "robbing", case
    programme = paper.plan.programme if paper.plan else None
    return background(desk).ask(
        key, (paper.place,), lambda: desk.apart(cost_made, programme, case), wait
    )


def price_of(job: Job) -> RobCost | None:
    """The price to be shown: the newest, or one not old while that is made; None: none yet.

    In a busy works something is booked every minute; a price of some minutes ago still tells what
    the robbing costs, and whether it may be done is asked anew when it is booked.
    """
    if job.there():
        made: RobCost = job.made
        return made
    last = job.before
    return last.made if last is not None and last.age_seconds() < PRICE_SECONDS else None


def cost_made(desk: Desk, programme: Programme | None, case: RobCase) -> RobCost:
    """Price a robbing as everything stands now.

    Raises
    ------
    NoPlanError : the works cannot be run on from its record.
    """
    from pacewright.control.promises import Forecaster, Moment, PromiseQuestion
    from pacewright.control.robbing import rob_cost
    from pacewright.office.promising import call_in_programme
    from pacewright.simulate.chains import NoChainError
    from pacewright.simulate.compile_flow import NoPaceError
    from pacewright.simulate.executors import threads

    now = desk.now()
    works, _ = desk.works_now()
    at = Moment(works, desk.copied().standing, now)
    programme = programme or call_in_programme(works)
    try:
        with threads(1) as workers:
            forecaster = Forecaster(PromiseQuestion(runs=RUNS), programme, workers)
            return rob_cost(at, event_of(case, now), door_of(works), forecaster)
    except (NoChainError, NoPaceError) as error:
        raise NoPlanError(str(error)) from error
