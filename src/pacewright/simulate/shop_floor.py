"""Pieces on their way: positions, parting, charges, tests, storing and marriage."""

from collections import deque

from pacewright.events.codes import Code
from pacewright.simulate.chance import Stream, quantile, whole_minutes
from pacewright.simulate.crew_work import CrewWork
from pacewright.simulate.flow_state import TOGETHER, FlowState, Phase, Piece
from pacewright.simulate.table import Then
from pacewright.simulate.unit_pipeline import UnitPipeline
from pacewright.simulate.unit_pools import UnitPools

_PIECE_KEYS = 1000
"""Attempts of one piece that its draws keep apart from those of the next."""


class ShopFloor:
    """All positions, and the pieces that hold them or wait for them.

    Parameters
    ----------
    state : the run.
    pipeline, pools, crews : where units go, come from, and who works.
    """

    def __init__(
        self, state: FlowState, pipeline: UnitPipeline, pools: UnitPools, crews: CrewWork
    ) -> None:
        self.state = state
        self._pipeline, self._pools, self._crews = pipeline, pools, crews
        stages, types = state.table.stages, state.table.types
        self.out = [0] * len(stages.key)
        self._queue: list[deque[Piece]] = [deque() for _ in stages.key]
        self._charge: list[deque[Piece]] = [deque() for _ in stages.key]
        self._store: list[deque[Piece]] = [deque() for _ in types.assembly_count]
        self._to_marry: list[deque[Piece]] = [deque() for _ in types.first_step]
        self._stored_last = [-1] * len(types.first_step)
        # Pieces of a parted vehicle that still stand, together, on its last whole position.
        self._together: dict[int, int] = {}

    # -- ready, positioned, supplied ---------------------------------------------------------

    def ready(self, piece: Piece, step: int) -> None:
        """The piece asks for a position of the stage of ``step``."""
        state = self.state
        stage = state.stage_of[step]
        piece.step, piece.since = step, state.worked
        piece.attempt = piece.redo = piece.robbing = 0
        piece.failed = -1
        self._queue[stage].append(piece)
        state.diary.queue.add(stage, 1, state.measured)
        state.note(Code.READY, piece.vehicle, stage, piece.number)
        state.look(Phase.POSITION, stage)

    def try_position(self, stage: int) -> None:
        """Give the head of a stage's queue a position, if one is free."""
        state = self.state
        if not self._queue[stage] or self._free(stage) <= 0:
            return
        piece = self._queue[stage].popleft()
        state.diary.queue.add(stage, -1, state.measured)
        self._take(piece, stage)
        state.wait(piece, state.diary.causes.position + stage)
        if self._queue[stage] and self._free(stage) > 0:
            state.look(Phase.POSITION, stage)
        self.ask(piece)

    def _take(self, piece: Piece, stage: int) -> None:
        state = self.state
        state.diary.busy.add(stage, 1, state.measured)
        self._leave(piece)
        piece.held, piece.positioned = stage, state.now
        piece.robbing, piece.more = piece.more, 0
        state.note(Code.POSITIONED, piece.vehicle, stage, piece.number)

    def ask(self, piece: Piece) -> None:
        """A piece in its position asks for its units."""
        kind = self._pools.ask(piece)
        if kind is not None:
            self.supplied(piece, kind)

    def _free(self, stage: int) -> int:
        busy = self.state.diary.busy.value[stage]
        return int(self.state.table.stages.positions[stage]) - busy - self.out[stage]

    def _leave(self, piece: Piece) -> None:
        """The piece frees the position it came from; parted pieces free theirs together."""
        if piece.held == TOGETHER:
            self._together[piece.vehicle] -= 1
            if self._together[piece.vehicle]:
                return
            del self._together[piece.vehicle]
            piece.held = self._parting_stage(piece.vehicle)
        self._give_up(piece)

    def _give_up(self, piece: Piece) -> None:
        if piece.held >= 0:
            self.state.diary.busy.add(piece.held, -1, self.state.measured)
            self.state.look(Phase.POSITION, piece.held)
            piece.held = -1

    def supplied(self, piece: Piece, kind: int) -> None:
        """All units are there, those of ``kind`` last (-1: none were asked for)."""
        state = self.state
        stage = state.stage_of[piece.step]
        state.note(Code.SUPPLIED, piece.vehicle, stage, piece.number)
        if kind >= 0:
            state.wait(piece, state.diary.causes.part + kind)
        if state.table.stages.batch[stage] == 1:
            self._charged([piece], stage)
        else:
            self._charge[stage].append(piece)
            state.look(Phase.CHARGE, stage)

    # -- as it stands when the run begins -----------------------------------------------------

    def hold(self, piece: Piece, stage: int) -> None:
        """The piece holds a position of a stage (-1: of none) that it has passed."""
        if stage >= 0:
            self.state.diary.busy.add(stage, 1, self.state.measured)
            piece.held = stage

    def hold_together(self, piece: Piece, stage: int) -> None:
        """The piece stands with the others of its vehicle where that was parted."""
        v = piece.vehicle
        if v not in self._together:
            self.state.diary.busy.add(stage, 1, self.state.measured)
        self._together[v] = self._together.get(v, 0) + 1
        piece.held = TOGETHER

    def begin_at(self, piece: Piece, step: int) -> None:
        """The piece stands on a position of its step."""
        piece.step, piece.since = step, self.state.worked
        self._take(piece, self.state.stage_of[step])

    # -- charges -----------------------------------------------------------------------------

    def try_charge(self, stage: int) -> None:
        """Make up one charge if enough pieces are there."""
        batch = int(self.state.table.stages.batch[stage])
        if len(self._charge[stage]) >= batch:
            self._charged([self._charge[stage].popleft() for _ in range(batch)], stage)
            if len(self._charge[stage]) >= batch:
                self.state.look(Phase.CHARGE, stage)

    def morning(self) -> None:
        """What waits for its charge to be full goes as it is."""
        for stage, waiting in enumerate(self._charge):
            if waiting:
                pieces = list(waiting)
                waiting.clear()
                self._charged(pieces, stage)

    def _charged(self, pieces: list[Piece], stage: int) -> None:
        """The pieces are worked together, as long as the longest of them takes."""
        state = self.state
        minutes = max(self._work(piece, stage) for piece in pieces)
        for piece in pieces:
            piece.minutes = minutes
            self.note_charged(piece, stage)
            state.wait(piece, state.diary.causes.batch + stage)
            self._crews.join(piece)

    def note_charged(self, piece: Piece, stage: int) -> None:
        """The charge of the piece is made up."""
        self.state.note(Code.BATCHED, piece.vehicle, stage, piece.number)

    def _work(self, piece: Piece, stage: int) -> int:
        """Whole minutes of work: as drawn, or what is left of it by the record."""
        left, piece.left = piece.left, 0
        return (left or self.with_scope(piece, stage, self._drawn(piece, stage))) + piece.robbing

    def with_scope(self, piece: Piece, stage: int, minutes: float) -> int:
        """Whole minutes of work: the stage's draw and what the scope adds or takes."""
        state, steps = self.state, self.state.table.steps
        key = state.vehicle_key[piece.vehicle]
        day = int(state.table.vehicles.day[piece.vehicle])
        low, high = int(steps.scope_first[piece.step]), int(steps.scope_first[piece.step + 1])
        for row in range(low, high):
            if steps.scope_from[row] <= day <= steps.scope_to[row]:
                u = state.chance(Stream.SCOPE, key, int(steps.scope_key[row]), piece.number)
                mean, whole = float(steps.scope_mean[row]), float(steps.scope_minutes[row])
                minutes += (1 - mean) * whole if u < steps.scope_share[row] else -mean * whole
        minutes = max(minutes, float(state.table.stages.least[stage]))
        return whole_minutes(minutes)

    def draw_number(self, piece: Piece) -> int:
        """The number that keeps apart the attempts of a vehicle's pieces at one stage."""
        return piece.attempt + _PIECE_KEYS * piece.number

    def _drawn(self, piece: Piece, stage: int) -> float:
        number = self.draw_number(piece)
        key = self.state.vehicle_key[piece.vehicle]
        u = self.state.chance(Stream.STAGE_TIME, key, self.state.stage_key[stage], number)
        return quantile(self.state.table.stages.minutes[stage], u)

    # -- finished ----------------------------------------------------------------------------

    def work_end(self, piece: Piece, crew: int) -> None:
        """A crew's part is done; after the last part: test, strip, and on to what follows."""
        state = self.state
        begun = self._crews.end(piece, crew)
        if begun is None:
            return
        stage = state.stage_of[piece.step]
        if piece.failed < 0:
            self._count_work(piece, stage, crew, begun)
        if self._fails(piece, stage):
            self._put_right(piece, stage)
            return
        if piece.failed >= 0:
            piece.since = piece.failed
            state.wait(piece, state.diary.causes.inspection + stage)
        state.note(Code.FINISHED, piece.vehicle, stage, piece.number)
        piece.finished = state.now
        self._pipeline.strip(piece)
        self.go_on(piece)

    def _count_work(self, piece: Piece, stage: int, crew: int, begun: int) -> None:
        """The crew that came last is what was waited for; from then on it was work."""
        state, causes = self.state, self.state.diary.causes
        if piece.leads:
            spent = state.worked - begun
            again = min(spent, piece.redo)
            state.diary.wait(piece.vehicle, causes.people + crew, begun - piece.since)
            state.diary.wait(piece.vehicle, causes.inspection + stage, again)
            state.diary.wait(piece.vehicle, causes.work, spent - again)
        piece.since = state.worked

    def _fails(self, piece: Piece, stage: int) -> bool:
        share = float(self.state.table.stages.pass_share[stage])
        if share >= 1:
            return False
        number = self.draw_number(piece)
        key = self.state.vehicle_key[piece.vehicle]
        return self.state.chance(Stream.PASS, key, self.state.stage_key[stage], number) >= share

    def _put_right(self, piece: Piece, stage: int) -> None:
        """After a failed test: put right, and the stage again."""
        state = self.state
        state.note(Code.FAILED, piece.vehicle, stage, piece.number)
        if piece.failed < 0:
            piece.failed = state.worked
        piece.attempt += 1
        put_right = int(state.table.stages.rectify_minutes[stage])
        piece.minutes = put_right + whole_minutes(self._drawn(piece, stage))
        self._crews.join(piece)

    def go_on(self, piece: Piece) -> None:
        """The piece has passed its step: on to what follows."""
        stage = self.state.stage_of[piece.step]
        then = self.state.table.steps.then[piece.step]
        if then == Then.GO_ON:
            self.ready(piece, piece.step + 1)
        elif then == Then.PART:
            self._part(piece, stage)
        elif then == Then.STORE:
            self._give_up(piece)
            self.stored(piece, stage)
        elif then == Then.MARRY:
            t = int(self.state.table.vehicles.type[piece.vehicle])
            self._to_marry[t].append(piece)
            self.state.look(Phase.MARRIAGE, t)
        else:
            self._release(piece)

    # -- parting and marriage ----------------------------------------------------------------

    def _part(self, lead: Piece, stage: int) -> None:
        state = self.state
        v = lead.vehicle
        state.note(Code.PARTED, v, stage, 0)
        pieces = self.of_vehicle(v)
        self._together[v] = len(pieces)
        for piece in pieces:
            piece.finished, piece.held = state.now, TOGETHER
            self.ready(piece, int(state.table.pieces.first_step[piece.index]))

    def _parting_stage(self, v: int) -> int:
        """The stage at which a vehicle is parted: the one before its pieces' first."""
        lead = int(self.state.table.vehicles.piece[v])
        return self.state.stage_of[int(self.state.table.pieces.first_step[lead]) - 1]

    def of_vehicle(self, v: int) -> list[Piece]:
        """The pieces that came in with a vehicle, the leading one first."""
        first, pieces = int(self.state.table.vehicles.piece[v]), self.state.pieces
        last = first
        while last < len(pieces) and pieces[last].vehicle == v:
            last += 1
        return pieces[first:last]

    def stored(self, piece: Piece, stage: int) -> None:
        """The piece waits on the floor until a vehicle of its type takes it."""
        state = self.state
        a = int(state.table.pieces.assembly[piece.index])
        t = int(state.table.vehicles.type[piece.vehicle])
        self._store[a].append(piece)
        self._stored_last[t] = a
        state.diary.stored.add(a, 1, state.measured)
        state.note(Code.STORED, piece.vehicle, stage, piece.number)
        state.look(Phase.MARRIAGE, t)

    def try_marriage(self, t: int) -> None:
        """Give the head of a type's queue the pieces it needs, if all are there."""
        state, types = self.state, self.state.table.types
        low, high = int(types.assembly_first[t]), int(types.assembly_first[t + 1])
        wanted = {a: int(types.assembly_count[a]) for a in range(low, high)}
        if not self._to_marry[t] or any(len(self._store[a]) < n for a, n in wanted.items()):
            return
        lead = self._to_marry[t].popleft()
        step = int(types.marriage_step[t])
        for a, count in wanted.items():
            state.diary.stored.add(a, -count, state.measured)
            for _ in range(count):
                other = self._store[a].popleft()
                state.note(Code.MARRIED, lead.vehicle, state.stage_of[step], other.vehicle)
        if wanted and self._stored_last[t] >= 0:
            state.wait(lead, state.diary.causes.assembly + self._stored_last[t])
        if self._to_marry[t]:
            state.look(Phase.MARRIAGE, t)
        self.ready(lead, step)

    def _release(self, piece: Piece) -> None:
        state, v = self.state, piece.vehicle
        self._give_up(piece)
        state.diary.released[v] = state.now
        state.diary.inside.add(0, -1, state.measured)
        state.note(Code.RELEASED, v, -1, 0)
        state.look(Phase.GATE)
