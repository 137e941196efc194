"""Units from removal to the pool: lots, despatches, scrap and purchase, turn time, benches."""

from collections import deque

from pacewright.events.codes import Code
from pacewright.simulate.chance import Stream, beyond, quantile, whole_minutes
from pacewright.simulate.flow_state import FlowState, Phase, Piece, Rank

Unit = tuple[int, int]
"""Key of the vehicle (or of the site, or of the float) it came from, and its number there."""


class UnitPipeline:
    """The units that are on their way back to the pool.

    Parameters
    ----------
    state : the run.
    """

    def __init__(self, state: FlowState) -> None:
        self.state = state
        self._kinds = state.table.kinds
        count = len(self._kinds.key)
        self._lots: list[deque[Unit]] = [deque() for _ in range(count)]
        self._gathered = [0] * count
        self.scrapped = [0] * count
        self._before_bench: dict[int, Unit] = {}
        self._bench_queue: list[deque[Unit]] = [deque() for _ in range(count)]
        self._benches_busy = [0] * count
        self.benches_out = [0] * count

    # -- at the start ------------------------------------------------------------------------

    def begin(self) -> None:
        """The float and what the vehicles inside are owed."""
        state, kinds = self.state, self._kinds
        for k in range(len(kinds.key)):
            state.diary.pool.add(k, int(kinds.serviceable[k]), state.measured)
            for n in range(int(kinds.unserviceable[k])):
                self._residual(k, (int(kinds.float_key[k]), n))
        owed = state.table.owed
        for row in range(len(owed.vehicle)):
            v, k = int(owed.vehicle[row]), int(owed.kind[row])
            for j in state.removed(v, k, range(int(owed.units[row]))):
                self._on_its_way(k, (state.vehicle_key[v], j), int(owed.ago[row]))

    def _residual(self, k: int, unit: Unit) -> None:
        """A unit of the float that has an evenly drawn share of its turn time still to go."""
        state = self.state
        u = state.chance(Stream.RESIDUAL, unit[0], state.kind_key[k], unit[1])
        if self._kinds.benches[k]:
            self._to_bench(k, unit, self._turn(k, unit) * u)
        else:
            self.due(k, Rank.MADE_GOOD, whole_minutes(self._turn(k, unit) * u))

    def _on_its_way(self, k: int, unit: Unit, ago: int) -> None:
        """A unit that came off a vehicle ``ago`` worked minutes before the start."""
        state, kinds = self.state, self._kinds
        scrapped = self._is_scrapped(k, unit)
        if scrapped:
            total = int(kinds.purchase_minutes[k])
        elif kinds.benches[k]:
            total = int(self._turn(k, unit) + 0.5) + self._bench_time(k, unit)
        else:
            total = whole_minutes(self._turn(k, unit))
        if total <= ago:
            state.diary.pool.add(k, 1, state.measured)
        else:
            self.due(k, Rank.BOUGHT_IN if scrapped else Rank.MADE_GOOD, total - ago)

    def goes_on(self, k: int, unit: Unit, may_go: bool, gone: tuple[int, float]) -> None:
        """A unit that left for its shop before the start and is not back yet.

        Parameters
        ----------
        may_go : True while it may turn out that it cannot be made good.
        gone : worked minutes since it left; share of the law of its turn time that lies below.
        """
        minutes, share = gone
        if may_go and self._is_scrapped(k, unit):
            self._scrap(k)
            return
        u = self.state.chance(Stream.TURN, unit[0], self.state.kind_key[k], unit[1])
        left = quantile(self._kinds.turn[k], beyond(share, u)) - minutes
        if self._kinds.benches[k]:
            self._to_bench(k, unit, max(0.0, left))
        else:
            self.due(k, Rank.MADE_GOOD, whole_minutes(left))

    # -- removal and lots --------------------------------------------------------------------

    def strip(self, piece: Piece) -> None:
        """The units of the piece's stage come off it."""
        state, steps = self.state, self.state.table.steps
        pieces = int(steps.pieces[piece.step])
        first, last = steps.strip_first[piece.step], steps.strip_first[piece.step + 1]
        for row in range(int(first), int(last)):
            k = int(steps.strip_kind[row])
            if k in piece.known:
                continue
            mine = range(piece.place, int(steps.strip_units[row]), pieces)
            off = state.removed(piece.vehicle, k, mine)
            if off:
                state.note(Code.REMOVED, piece.vehicle, k, len(off))
            for j in off:
                self.gather(k, (state.vehicle_key[piece.vehicle], j))

    def gather(self, k: int, unit: Unit) -> None:
        """A unit joins the lot of its kind; a full lot leaves at once or at the next despatch."""
        state = self.state
        self._lots[k].append(unit)
        self._gathered[k] += 1
        if self._gathered[k] < self._kinds.lot[k]:
            return
        self._gathered[k] = 0
        days = int(self._kinds.despatch_days[k])
        if days == 0:
            self.leave(k)
            return
        i = state.clock.next_day(state.now)
        i += -i % days
        state.push(state.clock.opening(i), Rank.LOT_LEAVES, k, state.serial())

    def leave(self, k: int) -> None:
        """A lot leaves; what cannot be made good is bought when enough of it has gathered."""
        state = self.state
        lot = int(self._kinds.lot[k])
        state.note(Code.SENT, -1, k, lot)
        for _ in range(lot):
            unit = self._lots[k].popleft()
            if self._is_scrapped(k, unit):
                self._scrap(k)
            elif self._kinds.benches[k]:
                self._to_bench(k, unit, self._turn(k, unit))
            else:
                self.due(k, Rank.MADE_GOOD, whole_minutes(self._turn(k, unit)))

    def _scrap(self, k: int) -> None:
        self.state.note(Code.SCRAPPED, -1, k, 1)
        self.scrapped[k] += 1
        if self.scrapped[k] == self._kinds.purchase_lot[k]:
            self.scrapped[k] = 0
            for _ in range(int(self._kinds.purchase_lot[k])):
                self.due(k, Rank.BOUGHT_IN, int(self._kinds.purchase_minutes[k]))

    # -- benches -----------------------------------------------------------------------------

    def _to_bench(self, k: int, unit: Unit, before: float) -> None:
        """A unit asks for a bench after so many worked minutes, to the nearest whole one."""
        state, rest = self.state, int(before + 0.5)
        serial = state.serial()
        self._before_bench[serial] = unit
        state.push(state.clock.end_of_work(0, state.now, rest), Rank.BENCH_READY, k, serial)

    def bench_ready(self, k: int, serial: int) -> None:
        """A unit asks for a bench."""
        self._bench_queue[k].append(self._before_bench.pop(serial))
        self.start_benches(k)

    def start_benches(self, k: int) -> None:
        """Free benches take the units that wait."""
        state, kinds = self.state, self._kinds
        queue = self._bench_queue[k]
        while queue and self._benches_busy[k] + self.benches_out[k] < kinds.benches[k]:
            self._benches_busy[k] += 1
            minutes = self._bench_time(k, queue.popleft())
            end = state.clock.end_of_work(int(kinds.calendar[k]), state.now, minutes)
            state.push(end, Rank.BENCH_END, k, state.serial())

    def bench_end(self, k: int) -> None:
        """A unit comes off its bench, ready to fit."""
        self._benches_busy[k] -= 1
        self.into_pool(k, Code.SERVICEABLE)
        self.start_benches(k)

    # -- the pool ----------------------------------------------------------------------------

    def into_pool(self, k: int, code: Code) -> None:
        """A unit comes into the pool, made good or bought."""
        state = self.state
        state.diary.pool.add(k, 1, state.measured)
        state.note(code, -1, k, 1)
        state.look(Phase.SUPPLY, k)

    # -- chance and agenda -------------------------------------------------------------------

    def _is_scrapped(self, k: int, unit: Unit) -> bool:
        u = self.state.chance(Stream.SCRAP, unit[0], self.state.kind_key[k], unit[1])
        return u < float(self._kinds.scrap_share[k])

    def _turn(self, k: int, unit: Unit) -> float:
        u = self.state.chance(Stream.TURN, unit[0], self.state.kind_key[k], unit[1])
        return quantile(self._kinds.turn[k], u)

    def _bench_time(self, k: int, unit: Unit) -> int:
        u = self.state.chance(Stream.BENCH, unit[0], self.state.kind_key[k], unit[1])
        return self.state.exponential_minutes(float(self._kinds.bench_minutes[k]), u)

    def due(self, k: int, rank: Rank, minutes: int) -> None:
        """A unit of a kind comes into the pool after so many worked minutes."""
        state = self.state
        state.push(state.clock.end_of_work(0, state.now, minutes), rank, k, state.serial())
