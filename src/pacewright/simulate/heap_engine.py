"""The plain engine: one heap of what is due, readable before it is quick.

It does exactly what the compiled engine does, from the same draws, and so is its judge; it is also
the way for short runs, which need not wait for a compiler.
"""

from collections import deque

from pacewright.events.codes import Code
from pacewright.simulate.chance import Stream
from pacewright.simulate.crew_work import CrewWork
from pacewright.simulate.flow_state import FlowState, Phase, Rank
from pacewright.simulate.run import Run
from pacewright.simulate.shop_floor import ShopFloor
from pacewright.simulate.start_run import LiveBegin
from pacewright.simulate.start_table import There
from pacewright.simulate.table import IN_STORE, FlowTable
from pacewright.simulate.unit_pipeline import UnitPipeline
from pacewright.simulate.unit_pools import UnitPools


def run_heap(table: FlowTable, seed: int, replication: int, events: bool = True) -> Run:
    """Run a works through once.

    Parameters
    ----------
    table : the works, compiled.
    seed, replication : of the chance; the same two give the same run.
    events : whether every event is kept.
    """
    return _HeapEngine(table, seed, replication, events).run()


class _HeapEngine:
    """The run itself: the gate, the mornings, the upsets, and the order of things."""

    def __init__(self, table: FlowTable, seed: int, replication: int, events: bool) -> None:
        self.table = table
        self.seed, self.replication = seed, replication
        self.state = FlowState(table, seed, replication, events)
        self.pipeline = UnitPipeline(self.state)
        self.pools = UnitPools(self.state, self.pipeline)
        self.crews = CrewWork(self.state)
        self.floor = ShopFloor(self.state, self.pipeline, self.pools, self.crews)
        self.live = LiveBegin(self.state, self.floor, self.pipeline, self.crews)
        self.gate: deque[int] = deque()

    def run(self) -> Run:
        """From the start to the end."""
        state = self.state
        state.set_now(self.table.days.start)
        self._begin()
        self._settle()
        while due := state.pop():
            minute, rank, a, b = due
            state.set_now(minute)
            self._happen(rank, a, b)
            self._settle()
        end = state.clock.worked(self.table.days.end)
        return state.diary.run(self.seed, self.replication, end)

    # -- the start ---------------------------------------------------------------------------

    def _begin(self) -> None:
        state = self.state
        first = state.clock.next_day(state.now)
        state.push(state.clock.opening(first), Rank.MORNING, first, 0)
        self.live.crews()
        self.pipeline.begin()
        self.live.units()
        self.pools.begin()
        for u in range(len(self.table.upsets.key)):
            self._first_upset(u)
        for v, there in enumerate(self.table.vehicles.inside.tolist()):
            if there == There.INSIDE:
                self._stands_inside(v)
            elif there == There.AT_GATE:
                self._vehicle_arrives(v)
            elif there == There.TO_COME:
                state.push(self._arrival(v), Rank.VEHICLE_ARRIVES, v, 0)
        self.live.pieces()

    def _stands_inside(self, v: int) -> None:
        state, diary = self.state, self.state.diary
        diary.arrived[v] = diary.admitted[v] = state.now
        diary.inside.add(0, 1, state.measured)
        state.note(Code.ARRIVED, v, -1, 0)
        state.note(Code.ADMITTED, v, -1, 0)
        for piece in self.floor.of_vehicle(v):
            piece.finished = state.now
            step = int(self.table.pieces.start_step[piece.index])
            if step >= 0:
                self.floor.ready(piece, step)
            elif step == IN_STORE:
                self.floor.stored(piece, self._last_stage(piece.index))

    def _last_stage(self, p: int) -> int:
        """The stage at which the way of a parted-off piece ends."""
        step = int(self.table.pieces.first_step[p])
        while self.table.steps.then[step] == 0:
            step += 1
        return self.state.stage_of[step]

    def _arrival(self, v: int) -> int:
        """Minute at which a vehicle comes, late if its depot lets it."""
        state, rows = self.state, self.table.vehicles
        key, day = state.vehicle_key[v], int(rows.day[v])
        if state.chance(Stream.LATE, key, 0, 0) < rows.late_share[v]:
            u = state.chance(Stream.LATE, key, 0, 1)
            day += 1 + int(state.exponential(float(rows.late_scale[v]), u))
        return state.clock.opening(day) + int(rows.slot[v])

    # -- what happens ------------------------------------------------------------------------

    def _happen(self, rank: Rank, a: int, b: int) -> None:
        """One thing that was due."""
        match rank:
            case Rank.WORK_END:
                self.floor.work_end(self.state.pieces[a], b)
            case Rank.MADE_GOOD:
                self.pipeline.into_pool(a, Code.SERVICEABLE)
            case Rank.BOUGHT_IN:
                self.pipeline.into_pool(a, Code.BOUGHT)
            case Rank.BENCH_END:
                self.pipeline.bench_end(a)
            case Rank.BENCH_READY:
                self.pipeline.bench_ready(a, b)
            case Rank.LOT_LEAVES:
                self.pipeline.leave(a)
            case Rank.SITE_DRAW:
                self.pools.site_draw(a, b)
            case Rank.SITE_BACK:
                self.pools.site_back(a, b)
            case _:
                self._happen_to_all(rank, a, b)

    def _happen_to_all(self, rank: Rank, a: int, b: int) -> None:
        match rank:
            case Rank.MORNING:
                self._morning(a)
            case Rank.UPSET:
                self._upset(a, b)
            case Rank.UPSET_END:
                self._mended(a)
            case Rank.CREW_FREE:
                self.state.look(Phase.CREW, a)
            case _:
                self._vehicle_arrives(a)

    def _morning(self, i: int) -> None:
        self.crews.morning(i)
        self.floor.morning()
        self.state.push(self.state.clock.opening(i + 1), Rank.MORNING, i + 1, 0)

    def _vehicle_arrives(self, v: int) -> None:
        state = self.state
        state.diary.arrived[v] = state.now
        state.diary.gate.add(0, 1, state.measured)
        state.note(Code.ARRIVED, v, -1, 0)
        self.gate.append(v)
        state.look(Phase.GATE)

    # -- upsets ------------------------------------------------------------------------------

    def _first_upset(self, u: int) -> None:
        if self.table.upsets.gap[u] > 0:
            self._next_upset(u, 0)
        else:
            at = max(int(self.table.upsets.at[u]), self.state.now)
            self.state.push(at, Rank.UPSET, u, 0)

    def _next_upset(self, u: int, n: int) -> None:
        state = self.state
        drawn = state.chance(Stream.UPSET, int(self.table.upsets.key[u]), 0, 2 * n)
        gap = state.exponential_minutes(float(self.table.upsets.gap[u]), drawn)
        state.push(state.clock.end_of_work(0, state.now, gap), Rank.UPSET, u, n)

    def _upset(self, u: int, n: int) -> None:
        state, upsets = self.state, self.table.upsets
        state.note(Code.UPSET, -1, u, 0)
        self._count_out(u, 1)
        if upsets.gap[u] > 0:
            drawn = state.chance(Stream.UPSET, int(upsets.key[u]), 0, 2 * n + 1)
            out = state.exponential_minutes(float(upsets.out[u]), drawn)
            state.push(state.now + out, Rank.UPSET_END, u, n)
            self._next_upset(u, n + 1)
        else:
            state.push(state.now + int(upsets.out[u]), Rank.UPSET_END, u, n)

    def _mended(self, u: int) -> None:
        state, upsets = self.state, self.table.upsets
        state.note(Code.MENDED, -1, u, 0)
        self._count_out(u, -1)
        if upsets.stage[u] >= 0:
            state.look(Phase.POSITION, int(upsets.stage[u]))
        else:
            self.pipeline.start_benches(int(upsets.kind[u]))

    def _count_out(self, u: int, change: int) -> None:
        upsets = self.table.upsets
        if upsets.stage[u] >= 0:
            self.floor.out[int(upsets.stage[u])] += change
        else:
            self.pipeline.benches_out[int(upsets.kind[u])] += change

    # -- until nothing changes ---------------------------------------------------------------

    def _settle(self) -> None:
        """Look at the lowest place of the lowest phase, again and again, until none is left."""
        while found := self.state.next_look():
            phase, place = found
            match phase:
                case Phase.GATE:
                    self._admit()
                case Phase.MARRIAGE:
                    self.floor.try_marriage(place)
                case Phase.POSITION:
                    self.floor.try_position(place)
                case Phase.SUPPLY:
                    piece = self.pools.serve(place)
                    if piece is not None:
                        self.floor.supplied(piece, place)
                case Phase.CHARGE:
                    self.floor.try_charge(place)
                case Phase.CREW:
                    self.crews.try_start(place)

    def _admit(self) -> None:
        """Let one vehicle in, if one waits and there is room."""
        state, diary = self.state, self.state.diary
        limit = self.table.inside_limit
        if not self.gate or (limit and diary.inside.value[0] >= limit):
            return
        v = self.gate.popleft()
        diary.admitted[v] = state.now
        diary.gate.add(0, -1, state.measured)
        diary.inside.add(0, 1, state.measured)
        state.note(Code.ADMITTED, v, -1, 0)
        waited = state.worked - state.clock.worked(diary.arrived[v])
        diary.wait(v, diary.causes.gate, waited)
        lead = self.floor.of_vehicle(v)[0]
        lead.finished = state.now
        self.floor.ready(lead, int(self.table.types.first_step[self.table.vehicles.type[v]]))
        if self.gate:
            state.look(Phase.GATE)
