"""Run a plan through many times: what comes of it under chance."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from pacewright.base.progress import Progress, silent
from pacewright.office.errors import CallError, NoPlanError
from pacewright.plans.forecast import Forecast
from pacewright.plans.plan import Plan
from pacewright.works import Works

if TYPE_CHECKING:
    from pacewright.simulate.executors import Workers
    from pacewright.simulate.solve import Question

STARTS = ("now", "empty", "steady")

USUAL_REPLICATIONS = 40
"""Replications when nothing is said of them."""

MOST_REPLICATIONS = 400
"""Most replications when a precision is asked and no limit is given."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What a planner asks of the simulation.

    Parameters
    ----------
    replications : so many runs, 2 or more; with ``precision`` the most; None: the usual.
    precision, of : wanted half width over mean of the figure ``of`` (a key of ``figures``).
    weeks : weeks measured; None: the plan's horizon.
    start : one of ``STARTS``.
    seed : of all chance.
    pace_a_week : even calls at this pace instead of the programme's; None: as planned.
    robbing : None: as the settings say.
    absence : False: as many people are there each day as on average.
    cluster : address of a Dask scheduler; blank: threads of this machine.
    threads : how many; None: one a processor.
    """

    replications: int | None = None
    precision: float | None = None
    of: str = "output_a_week"
    weeks: int | None = None
    start: str = "now"
    seed: int = 1
    pace_a_week: float | None = None
    robbing: bool | None = None
    absence: bool = True
    cluster: str = ""
    threads: int | None = None


def refuse_wrong(asked: Asked) -> None:
    """Refuse what cannot be run before anything is planned.

    Raises
    ------
    CallError : an unknown start; threads of this machine and a cluster at once.
    """
    if asked.start not in STARTS:
        raise CallError(f"--from {asked.start}: no such start. Choose one of: {', '.join(STARTS)}.")
    if asked.cluster and asked.threads:
        raise CallError(
            "--threads and --cluster: the first is for this machine, the second for others. Leave "
            "one of them out."
        )


def make_forecast(
    works: Works, plan: Plan, asked: Asked | None = None, progress: Progress = silent
) -> tuple[Plan, Forecast]:
    """The forecast of a plan, and the plan it stands beside.

    Parameters
    ----------
    works, plan : the works and its plan.
    asked : what is asked; None: forty runs from today's standing.

    Returns
    -------
    The plan as given, or at ``asked.pace_a_week`` with line and floats for that pace; the forecast.

    Raises
    ------
    CallError : an unknown start or figure, no cluster at the address, workers lost for good.
    NoPlanError : the works cannot be run through.
    """
    from pacewright.simulate.solve import forecast

    asked = asked or Asked()
    refuse_wrong(asked)
    plan = at_pace(works, plan, asked.pace_a_week)
    with hands(asked) as workers:
        return plan, forecast(works, plan, question_of(works, asked), workers, progress)


@contextmanager
def hands(asked: Asked) -> Iterator["Workers"]:
    """The workers asked for; what goes wrong in their hands is told as the office tells it.

    Raises
    ------
    CallError, NoPlanError : see ``make_forecast``.
    """
    from pacewright.simulate.chains import NoChainError
    from pacewright.simulate.compile_flow import NoPaceError
    from pacewright.simulate.executors import NoClusterError, cluster, threads
    from pacewright.simulate.replicate import WorkersLostError
    from pacewright.simulate.solve import NoSuchFigureError

    try:
        with cluster(asked.cluster) if asked.cluster else threads(asked.threads) as workers:
            yield workers
    except (NoSuchFigureError, NoClusterError, WorkersLostError) as error:
        raise CallError(str(error)) from error
    except (NoChainError, NoPaceError) as error:
        raise NoPlanError(str(error)) from error


def question_of(works: Works, asked: Asked) -> "Question":
    """What is asked, as the simulation reads it."""
    from pacewright.simulate.problem import Calls, FlowOptions
    from pacewright.simulate.replicate import HowSure
    from pacewright.simulate.solve import Question, Start

    usual = USUAL_REPLICATIONS if asked.precision is None else MOST_REPLICATIONS
    even = asked.pace_a_week is not None
    return Question(
        start=Start(asked.start),
        flow=FlowOptions(
            calls=Calls.EVEN if even else Calls.PROGRAMME,
            weeks=asked.weeks,
            pace_a_day=asked.pace_a_week / works.week_days if asked.pace_a_week else None,
            absence=asked.absence,
            robbing=asked.robbing,
        ),
        sure=HowSure(asked.replications or usual, asked.precision, asked.of, seed=asked.seed),
    )


def at_pace(works: Works, plan: Plan, pace_a_week: float | None) -> Plan:
    """The plan with its line and floats at another pace; its programme is not made anew."""
    if pace_a_week is None:
        return plan
    from pacewright.floats.solve import float_list
    from pacewright.pace.solve import line

    programme = replace(plan.programme, pace_a_day=pace_a_week / works.week_days)
    paced = line(works, programme)
    return replace(plan, programme=programme, line=paced, floats=float_list(works, paced))
