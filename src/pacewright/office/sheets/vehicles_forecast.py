"""The forecast of releases for the pages: made aside, the last one shown meanwhile."""

from dataclasses import dataclass

from pacewright.events.standing import Phase
from pacewright.office.aside import Aside
from pacewright.office.desk import Desk
from pacewright.office.sheets.today_made import DayPaper
from pacewright.office.sheets.today_paper import NO_PLAN_YET, background
from pacewright.plans.programme import Programme
from pacewright.plans.promise import PromiseList, VehiclePromise

RUNS = 200
"""Replications: the range of 90 % then rests on ten of them on either side."""

KEEP_SECONDS = 300.0
"""A forecast so old is still shown while events come in; the page says up to which it knows."""

BEING_MADE = "The forecast is being computed; show the page again in a moment."


@dataclass(frozen=True, slots=True)
class Forecast:
    """What is known of the releases ahead.

    Parameters
    ----------
    made : the last forecast; None: there is none yet.
    place : last event of the record it knows.
    being_made : a newer one is under way.
    why_not : why there is none; empty: nothing stands against it.
    """

    made: PromiseList | None = None
    place: int = 0
    being_made: bool = False
    why_not: str = ""

    @property
    def said(self) -> str:
        """How it stands, a sentence."""
        if self.made is None:
            return BEING_MADE if self.being_made else self.why_not or "There is no forecast."
        told = (
            f"Forecast from event {self.place:,}, works time {self.made.now:%Y-%m-%d %H:%M}, "
            f"{self.made.runs} runs"
        )
        return told + ("; a newer one is being computed." if self.being_made else ".")

    def of(self, vehicle_id: str) -> VehiclePromise | None:
        """The forecast of one vehicle."""
        rows = self.made.vehicles if self.made else ()
        return next((one for one in rows if one.vehicle_id == vehicle_id), None)


def forecast_of(desk: Desk, paper: DayPaper, wait_seconds: float = 0.0) -> Forecast:
    """The forecast for a page.

    Parameters
    ----------
    paper : day from which a new one is made.
    wait_seconds : how long to wait for a new one.
    """
    if not _awaited(paper):
        return Forecast(why_not="Nothing is inside, at the gate or called: nothing to forecast.")
    if paper.plan is None:
        waits = paper.no_plan == NO_PLAN_YET
        return Forecast(being_made=waits, why_not=f"No forecast without a plan. {paper.no_plan}")
    keeper: Aside[tuple[PromiseList, int]] = desk.paper(
        "forecasts", lambda: Aside("forecast", KEEP_SECONDS), ("once",)
    )
    mark = (paper.place, paper.works, paper.plan.inputs_hash)
    programme = paper.plan.programme
    told = keeper.look(
        background(desk), mark, lambda: desk.apart(forecast_made, programme), wait_seconds
    )
    if told.made is None:
        why_not = f"No forecast can be made: {told.why_not}" if told.why_not else ""
        return Forecast(being_made=told.being_made, why_not=why_not)
    return Forecast(*told.made, told.being_made)


def _awaited(paper: DayPaper) -> bool:
    coming = (Phase.INSIDE, Phase.AT_GATE, Phase.CALLED)
    return any(one.phase in coming for one in paper.standing.vehicles.values())


def forecast_made(desk: Desk, programme: Programme) -> tuple[PromiseList, int]:
    """Forecast the releases from where everything stands now, and up to which event that is."""
    from pacewright.control.promises import Forecaster, Moment, PromiseQuestion, promises
    from pacewright.simulate.executors import threads

    works, _ = desk.works_now()
    copy = desk.copied()
    # One thread: the pages go on answering meanwhile.
    with threads(1) as workers:
        forecaster = Forecaster(PromiseQuestion(runs=RUNS), programme, workers)
        return promises(Moment(works, copy.standing, desk.now()), forecaster), copy.place
