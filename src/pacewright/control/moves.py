"""Next moves that can be made now, and what is blocked: by what, and what opens it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from pacewright.control.ahead import Ahead
from pacewright.control.needs import Need
from pacewright.control.places import Places
from pacewright.control.pool import Pool
from pacewright.control.unmet import Unmet, unmet_now
from pacewright.control.way import OnWay
from pacewright.events.stages import Held
from pacewright.events.standing import Standing
from pacewright.events.things import WHOLE, Cause
from pacewright.shops.tables import Stage
from pacewright.works import Works

MOVE, PART, MARRY, RELEASE = "move", "part", "marry", "ready for release"

_KEPT_UNTIL_FREED = (Cause.SAFETY, Cause.INSPECTION, Cause.OTHER)
"""Holds that block until they are freed; what the others wait for is looked at anew."""


@dataclass(frozen=True, slots=True)
class Move:
    """Something that can be done with a piece now; a person decides and books it.

    Parameters
    ----------
    what : ``move``, ``part``, ``marry`` or ``ready for release``.
    piece : whole vehicle or assembly, in words.
    vehicle_id : number it carries, or would go to.
    to_stage_id, position : where to; 0 where no position is taken.
    since : moment from which it could go.
    promise : current promise of its vehicle; earlier promises choose first.
    """

    what: str
    piece: str
    vehicle_id: str
    from_stage_id: str
    to_stage_id: str
    position: int
    since: datetime | None
    promise: date | None


@dataclass(frozen=True, slots=True)
class Blocked:
    """A piece that stands and can neither go on nor be worked on, and why.

    Parameters
    ----------
    stage_id, next_stage_id : where it stands, and where it wants to go; equal when the work there
        cannot go on.
    waits_for : unit kind, stage, trade or assembly.
    by : who or what is in the way, in words.
    opens : what opens it, in words.
    opens_day : when that is expected, on the clock; None: not known.
    since : moment from which it stands.
    """

    piece: str
    vehicle_id: str
    stage_id: str
    next_stage_id: str
    cause: Cause
    waits_for: str
    by: str
    opens: str
    opens_day: float | None
    since: datetime | None


@dataclass(frozen=True)
class Moves:
    """What can move, what is blocked, and what is at work or may be worked on.

    ``at_work`` : somebody is at work on it, or its stage needs nobody (drying). ``to_work_on`` :
    stands on its stage, nothing is in the way, nobody is at work on it.
    """

    moves: tuple[Move, ...]
    blocked: tuple[Blocked, ...]
    at_work: tuple[str, ...]
    to_work_on: tuple[Blocked, ...]


def next_moves(
    works: Works, standing: Standing, seen: Ahead, wanted: Sequence[Need], pool: dict[str, Pool]
) -> Moves:
    """The next move of every piece inside, or why it cannot be made.

    Free positions go to the earliest promise, then to what stands longest. No move is proposed
    under a safety hold or while anyone is at work on the piece.

    Parameters
    ----------
    works, standing, seen : as for ``ahead``.
    wanted, pool : needs and pools of the same standing, for the units missing.
    """
    looker = _Looker(works, standing, seen, unmet_now(wanted, pool))
    pieces = [(number, one.on_way) for number, one in seen.vehicles.items()]
    pieces += [(one.goes_to, one.on_way) for one in seen.assemblies.values()]
    pieces.sort(key=lambda row: looker.turn(*row))
    found = [one for number, on_way in pieces for one in looker.look(number, on_way)]
    blocked = [one for one in found if isinstance(one, Blocked)]
    return Moves(
        moves=tuple(one for one in found if isinstance(one, Move)),
        blocked=tuple(one for one in blocked if one.waits_for or one.by),
        at_work=tuple(one for one in found if isinstance(one, str)),
        to_work_on=tuple(one for one in blocked if not one.waits_for and not one.by),
    )


class _Looker:
    """Looks at each piece in turn; a position proposed to one is not free for the next."""

    def __init__(
        self, works: Works, standing: Standing, seen: Ahead, unmet: dict[tuple[str, str], Unmet]
    ) -> None:
        self.works, self.standing, self.seen, self.unmet = works, standing, seen, unmet
        self.places = Places(works, standing)
        self.stages = {one.stage_id: one for one in works.stages}

    def promise(self, vehicle_id: str) -> date | None:
        vehicle = self.standing.vehicles.get(vehicle_id)
        return vehicle.promise if vehicle else None

    def turn(self, vehicle_id: str, one: OnWay) -> tuple[date, datetime, str]:
        """Earliest promise first, then what stands longest."""
        known = one.known
        return (
            self.promise(vehicle_id) or date.max,
            known.last_at or datetime.max,
            str(known.piece),
        )

    def look(self, vehicle_id: str, one: OnWay) -> Iterator[Move | Blocked | str]:
        known = one.known
        alone = one.stage is not None and not one.passed and not one.stage.crew
        if known.trades or (alone and not known.failed and not known.holds):
            yield str(known.piece)
            return
        held = next((known.holds[c] for c in _KEPT_UNTIL_FREED if c in known.holds), None)
        if held:
            yield self._held(vehicle_id, one, held)
        elif not one.passed and one.stage:
            yield self._at_stage(vehicle_id, one, one.stage)
        elif one.next_stage:
            yield self._to(vehicle_id, one, one.next_stage)
        else:
            yield from self._end_of_leg(vehicle_id, one)

    def _held(self, vehicle_id: str, one: OnWay, held: Held) -> Blocked:
        words = held.reason or f"hold: {held.cause}"
        who = "an authorised person, by name" if held.cause is Cause.SAFETY else "whoever set it"
        opens = f"freed by {who}"
        return self._blocked(vehicle_id, one, held.cause, (held.waits_for, words, opens), None)

    def _at_stage(self, vehicle_id: str, one: OnWay, stage: Stage) -> Blocked:
        if one.known.failed:
            reason = ("rectification", "failed at this stage", "rectified, then tested again")
            return self._blocked(vehicle_id, one, Cause.INSPECTION, reason, None)
        return (
            self._part_missing(vehicle_id, one, stage)
            or self._batch_open(vehicle_id, one, stage)
            or self._nobody_there(vehicle_id, one, stage)
            or self._blocked(vehicle_id, one, Cause.PEOPLE, ("", "", "work is begun"), None)
        )

    def _to(self, vehicle_id: str, one: OnWay, stage: Stage) -> Move | Blocked:
        missing = self._part_missing(vehicle_id, one, stage)
        if missing:
            return missing
        position = self.places.take(stage.stage_id)
        if position:
            return self._move(MOVE, vehicle_id, one, stage.stage_id, position)
        return self._full(vehicle_id, one, stage)

    def _full(self, vehicle_id: str, one: OnWay, stage: Stage) -> Blocked:
        there = self.places.there(stage.stage_id)
        closed = self.places.closed(stage.stage_id)
        words = [str(piece) for piece in there] + [f"position {n} out of use" for n in closed]
        first = self._first_out(stage.stage_id)
        opens = f"{first[1]} done there" if first else "a position is free or in use again"
        reason = (stage.stage_id, ", ".join(words), opens)
        return self._blocked(
            vehicle_id, one, Cause.POSITION, reason, first[0] if first else None, stage.stage_id
        )

    def _first_out(self, stage_id: str) -> tuple[float, str] | None:
        ends = [
            (stage.ends, str(one.on_way.known.piece))
            for one in self.seen.everything
            for stage in one.coming
            if stage.stage_id == stage_id and stage.begun
        ]
        return min(ends, default=None)

    def _end_of_leg(self, vehicle_id: str, one: OnWay) -> Iterable[Move | Blocked]:
        way = self.seen.all_ways.get(one.type_id)
        if way is None:
            return
        whole = one.known.piece.assembly_id == WHOLE
        if whole and (one.married or not way.parts):
            yield self._move(RELEASE, vehicle_id, one, "", 0)
        elif whole:
            yield self._move(PART, vehicle_id, one, one.known.stage_id, 0)
        elif one.known.vehicle_id:
            yield self._marriage(vehicle_id, one, way.after[0])

    def _marriage(self, vehicle_id: str, one: OnWay, stage: Stage) -> Move | Blocked:
        lead = self.seen.vehicles[vehicle_id]
        if lead.waits_for:
            reason = (lead.waits_for, f"no {lead.waits_for} done for it", f"{lead.waits_for} done")
            return self._blocked(
                vehicle_id, one, Cause.ASSEMBLY, reason, lead.marries_day, stage.stage_id
            )
        if one.known.stage_id == stage.stage_id:
            return self._move(MARRY, vehicle_id, one, stage.stage_id, one.known.position)
        position = self.places.take(stage.stage_id)
        if position:
            return self._move(MARRY, vehicle_id, one, stage.stage_id, position)
        return self._full(vehicle_id, one, stage)

    def _part_missing(self, vehicle_id: str, one: OnWay, stage: Stage) -> Blocked | None:
        # A loose assembly may also get what its former vehicle owes; its own number it has not.
        number = one.known.vehicle_id or one.known.came_from
        for name in dict.fromkeys((str(one.known.piece), f"{WHOLE} {number}")):
            short = self.unmet.get((name, stage.stage_id))
            if short:
                kinds = ", ".join(short.kinds)
                opens = f"{short.kinds[0]} from shop {short.owner}"
                reason = (short.kinds[0], f"no serviceable {kinds} free for it", opens)
                return self._blocked(
                    vehicle_id, one, Cause.PART, reason, short.expected_day, stage.stage_id
                )
        return None

    def _batch_open(self, vehicle_id: str, one: OnWay, stage: Stage) -> Blocked | None:
        there = [self.standing.pieces[piece] for piece in self.places.there(stage.stage_id)]
        waiting = [other for other in there if not other.finished and not other.began]
        charge = min(stage.batch_size, stage.positions)
        if charge == 1 or one.known.began or len(waiting) >= charge:
            return None
        more = charge - len(waiting)
        coming = [row for row in self.seen.begins_at[stage.stage_id] if row[0] > self.seen.now_day]
        opens = f"{more} more have come, or it starts as it is next morning"
        reason = (stage.stage_id, f"charge not full, {more} to come", opens)
        morning = self.seen.clock.start_of_day(self.seen.now_day) + 1
        day = min(coming[more - 1][0], morning) if len(coming) >= more else morning
        return self._blocked(vehicle_id, one, Cause.BATCH, reason, day)

    def _nobody_there(self, vehicle_id: str, one: OnWay, stage: Stage) -> Blocked | None:
        today = self.seen.now.date()
        trades = {row.trade_id for row in self.works.operations if row.stage_id == stage.stage_id}
        for trade_id in sorted(trades):
            booked = self.standing.attended.get((stage.shop_id, trade_id, today))
            if booked is not None and booked[0] == 0:
                reason = (trade_id, f"no {trade_id} attends in shop {stage.shop_id} today", "")
                return self._blocked(
                    vehicle_id, one, Cause.PEOPLE, (*reason[:2], f"{trade_id} attends"), None
                )
        return None

    def _move(
        self, what: str, vehicle_id: str, one: OnWay, to_stage_id: str, position: int
    ) -> Move:
        known = one.known
        return Move(
            what,
            str(known.piece),
            vehicle_id,
            known.stage_id or known.place_id,
            to_stage_id,
            position,
            known.last_at,
            self.promise(vehicle_id),
        )

    def _blocked(
        self,
        vehicle_id: str,
        one: OnWay,
        cause: Cause,
        reason: tuple[str, str, str],
        opens_day: float | None,
        next_stage_id: str = "",
    ) -> Blocked:
        known = one.known
        held = known.holds.get(cause)
        here = known.stage_id or known.place_id
        return Blocked(
            str(known.piece),
            vehicle_id,
            here,
            next_stage_id or here,
            cause,
            *reason,
            opens_day,
            held.at if held else known.last_at,
        )
