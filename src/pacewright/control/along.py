"""A piece sent along what remains of its leg, stage after stage, by the critical path."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pacewright.control.clock import WorksClock
from pacewright.control.way import OnWay
from pacewright.events.standing import PieceStanding
from pacewright.pace.stage_times import StageTime
from pacewright.plans.line import Line
from pacewright.shops.tables import Stage
from pacewright.works import Works


@dataclass(frozen=True, slots=True)
class StageAhead:
    """One stage at which a piece stands or that still lies ahead of it [working days, clock].

    ``begun`` : the piece stands there and has begun, or is held there; ``begins`` is then when it
    came.
    """

    stage_id: str
    begins: float
    ends: float
    begun: bool = False


def mean_waits(works: Works, line: Line | None) -> dict[str, float]:
    """Stage -> mean wait before it by the line [working days]; none where it holds up."""
    if line is None:
        return {}
    return {
        one.stage_id: (one.wait_hours + one.batch_wait_hours) / works.shop_hours_a_day[one.shop_id]
        for one in line.stages
        # Where a stage holds up its queue has no mean: the line says what a week of it adds.
        if not one.wait_grows_hours
    }


def days_left(time: StageTime, spent_days: float) -> float:
    """Mean time left of a stage that has lasted ``spent_days``; 0 once past its most."""
    least = max(time.least_days, spent_days)
    usual = max(time.usual_days, spent_days)
    most = max(time.most_days, spent_days)
    return (least + 4 * usual + most) / 6 - spent_days


@dataclass(frozen=True)
class Along:
    """Sends pieces along their legs.

    Parameters
    ----------
    clock, now_day : the clock, and now on it.
    times, waits : stage -> time on its position, and mean wait before it [working days].
    """

    clock: WorksClock
    now_day: float
    times: Mapping[str, StageTime]
    waits: Mapping[str, float]

    def along(self, one: OnWay) -> tuple[tuple[StageAhead, ...], float]:
        """Coming stages of the leg, and the day on which it is done."""
        found, free = [], self.now_day
        waited = self.clock.day_of(one.known.last_at) if one.known.last_at else self.now_day
        if one.stage is not None and not one.passed:
            here = self.here(one, one.stage)
            found.append(here)
            free = waited = here.ends
        for stage in one.leg[one.place + 1 :]:
            begin = max(free, waited + self.waits.get(stage.stage_id, 0.0))
            free = waited = begin + self.times[stage.stage_id].mean_days
            found.append(StageAhead(stage.stage_id, begin, free))
        return tuple(found), free

    def here(self, one: OnWay, stage: Stage) -> StageAhead:
        """The stage at which a piece stands and is not done."""
        known, time = one.known, self.times[stage.stage_id]
        came = self.clock.day_of(known.since) if known.since else self.now_day
        if known.failed:
            again = stage.rectify_hours / stage.hours_usual * time.usual_days
            return StageAhead(stage.stage_id, came, self.now_day + again + time.mean_days, True)
        left = days_left(time, self._spent(known, came))
        return StageAhead(stage.stage_id, came, self.now_day + left, True)

    def _spent(self, known: PieceStanding, came: float) -> float:
        # Work counts from when it began, and not while the piece is held.
        first = min(known.began.values(), default=None)
        until = min((one.at for one in known.holds.values()), default=None)
        end = self.clock.day_of(until) if until else self.now_day
        begin = self.clock.day_of(first) if first else (end if until else came)
        return max(0.0, end - begin)

    def onwards(self, leg: Sequence[Stage], start: float) -> tuple[tuple[StageAhead, ...], float]:
        """A whole leg from ``start`` on."""
        found, free = [], start
        for stage in leg:
            begin = free + self.waits.get(stage.stage_id, 0.0)
            free = begin + self.times[stage.stage_id].mean_days
            found.append(StageAhead(stage.stage_id, begin, free))
        return tuple(found), free

    def fellows(
        self, leg: Sequence[Stage], count: int, start: float
    ) -> tuple[dict[str, float], list[float]]:
        """First begin at each stage, and the days done, of ``count`` alike from one vehicle."""
        begins: dict[str, float] = {}
        free = [start] * count
        for stage in leg:
            wait = self.waits.get(stage.stage_id, 0.0)
            together = stage.positions
            ends: list[float] = []
            for index in range(count):
                fellow = ends[index - together] if index >= together else 0.0
                begin = max(free[index] + (wait if index < together else 0.0), fellow)
                begins.setdefault(stage.stage_id, begin)
                ends.append(begin + self.times[stage.stage_id].mean_days)
            free = ends
        return begins, free
