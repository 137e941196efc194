"""Lifting and moving told: who lifts is alone on the vehicle, says with what, and begins and ends.

A run knows that a trade works at a stage, side by side with the others. The record wants more where
what is worked on is lifted or moved: the trade that does it names the operation, and nobody else is
at work meanwhile. So it is told first, the others begin when it is over, and told again at the end.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime

from pacewright.events.stages import WorkEnded, WorkStarted
from pacewright.events.things import Event
from pacewright.simulate.told_ground import Ground
from pacewright.simulate.told_here import Here

LIFT_MINUTES = 30
"""Working minutes for which the others stand off at the beginning (common practice, no source)."""


@dataclass
class _Lift:
    """A piece at a stage at which it is lifted or moved.

    Parameters
    ----------
    trade, operations : who does it, with what, in order.
    first_hours : man-hours of the first of it; hours : of the trade, of the whole stage.
    over : the first of it is done; waiting : trades that stand off until then.
    """

    trade: str
    operations: tuple[str, ...]
    first_hours: float
    over: bool = False
    waiting: list[str] = field(default_factory=list)
    hours: float = 0.0


class LiftsTold:
    """Tells who works, and keeps the others off while the vehicle is lifted.

    Parameters
    ----------
    ground, tell : as for the stages.
    """

    def __init__(self, ground: Ground, tell: Callable[[Event], None]) -> None:
        self._ground, self._tell = ground, tell
        self._lifts: dict[Here, _Lift] = {}
        self._moving: dict[tuple[str, int], list[tuple[str, str]]] = {}
        place = {stage_id: s for s, stage_id in enumerate(ground.stages)}
        for one in ground.works.operations:
            if one.moves_vehicle and one.stage_id:
                for type_id in [one.type_id] if one.type_id else ground.table.names.types:
                    mine = self._moving.setdefault((type_id, place[one.stage_id]), [])
                    mine.append((one.trade_id, one.operation_id))

    def started(self, at: datetime, here: Here, trade: str) -> bool:
        """A trade begins; True: the vehicle is lifted now, for ``LIFT_MINUTES``."""
        begins = here not in self._lifts and self._begun(here)
        lift = self._lifts.get(here)
        if lift is None:
            self._tell(WorkStarted(at, here.piece, self._stage(here), trade))
            return False
        if begins:
            first = lift.operations[0]
            self._tell(WorkStarted(at, here.piece, self._stage(here), lift.trade, first))
        if trade != lift.trade:
            if lift.over:
                self._tell(WorkStarted(at, here.piece, self._stage(here), trade))
            else:
                lift.waiting.append(trade)
        return begins

    def _begun(self, here: Here) -> bool:
        """True when it is lifted at this stage, by a trade that works there."""
        moving = self._moving.get((self._ground.types[here.v], here.stage))
        if not moving:
            return False
        trade = moving[0][0]
        for c, need in self._ground.needs[here.step].items():
            crew = self._ground.crews[c]
            if crew is not None and crew[1] == trade:
                operations = tuple(one for who, one in moving if who == trade)
                hours = round(LIFT_MINUTES / 60 * need / 100, 1)
                self._lifts[here] = _Lift(trade, operations, hours)
                return True
        return False

    def lifted(self, at: datetime, here: Here) -> None:
        """It stands safely: the others begin."""
        lift = self._lifts.get(here)
        if lift is None or lift.over:
            return
        lift.over = True
        self._tell(WorkEnded(at, here.piece, self._stage(here), lift.trade, lift.first_hours))
        for trade in lift.waiting:
            self._tell(WorkStarted(at, here.piece, self._stage(here), trade))
        lift.waiting.clear()

    def ended(self, at: datetime, here: Here, trade: str, hours: float) -> None:
        """A trade has done its part."""
        lift = self._lifts.get(here)
        if lift is not None:
            self.lifted(at, here)
        if lift is not None and trade == lift.trade:
            lift.hours += hours
        else:
            self._tell(WorkEnded(at, here.piece, self._stage(here), trade, hours))

    def finished(self, at: datetime, here: Here) -> None:
        """Everyone is off: the last lift, with the hours of the trade in all."""
        lift = self._lifts.pop(here, None)
        if lift is not None:
            stage_id, last = self._stage(here), lift.operations[-1]
            self._tell(WorkStarted(at, here.piece, stage_id, lift.trade, last))
            left = max(0.0, round(lift.hours - lift.first_hours, 1))
            self._tell(WorkEnded(at, here.piece, stage_id, lift.trade, left))

    def _stage(self, here: Here) -> str:
        return self._ground.stages[here.stage]
