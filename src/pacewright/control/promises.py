"""Promises: the works run on from the record many times; what that says of each vehicle.

A promise is made by a person who books it; nothing here makes one. The forecast stands beside the
first promise of the visit, which is kept for ever, and the current one.
"""

import time
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import ceil

from pacewright.base.progress import Progress, silent
from pacewright.control.promise_changes import changes_since
from pacewright.control.release_days import ReleaseDays
from pacewright.control.threats import threat_to
from pacewright.events.standing import Phase, Standing, VehicleStanding
from pacewright.plans.card import ResultCard
from pacewright.plans.programme import Programme
from pacewright.plans.promise import PromiseList, Threat, VehiclePromise
from pacewright.simulate.executors import Workers
from pacewright.simulate.live_start import LiveStart
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.releases import Asked, Releases, releases
from pacewright.simulate.replicate import HowSure
from pacewright.works import Works

_MOST_WEEKS = 104
_TURNS = 2.5
"""The runs go on for so many promised turn times after the last call: few vehicles take longer."""


@dataclass(frozen=True, slots=True)
class PromiseQuestion:
    """How the forecast is made.

    Parameters
    ----------
    runs : replications, 20 or more.
    seed : of all chance; the same gives the same forecast.
    confidence : share of the runs within the range shown.
    called_within_days : vehicles called in are forecast when due within so many days.
    pace_a_day : even calls after those of the record at this pace, when there is no programme.
    robbing : None: as the settings say.
    """

    runs: int = 200
    seed: int = 1
    confidence: float = 0.9
    called_within_days: int = 28
    pace_a_day: float | None = None
    robbing: bool | None = None


@dataclass(frozen=True)
class Moment:
    """The record at one moment.

    Parameters
    ----------
    works : its tables brought up to the record at that moment.
    standing : where everything stands.
    now : the moment.
    """

    works: Works
    standing: Standing
    now: datetime


@dataclass(frozen=True)
class Forecaster:
    """Makes the forecast of a moment.

    Parameters
    ----------
    question : how.
    programme : who comes after those called in; None: even calls.
    workers : in whose hands the runs are; None: threads of this machine.
    """

    question: PromiseQuestion
    programme: Programme | None = None
    workers: Workers | None = None

    def runs(self, at: Moment, progress: Progress = silent) -> Releases:
        """The runs from one moment."""
        question = self.question
        options = FlowOptions(
            calls=Calls.PROGRAMME if self.programme else Calls.EVEN,
            weeks=self._weeks(at),
            pace_a_day=question.pace_a_day,
            robbing=question.robbing,
        )
        sure = HowSure(question.runs, seed=question.seed)
        live = LiveStart(at.standing, at.now)
        asked = Asked(at.works, live, self.programme, options, sure)
        return releases(asked, self.workers, progress)

    def _weeks(self, at: Moment) -> int:
        """Weeks until nearly every vehicle known is released."""
        turn = max((one.turn_days for one in at.works.vehicle_types), default=20.0)
        last = at.now.date() + timedelta(days=self.question.called_within_days)
        ahead = (last - at.now.date()).days / 7
        return min(_MOST_WEEKS, ceil(ahead + _TURNS * turn / at.works.week_days) + 2)


def promises(
    at: Moment,
    forecaster: Forecaster,
    before: Moment | None = None,
    progress: Progress = silent,
) -> PromiseList:
    """The forecast of every vehicle inside, at the gate and called in soon.

    Parameters
    ----------
    at : the record as it stands.
    forecaster : how the runs are made.
    before : the record as it stood before; what changed since is told, by runs that share their
        chance with those of now.

    Equations
    ---------
    Ranges and days to promise: ``ReleaseDays``.
    """
    began = time.perf_counter()
    runs = forecaster.runs(at, progress)
    made = listed(at, runs, forecaster.question)
    if before is not None:
        old_runs = forecaster.runs(before, progress)
        old = listed(before, old_runs, forecaster.question)
        made = changes_since(made, runs, old, old_runs)
    return replace(made, card=replace(made.card, seconds=time.perf_counter() - began))


def listed(at: Moment, runs: Releases, question: PromiseQuestion) -> PromiseList:
    """The list that the runs of a moment make."""
    rows = [_vehicle(at, runs, name, question.confidence) for name in _shown(at, runs, question)]
    rows.sort(key=lambda one: (one.expected or datetime.max, one.vehicle_id))
    return PromiseList(
        card=_card(question, runs),
        now=at.now,
        until=runs.until,
        runs=len(runs.released),
        confidence=question.confidence,
        promise_target=at.works.settings.plan.promise_target,
        vehicles=tuple(rows),
        notes=runs.table.notes,
    )


def _shown(at: Moment, runs: Releases, question: PromiseQuestion) -> list[str]:
    last = at.now.date() + timedelta(days=question.called_within_days)
    known = at.standing.vehicles
    return [
        name
        for name in runs.vehicles
        if known[name].phase is not Phase.CALLED or (known[name].due_in or last) <= last
    ]


def _vehicle(at: Moment, runs: Releases, name: str, confidence: float) -> VehiclePromise:
    vehicle = at.standing.vehicles[name]
    column = runs.column(name)
    minutes = runs.released[:, column]
    days = ReleaseDays(runs, minutes)
    low, high = days.range(confidence)
    stands = at.standing.stands_at(name)
    return VehiclePromise(
        vehicle_id=name,
        type_id=vehicle.type_id,
        phase=vehicle.phase.value,
        stage_id=stands.stage_id if vehicle.phase is Phase.INSIDE else "",
        arrived=vehicle.arrived_at.date() if vehicle.arrived_at else None,
        first_promise=vehicle.first_promise,
        promise=vehicle.promise,
        expected=days.expected(),
        earliest=low,
        latest=high,
        keeps_first_share=days.kept_share(vehicle.first_promise),
        keeps_share=days.kept_share(vehicle.promise),
        to_promise=days.to_promise(at.works.settings.plan.promise_target),
        released_share=float((minutes >= 0).mean()),
        threat=_threat(at, runs, column, vehicle),
    )


def _threat(at: Moment, runs: Releases, column: int, vehicle: VehicleStanding) -> Threat | None:
    if vehicle.promise is None:
        return None
    late = ReleaseDays(runs, runs.released[:, column]).late(vehicle.promise)
    return threat_to(at.works, runs, column, late)


def _card(question: PromiseQuestion, runs: Releases) -> ResultCard:
    return ResultCard(
        method="event simulation from the record as it stands, independent replications; ranges "
        "by order statistics",
        status="simulated",
        objective=float(len(runs.released)),
        bound=float(question.runs),
        gap=0.0,
        unit="replications made, of those asked",
        seconds=0.0,
        seed=question.seed,
    )
