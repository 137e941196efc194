"""Why a piece cannot go on or be worked on, cause by cause, and what opens it."""

from typing import NamedTuple

from pacewright.control.ahead import Ahead
from pacewright.control.places import Places
from pacewright.control.unmet import Unmet
from pacewright.control.way import OnWay
from pacewright.events.stages import Held
from pacewright.events.standing import Standing
from pacewright.events.things import WHOLE, Cause
from pacewright.shops.tables import Stage
from pacewright.works import Works

_KEPT_UNTIL_FREED = (Cause.SAFETY, Cause.INSPECTION, Cause.OTHER)
"""Holds that block until they are freed; what the others wait for is looked at anew."""


class Reason(NamedTuple):
    """A cause with what is waited for, what is in the way, and what opens it and when."""

    cause: Cause
    waits_for: str
    by: str
    opens: str
    opens_day: float | None = None


class Causes:
    """Looks for what is in the way of a piece.

    Parameters
    ----------
    works, standing, seen : as for ``ahead``.
    places : positions, those given away already among the taken.
    unmet : needs that nothing in store meets.
    """

    def __init__(
        self,
        works: Works,
        standing: Standing,
        seen: Ahead,
        places: Places,
        unmet: dict[tuple[str, str], Unmet],
    ) -> None:
        self._works, self._standing, self._seen = works, standing, seen
        self._places, self._unmet = places, unmet

    def hold(self, one: OnWay) -> Reason | None:
        """A hold that lasts until someone frees it."""
        holds = one.known.holds
        held: Held | None = next((holds[c] for c in _KEPT_UNTIL_FREED if c in holds), None)
        if held is None:
            return None
        who = "an authorised person, by name" if held.cause is Cause.SAFETY else "whoever set it"
        words = held.reason or f"hold: {held.cause}"
        return Reason(held.cause, held.waits_for, words, f"freed by {who}")

    def at_stage(self, one: OnWay, stage: Stage) -> Reason | None:
        """Why the work of the stage where it stands cannot go on; None: it can."""
        if one.known.failed:
            opens = "rectified, then tested again"
            return Reason(Cause.INSPECTION, "rectification", "failed at this stage", opens)
        return (
            self.part_missing(one, stage)
            or self._batch_open(one, stage)
            or self._nobody_there(stage)
        )

    def part_missing(self, one: OnWay, stage: Stage) -> Reason | None:
        """Units that go on at the stage and are neither issued nor in store."""
        # A loose assembly may also get what its former vehicle owes; its own number it has not.
        number = one.known.vehicle_id or one.known.came_from
        for name in dict.fromkeys((str(one.known.piece), f"{WHOLE} {number}")):
            short = self._unmet.get((name, stage.stage_id))
            if short:
                by = f"no serviceable {', '.join(short.kinds)} free for it"
                opens = f"{short.kinds[0]} from shop {short.owner}"
                return Reason(Cause.PART, short.kinds[0], by, opens, short.expected_day)
        return None

    def full(self, stage: Stage) -> Reason:
        """Every position of the stage is taken or out of use: by whom, and who is out first."""
        there = [str(piece) for piece in self._places.there(stage.stage_id)]
        closed = [f"position {n} out of use" for n in self._places.closed(stage.stage_id)]
        ends = [
            (row.ends, row.piece)
            for row in self._seen.stays
            if row.stage_id == stage.stage_id and row.begun
        ]
        first = min(ends, default=None)
        opens = f"{first[1]} done there" if first else "a position is free or in use again"
        by = ", ".join([*there, *closed]) or "given to one with an earlier promise"
        return Reason(Cause.POSITION, stage.stage_id, by, opens, first[0] if first else None)

    def assembly(self, vehicle_id: str) -> Reason | None:
        """What a lead waits for that is to be married; None: all is there."""
        lead = self._seen.vehicles[vehicle_id]
        if not lead.waits_for:
            return None
        what = lead.waits_for
        return Reason(
            Cause.ASSEMBLY, what, f"no {what} done for it", f"{what} done", lead.marries_day
        )

    def lead(self, vehicle_id: str) -> Reason | None:
        """What an assembly waits for that is done before its lead; None: no one is to have it."""
        vehicle = self._seen.vehicles.get(vehicle_id)
        if vehicle is None or vehicle.marries_day <= self._seen.now_day:
            return None
        lead = str(vehicle.on_way.known.piece)
        return Reason(Cause.ASSEMBLY, lead, f"{lead} not done", f"{lead} done", vehicle.marries_day)

    def _batch_open(self, one: OnWay, stage: Stage) -> Reason | None:
        there = [self._standing.pieces[piece] for piece in self._places.there(stage.stage_id)]
        waiting = [other for other in there if not other.finished and not other.began]
        charge = min(stage.batch_size, stage.positions)
        if charge == 1 or one.known.began or len(waiting) >= charge:
            return None
        more = charge - len(waiting)
        now = self._seen.now_day
        coming = [row for row in self._seen.begins_at[stage.stage_id] if row[0] > now]
        morning = self._seen.clock.start_of_day(now) + 1
        day = min(coming[more - 1][0], morning) if len(coming) >= more else morning
        opens = f"{more} more have come, or it starts as it is next morning"
        return Reason(Cause.BATCH, stage.stage_id, f"charge not full, {more} to come", opens, day)

    def _nobody_there(self, stage: Stage) -> Reason | None:
        today = self._seen.now.date()
        trades = {row.trade_id for row in self._works.operations if row.stage_id == stage.stage_id}
        for trade_id in sorted(trades):
            booked = self._standing.attended.get((stage.shop_id, trade_id, today))
            if booked is not None and booked[0] == 0:
                by = f"no {trade_id} attends in shop {stage.shop_id} today"
                return Reason(Cause.PEOPLE, trade_id, by, f"{trade_id} attends")
        return None
