"""The rows of a run followed piece by piece, and what is where counted at chosen minutes."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from pacewright.events.codes import Code
from pacewright.simulate.calendars import Clock
from pacewright.simulate.run import Run
from pacewright.simulate.start_table import Stand, Way
from pacewright.simulate.table import FlowTable, Ints

Counts = NDArray[np.int16]


class Want(IntEnum):
    """What a piece that stands waits for, on a position or after its last."""

    UNITS = 0
    PEOPLE = 1
    RECTIFYING = 2
    ASSEMBLIES = 3


WANTS = len(Want)


class Doing(IntEnum):
    """What a piece does or waits for."""

    ABSENT = 0
    ASKS = 1
    UNITS = 2
    CHARGE = 3
    PEOPLE = 4
    WORK = 5
    FAILED = 6
    DONE = 7
    STORED = 8


_BECOMES = {
    Code.POSITIONED: Doing.UNITS,
    Code.SUPPLIED: Doing.CHARGE,
    Code.BATCHED: Doing.PEOPLE,
    Code.STARTED: Doing.WORK,
    Code.FINISHED: Doing.DONE,
    Code.FAILED: Doing.FAILED,
}
_OF_A_PIECE = frozenset({*_BECOMES, Code.READY, Code.STORED})
_WANTS = {
    Doing.UNITS: Want.UNITS,
    Doing.PEOPLE: Want.PEOPLE,
    Doing.FAILED: Want.RECTIFYING,
    Doing.DONE: Want.ASSEMBLIES,
}
_BEGINS = {
    Stand.ASKS: Doing.ASKS,
    Stand.PARTED: Doing.ASKS,
    Stand.POSITIONED: Doing.UNITS,
    Stand.AT_WORK: Doing.WORK,
    Stand.PASSED: Doing.DONE,
    Stand.WAITS: Doing.DONE,
}
_POOL = {
    Code.SERVICEABLE: 1,
    Code.BOUGHT: 1,
    Code.SITE_DRAWN: -1,
    Code.FITTED: -1,
    # What is robbed is fitted by the row that follows, and never was in the pool.
    Code.ROBBED: 1,
}
_AWAY = {Code.REMOVED: 1, Code.SERVICEABLE: -1, Code.SCRAPPED: -1, Code.SITE_DRAWN: 1}


@dataclass(frozen=True, slots=True)
class Counted:
    """What is where in one run; first index: the moment. For the rest see ``DaysToCome``."""

    held: Counts
    waiting: Counts
    done: Counts
    lost: Counts
    stands: Counts
    stored: Counts
    ready: Counts
    away: Counts
    at_gate: Counts
    inside: Counts
    leads: Counts


def follow(table: FlowTable, run: Run, minutes: Sequence[int], long_minutes: int) -> Counted:
    """Count at each of ``minutes``, ascending, what is where.

    Parameters
    ----------
    run : of the table, with its rows.
    long_minutes : worked minutes of waiting from which on a piece stands.
    """
    rows = run.events
    if rows is None:
        raise ValueError("run: it kept no rows. Run it with events=True.")
    floor = _Floor(table)
    columns = (rows.time, rows.code, rows.vehicle, rows.place, rows.amount)
    taken: list[dict[str, Ints]] = []
    for time, code, vehicle, place, amount in zip(*(one.tolist() for one in columns), strict=True):
        while len(taken) < len(minutes) and time > minutes[len(taken)]:
            taken.append(floor.counted(minutes[len(taken)], long_minutes))
        floor.row(time, code, vehicle, place, amount)
    taken += [floor.counted(one, long_minutes) for one in minutes[len(taken) :]]
    at = np.array(minutes, np.int64)[:, None]
    came, let_in, left = (
        (times >= 0) & (times <= at) for times in (run.arrived, run.admitted, run.released)
    )
    return Counted(
        **{name: np.array([one[name] for one in taken], np.int16) for name in taken[0]},
        at_gate=(came & ~let_in).sum(axis=1).astype(np.int16),
        inside=(let_in & ~left).sum(axis=1).astype(np.int16),
    )


class _Floor:
    """Every piece of a run and what it does; pieces are numbered as in the table."""

    def __init__(self, table: FlowTable) -> None:
        self._table, self._clock = table, Clock.of(table.days)
        count = len(table.pieces.vehicle)
        self._doing = [Doing.ABSENT] * count
        self._since = [table.days.start] * count
        # The stage whose position it holds, or at which it was last; and the stage it asks for.
        self._at, self._holds, self._asks = [-1] * count, [False] * count, [-1] * count
        self._together = [False] * count
        self._lead = table.vehicles.piece.tolist()
        self._owner = table.pieces.vehicle.tolist()
        self._assembly = table.pieces.assembly.tolist()
        self._of: dict[int, list[int]] = defaultdict(list)
        for p, v in enumerate(self._owner):
            self._of[v].append(p)
        self._married: dict[int, int] = defaultdict(int)
        self.ready = table.kinds.serviceable.astype(np.int64).copy()
        self.away = table.kinds.unserviceable.astype(np.int64).copy()
        mine = table.live.away.way != Way.BOUGHT
        np.add.at(self.away, table.live.away.kind[mine], 1)
        self._lost = np.zeros(len(table.stages.key), np.int64)
        self._begin()

    def _begin(self) -> None:
        starts = self._table.live.starts
        stage = self._table.steps.stage
        for row, p in enumerate(starts.piece.tolist()):
            stand = Stand(int(starts.stand[row]))
            if stand not in _BEGINS:
                continue
            here, held = int(stage[starts.step[row]]), int(starts.held[row])
            self._doing[p] = _BEGINS[stand]
            if self._doing[p] is Doing.ASKS:
                self._asks[p], self._at[p], self._holds[p] = here, held, held >= 0
                self._together[p] = stand is Stand.PARTED
            else:
                self._at[p], self._holds[p] = here, stand is not Stand.WAITS

    def row(self, time: int, code: int, vehicle: int, place: int, amount: int) -> None:
        """Take up one row."""
        if code in _POOL or code in _AWAY:
            self.ready[place] += _POOL.get(Code(code), 0) * amount
            self.away[place] += _AWAY.get(Code(code), 0) * amount
        elif code in (Code.UPSET, Code.MENDED):
            s = int(self._table.upsets.stage[place])
            if s >= 0:
                self._lost[s] += 1 if code == Code.UPSET else -1
        elif code == Code.PARTED:
            for p in self._of[vehicle]:
                self._at[p], self._holds[p], self._together[p] = place, True, True
        elif code == Code.MARRIED:
            self._marry(vehicle, amount)
        elif code == Code.RELEASED:
            self._set(self._lead[vehicle], time, Doing.ABSENT)
            self._holds[self._lead[vehicle]] = False
        elif code in _OF_A_PIECE:
            self._piece(self._lead[vehicle] + amount, time, Code(code), place)

    def _piece(self, p: int, time: int, code: Code, place: int) -> None:
        if code is Code.READY:
            self._asks[p] = place
            self._set(p, time, Doing.ASKS)
        elif code is Code.STORED:
            self._holds[p] = self._together[p] = False
            self._set(p, time, Doing.STORED)
        elif code in _BECOMES:
            if code is Code.POSITIONED:
                self._at[p], self._holds[p], self._together[p] = place, True, False
            self._set(p, time, _BECOMES[code])

    def _set(self, p: int, time: int, doing: Doing) -> None:
        self._doing[p], self._since[p] = doing, time

    def _marry(self, vehicle: int, other: int) -> None:
        # One row a piece, assembly by assembly in the order of the type.
        types = self._table.types
        t = int(self._table.vehicles.type[vehicle])
        span = range(int(types.assembly_first[t]), int(types.assembly_first[t + 1]))
        order = [a for a in span for _ in range(int(types.assembly_count[a]))]
        a = order[self._married[vehicle]]
        self._married[vehicle] += 1
        for p in self._of[other]:
            if self._assembly[p] == a and self._doing[p] is Doing.STORED:
                self._doing[p] = Doing.ABSENT
                return

    def counted(self, minute: int, long_minutes: int) -> dict[str, Ints]:
        """What is where at a minute."""
        stages, worked = len(self._lost), self._clock.worked(minute)
        held, waiting, done = (np.zeros(stages, np.int64) for _ in range(3))
        stands = np.zeros((stages, WANTS), np.int64)
        stored = np.zeros(len(self._table.types.assembly_count), np.int64)
        leads = np.full(len(self._lead), -1, np.int64)
        shared: set[tuple[int, int]] = set()
        for p, doing in enumerate(self._doing):
            if doing is Doing.ABSENT:
                continue
            at = self._at[p]
            if doing is Doing.STORED:
                stored[self._assembly[p]] += 1
                continue
            if self._assembly[p] < 0:
                leads[self._owner[p]] = at if at >= 0 else self._asks[p]
            waiting[self._asks[p]] += doing is Doing.ASKS
            if at < 0:
                continue
            if self._holds[p] and not (self._together[p] and (self._owner[p], at) in shared):
                held[at] += 1
                done[at] += doing in (Doing.ASKS, Doing.DONE)
            if self._together[p]:
                shared.add((self._owner[p], at))
            long = worked - self._clock.worked(self._since[p]) >= long_minutes
            if long and doing in _WANTS:
                stands[at, _WANTS[doing]] += 1
        return {
            "held": held,
            "waiting": waiting,
            "done": done,
            "lost": np.array(self._lost),
            "stands": stands,
            "stored": stored,
            "ready": np.maximum(0, self.ready),
            "away": np.maximum(0, self.away),
            "leads": leads,
        }
