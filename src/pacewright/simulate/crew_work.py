"""People at work: who waits for which crew, who is there today, when a part of the work ends.

Each crew of a step does its part on its own, side by side with the others. A part takes the whole
time of the stage; the stage is done when the last part is. A crew begins the next part as soon as
anybody of it is free. If the part asks for more than that, another shop lends the people, so that
no piece is worked at slower than its stage takes, and the crew owes their hours: it begins nothing
new before they are earned. So a crew's hours are kept exactly, whether it is a dozen people or a
tenth of one.
"""

import itertools
from collections import deque

from pacewright.events.codes import Code
from pacewright.simulate.chance import Stream
from pacewright.simulate.flow_state import FlowState, Phase, Piece, Rank


class CrewWork:
    """The crews of the works and the pieces that wait for them, first come first served.

    Parameters
    ----------
    state : the run.
    """

    def __init__(self, state: FlowState) -> None:
        self.state = state
        crews, steps = state.table.crews, state.table.steps
        count = len(crews.key)
        self._queue: list[deque[Piece]] = [deque() for _ in range(count)]
        self._size = [0] * count
        # Hundredths at work; hundredths x minutes owed, and up to which minute of the crew's time.
        self._at_work = [0] * count
        self._owed = [0] * count
        self._until = [0] * count
        # Piece and crew -> worked minute at which the crew began its part.
        self._begun: dict[tuple[int, int], int] = {}
        first = steps.need_first.tolist()
        crew, need = steps.need_crew.tolist(), steps.need.tolist()
        self._needs: list[dict[int, int]] = [
            dict(zip(crew[low:high], need[low:high], strict=True))
            for low, high in itertools.pairwise(first)
        ]

    def join(self, piece: Piece) -> None:
        """The piece asks for the crews of its step."""
        needs = self._needs[piece.step]
        piece.parts = len(needs)
        piece.begun = False
        for c in needs:
            self._queue[c].append(piece)
            self.state.look(Phase.CREW, c)

    def try_start(self, c: int) -> None:
        """The crew takes up the head of its queue, if it is free and its shop is open."""
        state = self.state
        if not self._queue[c] or not state.clock.is_open(self._calendar(c), state.now):
            return
        piece = self._queue[c][0]
        need, size = self._needs[piece.step][c], self._size[c]
        if need and (self._owing(c) or self._at_work[c] >= size):
            return
        self._queue[c].popleft()
        if self._queue[c]:
            state.look(Phase.CREW, c)
        if not piece.begun:
            self._begin(piece)
        self._start(piece, c)

    def resume(self, piece: Piece, begun: int, ended: int) -> None:
        """The work of a piece goes on as it stood: bit n of the two is for crew n of its step."""
        piece.parts = 0
        piece.begun = bool(begun or ended)
        for n, c in enumerate(self._needs[piece.step]):
            if ended >> n & 1:
                continue
            piece.parts += 1
            if begun >> n & 1:
                self._count_owed(c)
                self._start(piece, c)
            else:
                self._queue[c].append(piece)
                self.state.look(Phase.CREW, c)

    def _start(self, piece: Piece, c: int) -> None:
        """A crew begins its part of the work, or goes on with it."""
        state, need = self.state, self._needs[piece.step][c]
        state.note(Code.STARTED, piece.vehicle, c if need else -1, piece.number)
        self._begun[piece.index, c] = state.worked
        if need:
            self._at_work[c] += need
            if state.measuring:
                state.diary.sums.crew_busy[c] += need * piece.minutes
        if state.table.stages.nights[state.stage_of[piece.step]]:
            end = state.now + piece.minutes
        else:
            end = state.clock.end_of_work(self._calendar(c), state.now, piece.minutes)
        state.push(end, Rank.WORK_END, piece.index, c)

    def _owing(self, c: int) -> bool:
        """True while the crew owes hours; if so it is looked at again when they may be earned."""
        state, spare = self.state, self._size[c] - self._at_work[c]
        if self._count_owed(c) == 0:
            return False
        if spare > 0:
            minutes = -(-self._owed[c] // spare)
            end = state.clock.end_of_work(self._calendar(c), state.now, minutes)
            state.push(end, Rank.CREW_FREE, c, 0)
        return True

    def _count_owed(self, c: int) -> int:
        """Hours owed up to now: more with more at work than are there, fewer with fewer."""
        clock = self.state.clock
        now = clock.worked(self.state.now, self._calendar(c))
        change = (self._at_work[c] - self._size[c]) * (now - self._until[c])
        self._owed[c] = max(0, self._owed[c] + change)
        self._until[c] = now
        return self._owed[c]

    def _begin(self, piece: Piece) -> None:
        """The first part of the work: was the piece left to wait too long?"""
        state = self.state
        piece.begun = True
        stage = state.stage_of[piece.step]
        window = int(state.table.stages.window[stage])
        redo = int(state.table.steps.redo_minutes[piece.step])
        if redo and piece.attempt == 0 and 0 <= window < state.now - piece.finished:
            piece.redo = redo
            piece.minutes += redo
            state.note(Code.REDONE, piece.vehicle, stage, piece.number)

    def end(self, piece: Piece, c: int) -> int | None:
        """A crew's part of the work on a piece ends.

        Returns
        -------
        The worked minute at which this part began, when it was the last one; else None.
        """
        begun = self._begun.pop((piece.index, c))
        need = self._needs[piece.step][c]
        if need:
            self._count_owed(c)
            self._at_work[c] -= need
            self.state.look(Phase.CREW, c)
        place = c if need else -1
        self.state.note(Code.ENDED, piece.vehicle, place, piece.number)
        piece.parts -= 1
        return None if piece.parts else begun

    def _calendar(self, c: int) -> int:
        return int(self.state.table.crews.calendar[c])

    def morning(self, i: int) -> None:
        """Working day ``i`` begins: who is there."""
        state, crews = self.state, self.state.table.crews
        for c in range(len(crews.key)):
            if crews.people[c] >= 0:
                self._count_owed(c)
                self._size[c] = int(self._present(c, i) * crews.scale[c] + 0.5)
                if state.measuring:
                    length = state.clock.minutes[int(crews.calendar[c])]
                    state.diary.sums.crew_there[c] += self._size[c] * length
            state.look(Phase.CREW, c)

    def _present(self, c: int, i: int) -> float:
        crews = self.state.table.crews
        people, share = float(crews.people[c]), float(crews.attendance[c, i])
        if not crews.drawn[c]:
            return people * share
        # The part of a person is lent by another shop, which sends whoever is there.
        present = (people - int(people)) * share
        for person in range(int(people)):
            if self.state.chance(Stream.PRESENT, int(crews.key[c]), i, person) < share:
                present += 1.0
        return present
