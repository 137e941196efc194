"""Positions of each stage: busy on average, wanted for the paced flow, and what is missing."""

from dataclasses import dataclass

from pacewright.pace.arrivals import Arrivals, arrivals_at
from pacewright.pace.gear import geared, over_words, per_cent
from pacewright.pace.paced import PacedQueue, Wait
from pacewright.pace.problem import LineProblem
from pacewright.pace.queueing import places_if_random
from pacewright.plans.line import Gear, StageLoad
from pacewright.shops.tables import Stage

TO_THE_OPENING_DAYS = 0.5
"""Mean time from a moment of a working day to the next opening [working days]."""


@dataclass(frozen=True, slots=True)
class StageWait:
    """Mean waits of one vehicle before a stage [working days].

    ``position_days`` : for a position, because of other vehicles; ``batch_days`` : until a batch
    starts; both 0 where the stage holds up, for there the queue grows without end.
    """

    position_days: float = 0.0
    batch_days: float = 0.0

    @property
    def days(self) -> float:
        """Both together."""
        return self.position_days + self.batch_days


def stage_loads(problem: LineProblem) -> tuple[tuple[StageLoad, ...], dict[str, StageWait]]:
    """Every stage against the pace, and the waits before those that are used."""
    arrivals = arrivals_at(problem)
    loads, waits = [], {}
    for stage in problem.stages:
        if stage.stage_id in arrivals:
            load, wait = _load_of(problem, stage, arrivals[stage.stage_id])
            waits[stage.stage_id] = wait
        else:
            load = _unused(problem, stage)
        loads.append(load)
    return tuple(loads), waits


def _load_of(problem: LineProblem, stage: Stage, arrivals: Arrivals) -> tuple[StageLoad, StageWait]:
    time = problem.times[stage.stage_id]
    hours_a_day = problem.shop_hours_a_day[stage.shop_id]
    queue = PacedQueue(arrivals, time)
    pieces = problem.pace_a_day * problem.pieces_a_vehicle(stage.stage_id)
    busy = queue.load
    size, at_once = stage.charge_size, stage.charges_at_once
    able = problem.pace_a_week * at_once / busy
    wanted = size * queue.positions_for(problem.confidence, problem.week_days)
    holds_up = busy > at_once * (1 + 1e-9)
    grows = (1 - able / problem.pace_a_week) * problem.week_days if holds_up else 0.0
    wait = Wait(1.0, grows) if holds_up else queue.wait(at_once, problem.week_days)
    batch = _batch_days(size, pieces, arrivals)
    gear = geared(able, problem.pace_a_week, stage.positions, wanted)
    load = StageLoad(
        stage_id=stage.stage_id,
        name=stage.name,
        shop_id=stage.shop_id,
        assembly_id=stage.assembly_id,
        pieces_a_day=pieces,
        hours_mean=time.mean_days * hours_a_day,
        hours_sd=time.sd_days * hours_a_day,
        batch_size=stage.batch_size,
        positions=stage.positions,
        positions_mean=busy * size,
        positions_wanted=wanted,
        use_share=busy * size / stage.positions,
        wait_chance=wait.chance,
        wait_hours=wait.mean_days * hours_a_day,
        able_a_week=able,
        over_share=able / problem.pace_a_week - 1,
        gear=gear,
        reason=_reason(problem, stage, wanted, able, gear),
        positions_random=size * places_if_random(busy, 1 - problem.confidence),
        batch_wait_hours=batch * hours_a_day,
        wait_grows_hours=grows * hours_a_day,
    )
    return load, StageWait(0.0 if holds_up else wait.mean_days, batch)


def _batch_days(batch_size: int, pieces_a_day: float, arrivals: Arrivals) -> float:
    """Mean wait until a batch starts; nothing waits when a vehicle brings a whole batch.

    Equations
    ---------
    (B - g) / (2 x pieces a day) with g pieces that come at once: the first waits for B - g more,
    the last for none. At the next opening of the shop what is there starts as it is, as the
    simulation has it: half a working day on average, and no wait is longer than that.
    """
    filled = (batch_size - arrivals.pieces_together) / (2 * pieces_a_day)
    return max(0.0, min(filled, TO_THE_OPENING_DAYS))


def _reason(problem: LineProblem, stage: Stage, wanted: int, able_a_week: float, gear: Gear) -> str:
    said = over_words(able_a_week, problem.pace_a_week)
    said += (
        f"; positions wanted for {per_cent(problem.confidence)} free on arrival: {wanted}, "
        f"there are {stage.positions}."
    )
    if gear is Gear.HOLDS_UP:
        more = wanted - stage.positions
        return f"{said} Add {more}, shorten the stay, or work longer hours in the shop."
    if gear is Gear.TIGHT:
        return f"{said} Able on average: add {wanted - stage.positions} or make the stay steadier."
    if gear is Gear.RUNS_AHEAD:
        spare = stage.positions - wanted
        return f"{said} {spare} can serve elsewhere, or work piles up before the stage after it."
    return said


def _unused(problem: LineProblem, stage: Stage) -> StageLoad:
    time = problem.times[stage.stage_id]
    hours_a_day = problem.shop_hours_a_day[stage.shop_id]
    return StageLoad(
        stage_id=stage.stage_id,
        name=stage.name,
        shop_id=stage.shop_id,
        assembly_id=stage.assembly_id,
        pieces_a_day=0.0,
        hours_mean=time.mean_days * hours_a_day,
        hours_sd=time.sd_days * hours_a_day,
        batch_size=stage.batch_size,
        positions=stage.positions,
        positions_mean=0.0,
        positions_wanted=0,
        use_share=0.0,
        wait_chance=0.0,
        wait_hours=0.0,
        able_a_week=0.0,
        over_share=0.0,
        gear=Gear.RUNS_AHEAD,
        reason="No vehicle of the programme passes this stage: its positions stand idle.",
    )
