"""Units from the pool to the vehicles: first come first served, a second site, robbing."""

from collections import deque

from pacewright.events.codes import Code
from pacewright.simulate.chance import Stream
from pacewright.simulate.flow_state import FlowState, Phase, Piece, Rank
from pacewright.simulate.unit_pipeline import UnitPipeline


class UnitPools:
    """Who asks for units of each kind, and who gets them.

    Parameters
    ----------
    state : the run.
    pipeline : where the units of the second site come back to.
    """

    def __init__(self, state: FlowState, pipeline: UnitPipeline) -> None:
        self.state = state
        self._pipeline = pipeline
        self._kinds = state.table.kinds
        # None in a queue stands for one unit for the second site.
        self._queue: list[deque[Piece | None]] = [deque() for _ in range(len(self._kinds.key))]
        self._waiting: dict[int, Piece] = {}

    def begin(self) -> None:
        """The first draw of the second site."""
        for k in range(len(self._kinds.key)):
            if self._kinds.site_gap[k] > 0:
                self._next_draw(k, 0)

    # -- vehicles ----------------------------------------------------------------------------

    def ask(self, piece: Piece) -> int | None:
        """A piece in its position asks for its units, kind by kind.

        Returns
        -------
        The kind that was complete last when all are there (-1: it asked for none); else None.
        """
        steps = self.state.table.steps
        piece.asked.clear()
        self._ask_late(piece)
        pieces = int(steps.pieces[piece.step])
        for row in range(int(steps.fit_first[piece.step]), int(steps.fit_first[piece.step + 1])):
            k = int(steps.fit_kind[row])
            mine = range(piece.place, int(steps.fit_units[row]), pieces)
            units = self.state.wanted(piece, k, mine)
            if units:
                self._ask_for(piece, k, units)
        if not piece.owed:
            return next(reversed(piece.asked), -1)
        self.state.diary.lacked[piece.vehicle] = 1
        self._waiting[piece.index] = piece
        return self._rob(piece) if self.state.table.robbing else None

    def _ask_late(self, piece: Piece) -> None:
        """What it should have got at a stage that is behind it."""
        for k, units in piece.late.items():
            piece.was_late.add(k)
            self._ask_for(piece, k, units)
        piece.late = {}

    def _ask_for(self, piece: Piece, k: int, units: int) -> None:
        diary, measured = self.state.diary, self.state.measured
        piece.asked[k] = piece.owed[k] = units
        diary.owed.add(k, units, measured)
        self._queue[k].append(piece)
        if self._queue[k][0] is piece:
            self._give(piece, k)
        if self.state.measuring:
            diary.sums.asked[k] += 1
            diary.sums.late[k] += k in piece.owed

    def _give(self, piece: Piece, k: int) -> None:
        """The head of the queue takes what is there."""
        diary = self.state.diary
        units = min(diary.pool.value[k], piece.owed[k])
        if units:
            diary.pool.add(k, -units, self.state.measured)
            self._given(piece, k, units)
        if k not in piece.owed:
            self._queue[k].popleft()

    def _given(self, piece: Piece, k: int, units: int) -> None:
        state = self.state
        state.diary.owed.add(k, -units, state.measured)
        state.note(Code.FITTED, piece.vehicle, k, units)
        piece.owed[k] -= units
        if piece.owed[k] == 0:
            del piece.owed[k]
            if state.measuring:
                state.diary.sums.wait_minutes[k] += state.worked - piece.since

    def serve(self, k: int) -> Piece | None:
        """Serve the head of a kind's queue once; the piece, when it has all its units now."""
        queue, pool = self._queue[k], self.state.diary.pool
        if not queue or pool.value[k] == 0:
            return None
        head = queue[0]
        if head is None:
            pool.add(k, -1, self.state.measured)
            self.state.diary.owed.add(k, -1, self.state.measured)
            self.state.note(Code.SITE_DRAWN, -1, k, 1)
            queue.popleft()
        else:
            self._give(head, k)
        if pool.value[k] and queue:
            self.state.look(Phase.SUPPLY, k)
        if head is None or head.owed:
            return None
        del self._waiting[head.index]
        return head

    # -- robbing -----------------------------------------------------------------------------

    def _rob(self, piece: Piece) -> int | None:
        """Take what a piece lacks off one that waits for another kind, the last one positioned."""
        if len(piece.owed) != 1:
            return None
        ((k, units),) = piece.owed.items()
        if k in piece.was_late:
            return None
        able = [one for one in self._waiting.values() if _can_spare(one, k, units)]
        if not able:
            return None
        victim = max(able, key=lambda one: (one.positioned, one.vehicle, one.index))
        state = self.state
        state.note(Code.ROBBED, victim.vehicle, k, units)
        self._queue[k].pop()
        if k not in victim.owed:
            self._queue[k].appendleft(victim)
        victim.owed[k] = victim.owed.get(k, 0) + units
        state.diary.owed.add(k, units, state.measured)
        self._given(piece, k, units)
        for one in (piece, victim):
            one.robbing += int(state.table.kinds.rob_minutes[k])
        del self._waiting[piece.index]
        return k

    # -- the second site ---------------------------------------------------------------------

    def site_draw(self, k: int, n: int) -> None:
        """The second site asks for one unit; its own comes back for it in time."""
        state = self.state
        self._queue[k].append(None)
        state.diary.owed.add(k, 1, state.measured)
        state.look(Phase.SUPPLY, k)
        back = state.clock.end_of_work(0, state.now, int(self._kinds.transit_minutes[k]))
        state.push(back, Rank.SITE_BACK, k, n)
        self._next_draw(k, n + 1)

    def site_back(self, k: int, n: int) -> None:
        """The unserviceable unit of the site's draw ``n`` is here."""
        self._pipeline.gather(k, (int(self._kinds.site_key[k]), n))

    def _next_draw(self, k: int, n: int) -> None:
        state = self.state
        u = state.chance(Stream.SITE, state.kind_key[k], 0, n)
        gap = state.exponential_minutes(float(self._kinds.site_gap[k]), u)
        state.push(state.clock.end_of_work(0, state.now, gap), Rank.SITE_DRAW, k, n)


def _can_spare(one: Piece, k: int, units: int) -> bool:
    """True when a waiting piece holds enough of the kind and lacks another anyway."""
    holds = one.asked.get(k, 0) - one.owed.get(k, 0)
    if k in one.was_late:
        return False
    return holds >= units and any(other != k for other in one.owed)
