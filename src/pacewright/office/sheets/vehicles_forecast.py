"""The forecast of releases for the pages: made in the background, the last one shown meanwhile."""

import threading
import time
from dataclasses import dataclass
from typing import Any

from pacewright.office.background import Job
from pacewright.office.desk import Desk
from pacewright.office.sheets.today_paper import NO_PLAN_YET, DayPaper, background
from pacewright.plans.promise import PromiseList, VehiclePromise

RUNS = 200
"""Replications: the range of 90 % then rests on ten of them on either side."""

KEEP_SECONDS = 300.0
"""A forecast so old is still shown while events come in; the page says up to which it knows."""

TRY_AGAIN_SECONDS = 60.0


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
            if self.being_made:
                return "The forecast is being computed; show the page again in a moment."
            return self.why_not or "There is no forecast."
        told = (
            f"Forecast from event {self.place:,}, works time {self.made.now:%Y-%m-%d %H:%M}, "
            f"{self.made.runs} runs"
        )
        return told + ("; a newer one is being computed." if self.being_made else ".")

    def of(self, vehicle_id: str) -> VehiclePromise | None:
        """The forecast of one vehicle."""
        rows = self.made.vehicles if self.made else ()
        return next((one for one in rows if one.vehicle_id == vehicle_id), None)


class Forecasts:
    """Makes one forecast after another, as pages ask; never more than one at a time."""

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._last: Forecast = Forecast()
        self._mark: tuple[object, ...] = ()
        self._at = 0.0
        self._job: Job | None = None

    def look(self, desk: Desk, paper: DayPaper, wait_seconds: float) -> Forecast:
        """The last forecast; a newer one is begun when it is time."""
        with self._turn:
            self._take()
            mark = _mark_of(paper)
            if self._job is None and self._is_time(mark):
                self._job = background(desk).ask("forecast", mark, lambda: _made(paper))
            job = self._job
        if job is not None and wait_seconds:
            job.done.wait(wait_seconds)
        with self._turn:
            self._take()
            one = self._last
            return Forecast(one.made, one.place, self._job is not None, one.why_not)

    def _is_time(self, mark: tuple[object, ...]) -> bool:
        if mark == self._mark:
            return False
        keep = KEEP_SECONDS if self._last.made else TRY_AGAIN_SECONDS
        return not self._mark or time.monotonic() - self._at > keep

    def _take(self) -> None:
        job = self._job
        if job is None or not job.done.is_set():
            return
        if job.error is None:
            self._last = job.made
        else:
            self._last = Forecast(why_not=f"No forecast can be made: {job.error}")
        self._mark, self._at, self._job = job.mark, time.monotonic(), None


def _mark_of(paper: DayPaper) -> tuple[object, ...]:
    return paper.place, paper.works, paper.plan.inputs_hash if paper.plan else ""


def forecast_of(desk: Desk, paper: DayPaper, wait_seconds: float = 0.0) -> Forecast:
    """The forecast for a page.

    Parameters
    ----------
    paper : day from which a new one is made.
    wait_seconds : how long to wait for a new one.
    """
    if not paper.standing.inside() and not _expected(paper):
        return Forecast(why_not="Nothing is inside, at the gate or called: nothing to forecast.")
    if paper.plan is None:
        waits = paper.no_plan == NO_PLAN_YET
        return Forecast(being_made=waits, why_not=f"No forecast without a plan. {paper.no_plan}")
    keeper: Forecasts = desk.paper("forecasts", Forecasts, ("once",))
    return keeper.look(desk, paper, wait_seconds)


def _expected(paper: DayPaper) -> bool:
    return any(one.phase in ("at gate", "called") for one in paper.standing.vehicles.values())


def _made(paper: DayPaper) -> Any:
    from pacewright.control.promises import Forecaster, Moment, PromiseQuestion, promises
    from pacewright.simulate.executors import threads

    assert paper.plan is not None
    moment = Moment(paper.works, paper.standing, paper.today.now)
    # One thread: the pages go on answering meanwhile.
    with threads(1) as workers:
        forecaster = Forecaster(PromiseQuestion(runs=RUNS), paper.plan.programme, workers)
        return Forecast(promises(moment, forecaster), paper.place)
