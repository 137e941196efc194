"""Next moves that can be made now, and what is blocked: by what, and what opens it."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta

from pacewright.control.ahead import Ahead
from pacewright.control.causes import Causes, Reason
from pacewright.control.needs import Need
from pacewright.control.next_move import MARRY, MOVE, PART, RELEASE, Blocked, Move, Moves
from pacewright.control.places import Places
from pacewright.control.pool import Pool
from pacewright.control.unmet import unmet_now
from pacewright.control.way import OnWay
from pacewright.events.standing import Standing
from pacewright.events.things import WHOLE, Cause
from pacewright.shops.tables import Stage
from pacewright.works import Works

PRESSING = timedelta(hours=24)
"""What must go on within this time chooses its position before all others."""


def next_moves(
    works: Works, standing: Standing, seen: Ahead, wanted: Sequence[Need], pool: Mapping[str, Pool]
) -> Moves:
    """The next move of every piece inside, or why it cannot be made.

    Free positions go first to what must go on within 24 hours because the longest wait after its
    stage runs out, then to the earliest promise, then to what stands longest. No move is proposed
    under a safety hold or while anyone is at work on the piece.

    Parameters
    ----------
    works, standing, seen : as for ``ahead``.
    wanted, pool : needs and pools of the same standing, for the units missing.
    """
    places = Places(works, standing)
    causes = Causes(works, standing, seen, places, unmet_now(wanted, pool, seen.now_day))
    looker = _Looker(standing, seen, places, causes)
    pieces = [(number, one.on_way) for number, one in seen.vehicles.items()]
    pieces += [(one.goes_to, one.on_way) for one in seen.assemblies.values()]
    pieces.sort(key=lambda row: looker.turn(*row))
    for number, on_way in pieces:
        looker.look(number, on_way)
    return Moves(
        tuple(looker.moves), tuple(looker.blocked), tuple(looker.at_work), tuple(looker.to_work_on)
    )


class _Looker:
    """Looks at each piece in turn; a position proposed to one is not free for the next."""

    def __init__(self, standing: Standing, seen: Ahead, places: Places, causes: Causes) -> None:
        self._standing, self._seen, self._places, self._causes = standing, seen, places, causes
        self.moves: list[Move] = []
        self.blocked: list[Blocked] = []
        self.at_work: list[str] = []
        self.to_work_on: list[Blocked] = []

    def turn(self, vehicle_id: str, one: OnWay) -> tuple[datetime, date, datetime, str]:
        """Order in which pieces choose: what presses, earliest promise, what stands longest."""
        must_by = self._must_by(one)
        presses = must_by is not None and must_by <= self._seen.now + PRESSING
        known = one.known
        return (
            must_by if must_by is not None and presses else datetime.max,
            self._promise(vehicle_id) or date.max,
            known.last_at or datetime.max,
            str(known.piece),
        )

    def look(self, vehicle_id: str, one: OnWay) -> None:
        """Enter what can be done with a piece, or why nothing can."""
        stage = one.stage if not one.passed else None
        known = one.known
        alone = stage is not None and not stage.crew and not known.failed and not known.holds
        if known.trades or alone:
            self.at_work.append(str(known.piece))
        elif held := self._causes.hold(one):
            self._block(vehicle_id, one, held)
        elif stage is not None:
            self._at_stage(vehicle_id, one, stage)
        elif one.next_stage is not None:
            self._to(vehicle_id, one, one.next_stage, MOVE)
        else:
            self._end_of_leg(vehicle_id, one)

    def _at_stage(self, vehicle_id: str, one: OnWay, stage: Stage) -> None:
        reason = self._causes.at_stage(one, stage)
        if reason:
            self._block(vehicle_id, one, reason)
        else:
            free = Reason(Cause.PEOPLE, "", "", "work is begun")
            self.to_work_on.append(self._blocked(vehicle_id, one, free, ""))

    def _to(self, vehicle_id: str, one: OnWay, stage: Stage, what: str) -> None:
        missing = self._causes.part_missing(one, stage)
        if missing:
            self._block(vehicle_id, one, missing, stage.stage_id)
        elif position := self._places.take(stage.stage_id):
            self._move(what, vehicle_id, one, (stage.stage_id, position))
        else:
            self._block(vehicle_id, one, self._causes.full(stage), stage.stage_id)

    def _end_of_leg(self, vehicle_id: str, one: OnWay) -> None:
        way = self._seen.all_ways.get(one.type_id)
        if way is None:
            return
        if one.known.piece.assembly_id == WHOLE:
            ready = one.married or not way.parts
            here = ("", 0) if ready else (one.known.stage_id, 0)
            self._move(RELEASE if ready else PART, vehicle_id, one, here)
        elif one.known.vehicle_id:
            self._marriage(vehicle_id, one, way.after[0])
        elif waits := self._causes.lead(vehicle_id):
            self._block(vehicle_id, one, waits, way.after[0].stage_id)

    def _marriage(self, vehicle_id: str, one: OnWay, stage: Stage) -> None:
        missing = self._causes.assembly(vehicle_id)
        if missing:
            self._block(vehicle_id, one, missing, stage.stage_id)
        elif one.known.stage_id == stage.stage_id:
            self._move(MARRY, vehicle_id, one, (stage.stage_id, one.known.position))
        else:
            self._to(vehicle_id, one, stage, MARRY)

    def _promise(self, vehicle_id: str) -> date | None:
        vehicle = self._standing.vehicles.get(vehicle_id)
        return vehicle.promise if vehicle else None

    def _must_by(self, one: OnWay) -> datetime | None:
        # Paint dries and bare metal rusts by the clock, not by working hours.
        following = one.next_stage
        if not one.passed or one.known.last_at is None or following is None:
            return None
        hours = following.longest_wait_hours
        began = one.place >= 0
        return one.known.last_at + timedelta(hours=hours) if hours is not None and began else None

    def _move(self, what: str, vehicle_id: str, one: OnWay, to: tuple[str, int]) -> None:
        known = one.known
        self.moves.append(
            Move(
                what,
                str(known.piece),
                vehicle_id,
                known.stage_id or known.place_id,
                *to,
                known.last_at,
                self._must_by(one),
                self._promise(vehicle_id),
            )
        )

    def _block(self, vehicle_id: str, one: OnWay, reason: Reason, next_stage_id: str = "") -> None:
        self.blocked.append(self._blocked(vehicle_id, one, reason, next_stage_id))

    def _blocked(self, vehicle_id: str, one: OnWay, reason: Reason, next_stage_id: str) -> Blocked:
        known = one.known
        held = known.holds.get(reason.cause)
        here = known.stage_id or known.place_id
        return Blocked(
            str(known.piece),
            vehicle_id,
            here,
            next_stage_id or here,
            *reason,
            held.at if held else known.last_at,
            self._must_by(one),
        )
