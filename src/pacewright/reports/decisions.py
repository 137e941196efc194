"""What needs a decision, ranked, each with its reason and its remedy."""

from pacewright.plans.forecast import Forecast
from pacewright.plans.plan import Plan
from pacewright.reports.ahead_decisions import ahead_decisions
from pacewright.reports.call_decisions import call_decisions
from pacewright.reports.decision import Decision, ranked
from pacewright.reports.fleet_decisions import fleet_decisions
from pacewright.reports.float_decisions import float_decisions
from pacewright.reports.forecast_decisions import forecast_decisions, with_run
from pacewright.reports.line_decisions import line_decisions
from pacewright.works import Works


def decisions(plan: Plan, works: Works, forecast: Forecast | None = None) -> tuple[Decision, ...]:
    """Everything in the plan that someone must decide.

    Parameters
    ----------
    forecast : the plan run through; adds what only that shows, says beside the plan's own what
        it shows of them, and judges the promised turn times in place of the closed form.

    Returns
    -------
    Ranked by consequence (vehicles must stand, are held up, unknown or near a limit, runs ahead)
    and within each by ``weight``, whose unit is the same for the whole consequence.
    """
    found = [
        *call_decisions(plan, works),
        *fleet_decisions(plan, works),
        *line_decisions(plan, works),
        *float_decisions(plan),
        *ahead_decisions(plan, works),
    ]
    if forecast is not None:
        found = [with_run(one, forecast) for one in found if one.kind != "promise"]
        found += forecast_decisions(plan, works, forecast)
    return ranked(found)
