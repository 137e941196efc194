"""People at work: who waits for which crew, who is there today, when a part of the work ends.

Each crew of a step does its part on its own, side by side with the others. A part takes the whole
time of the stage; the stage is done when the last part is. A crew takes up one part after another:
with all its people of the day it earns the hours of a part in less (or, if it is small, in more)
than the time of the stage, and then it can take up the next. So its hours are kept exactly, whether
it is a dozen people or a tenth of one that another shop lends.
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
        self._busy = [False] * count
        # Hundredths of a person x minutes that a busy crew has not earned by today's closing.
        self._left = [0] * count
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
        if need and (self._busy[c] or size == 0):
            return
        self._queue[c].popleft()
        if self._queue[c]:
            state.look(Phase.CREW, c)
        if not piece.begun:
            self._begin(piece)
        state.note(Code.STARTED, piece.vehicle, c if need else -1, piece.number)
        self._begun[piece.index, c] = state.worked
        if need:
            self._busy[c] = True
            self._left[c] = need * piece.minutes
            if state.measuring:
                state.diary.sums.crew_busy[c] += self._left[c]
            self._earn(c)
        if state.table.stages.nights[state.stage_of[piece.step]]:
            end = state.now + piece.minutes
        else:
            end = state.clock.end_of_work(self._calendar(c), state.now, piece.minutes)
        state.push(end, Rank.WORK_END, piece.index, c)

    def _earn(self, c: int) -> None:
        """A busy crew earns what it can today; free again as soon as nothing is left."""
        state, size, left = self.state, self._size[c], self._left[c]
        calendar = self._calendar(c)
        _, into = state.clock.place(calendar, state.now)
        rest = state.clock.minutes[calendar] - into
        if size * rest >= left:
            self._left[c] = 0
            state.push(state.now - (-left // size), Rank.CREW_FREE, c, 0)
        else:
            self._left[c] -= size * rest

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

    def crew_free(self, c: int) -> None:
        """The crew can take up the next part."""
        self._busy[c] = False
        self.state.look(Phase.CREW, c)

    def end(self, piece: Piece, c: int) -> int | None:
        """A crew's part of the work on a piece ends.

        Returns
        -------
        The worked minute at which this part began, when it was the last one; else None.
        """
        begun = self._begun.pop((piece.index, c))
        place = c if self._needs[piece.step][c] else -1
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
                self._size[c] = int(self._present(c, i) * crews.scale[c] + 0.5)
                if state.measuring:
                    length = state.clock.minutes[int(crews.calendar[c])]
                    state.diary.sums.crew_there[c] += self._size[c] * length
                if self._left[c]:
                    self._earn(c)
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
