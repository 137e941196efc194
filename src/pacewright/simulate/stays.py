"""What passes the time of a piece on a position, and of a unit between removal and need.

A few runs are made once more with every event kept. From their rows comes what sums cannot tell:
how long pieces hold a position and for what, how far apart removal and need really are.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pacewright.events.codes import Code
from pacewright.simulate.run import Events, Run
from pacewright.simulate.sample import worked_minutes
from pacewright.simulate.table import Floats, FlowTable, Ints

PASTIMES = ("units", "charge", "people", "work", "next")
"""What a piece on a position waits for or has done to it, in this order; "next": it is finished
and the position after, or the assemblies to be married with, are not free."""

_UNITS, _CHARGE, _PEOPLE, _WORK, _NEXT = range(5)
_PASTIME = {
    Code.POSITIONED: _UNITS,
    Code.SUPPLIED: _CHARGE,
    Code.BATCHED: _PEOPLE,
    Code.FAILED: _PEOPLE,
}
_AT_WORK = (Code.STARTED, Code.ENDED)
_DONE = (Code.FINISHED, Code.FAILED)
_OTHERS = (Code.READY, Code.FINISHED, Code.REDONE, Code.STORED, Code.RELEASED)


@dataclass(frozen=True)
class Stays:
    """Means over all pieces and units seen.

    Parameters
    ----------
    pieces : per stage: pieces that were positioned at it.
    minutes : per stage (row) and pastime (column): mean worked minutes a piece holds a position.
    failed_share : per stage: failed tests for each piece positioned.
    removals : per kind: vehicles seen from removal to need.
    offset_minutes, offset_sd : per kind: worked minutes from removal to the vehicle's asking for
        its units, mean and standard deviation; not a number where none was seen.
    turn_minutes : per kind: mean worked minutes from removal to serviceable, lots and benches
        included (Little: units on the way over units removed); not a number for kinds shared
        with a second site, whose returns leave no row.
    """

    pieces: Ints
    minutes: Floats
    failed_share: Floats
    removals: Ints
    offset_minutes: Floats
    offset_sd: Floats
    turn_minutes: Floats


def stays_of(table: FlowTable, runs: Sequence[Run]) -> Stays:
    """The stays in runs whose events were kept, in the time measured.

    Parameters
    ----------
    runs : of ``table``, at least one.
    """
    traces = [_Trace.of(table, run.events) for run in runs if run.events is not None]
    pieces = np.sum([one.at_stages(Code.POSITIONED) for one in traces], axis=0)
    minutes = np.sum([one.pastimes() for one in traces], axis=0)
    # After parting a position is held until the last piece has left it: the rest is "next".
    held = np.sum([run.integrals.busy for run in runs if run.events is not None], axis=0)
    minutes[:, _NEXT] = np.maximum(0, held - minutes[:, :_NEXT].sum(axis=1))
    offsets = [one.offsets() for one in traces]
    kinds = range(len(table.kinds.key))
    joined = [np.concatenate([one[k] for one in offsets]) for k in kinds]
    return Stays(
        pieces=pieces,
        minutes=minutes / np.maximum(pieces, 1)[:, None],
        failed_share=np.sum([one.at_stages(Code.FAILED) for one in traces], axis=0)
        / np.maximum(pieces, 1),
        removals=np.array([len(one) for one in joined], np.int64),
        offset_minutes=np.array([one.mean() if len(one) else np.nan for one in joined]),
        offset_sd=np.array([one.std() if len(one) else np.nan for one in joined]),
        turn_minutes=np.mean([one.turns() for one in traces], axis=0),
    )


@dataclass(frozen=True)
class _Trace:
    """The rows of one run, with worked minutes."""

    table: FlowTable
    code: NDArray[np.int16]
    vehicle: NDArray[np.int32]
    place: NDArray[np.int32]
    amount: NDArray[np.int32]
    worked: Ints
    counts: NDArray[np.bool_]

    @classmethod
    def of(cls, table: FlowTable, rows: Events) -> "_Trace":
        worked = worked_minutes(table.days, rows.time)
        counts = rows.time >= table.days.measure_from
        return cls(table, rows.code, rows.vehicle, rows.place, rows.amount, worked, counts)

    def at_stages(self, code: Code) -> Ints:
        """Rows of a code at each stage."""
        mine = (self.code == code) & self.counts
        return np.bincount(self.place[mine], minlength=len(self.table.stages.key))

    def pastimes(self) -> Floats:
        """Worked minutes on the positions of each stage by pastime.

        The rows of one piece follow one another; each lasts until the next, and belongs to the
        stage of the piece's last POSITIONED. Crews do their parts side by side; until the last of
        them begins, the piece waits for people. "Next" is left at 0.
        """
        kept = [*_PASTIME, *_AT_WORK, *_OTHERS]
        mine = np.flatnonzero(np.isin(self.code, kept))
        order = mine[np.lexsort((mine, self.amount[mine], self.vehicle[mine]))]
        code, vehicle, piece = self.code[order], self.vehicle[order], self.amount[order]
        lasts = np.append(np.diff(self.worked[order]), 0)
        same = np.append((np.diff(vehicle) == 0) & (np.diff(piece) == 0), False)
        begun = _last(code == Code.POSITIONED)
        held = same & (begun >= 0)
        held &= (vehicle[begun] == vehicle) & (piece[begun] == piece)
        column = np.full(max(Code) + 1, -1)
        column[list(_PASTIME)] = list(_PASTIME.values())
        passed = column[code]
        more_to_start = _next(code == Code.STARTED) < _next(np.isin(code, _DONE))
        passed[np.isin(code, _AT_WORK)] = _WORK
        passed[np.isin(code, _AT_WORK) & more_to_start] = _PEOPLE
        held &= (passed >= 0) & self.counts[order]
        stages = len(self.table.stages.key)
        cell = self.place[order][begun[held]] * len(PASTIMES) + passed[held]
        sums = np.bincount(cell, lasts[held], stages * len(PASTIMES))
        return np.asarray(sums, float).reshape(stages, len(PASTIMES))

    def offsets(self) -> list[Floats]:
        """Per kind: minutes from removal to the asking, vehicle by vehicle."""
        steps, kinds = self.table.steps, len(self.table.kinds.key)
        fit_stage = np.full(kinds, -1)
        for e in range(len(steps.stage)):
            for n in range(steps.fit_first[e], steps.fit_first[e + 1]):
                fit_stage[steps.fit_kind[n]] = steps.stage[e]
        return [self._offset(k, int(fit_stage[k])) for k in range(kinds)]

    def _offset(self, kind: int, stage: int) -> Floats:
        off = (self.code == Code.REMOVED) & (self.place == kind) & self.counts
        on = (self.code == Code.POSITIONED) & (self.place == stage)
        count = len(self.table.vehicles.key)
        never = np.iinfo(np.int64).max
        removed, asked = np.full(count, never), np.full(count, never)
        np.minimum.at(removed, self.vehicle[off], self.worked[off])
        np.minimum.at(asked, self.vehicle[on], self.worked[on])
        both = (removed < never) & (asked < never)
        return np.asarray(asked[both] - removed[both], float)

    def turns(self) -> Floats:
        """Per kind: units on the way, over time, through units removed."""
        kinds = self.table.kinds
        days = self.table.days
        first, last = worked_minutes(days, np.array([days.measure_from, days.end]))
        owed = (
            np.bincount(self.table.owed.kind, self.table.owed.units, len(kinds.key))
            * kinds.removal_share
        )
        found = np.full(len(kinds.key), np.nan)
        for k in range(len(kinds.key)):
            if kinds.site_gap[k] > 0:
                continue
            at = self.place == k
            comes = at & (self.code == Code.REMOVED)
            goes = at & np.isin(self.code, (Code.SERVICEABLE, Code.BOUGHT))
            start = kinds.unserviceable[k] + owed[k]
            area = start * (last - first)
            area += (self.amount[comes] * (last - np.maximum(self.worked[comes], first))).sum()
            area -= (self.amount[goes] * (last - np.maximum(self.worked[goes], first))).sum()
            count = self.amount[comes & self.counts].sum()
            found[k] = area / count if count else np.nan
        return found


def _last(marked: NDArray[np.bool_]) -> Ints:
    """For each row the last marked one up to it; -1 before the first."""
    rows = np.where(marked, np.arange(len(marked)), -1)
    return np.asarray(np.maximum.accumulate(rows), np.int64)


def _next(marked: NDArray[np.bool_]) -> Ints:
    """For each row the next marked one after it; beyond all rows after the last."""
    count = len(marked)
    rows = np.where(marked, np.arange(count), count)
    from_here = np.minimum.accumulate(rows[::-1])[::-1]
    return np.append(from_here[1:], count)
