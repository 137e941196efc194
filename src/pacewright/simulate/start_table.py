"""The moment from which a run goes on, when the record knows it: rows beside the instruction table.

Without a record the table's own columns say where the vehicles inside are taken to be; with one
they are empty, and these rows say it piece by piece and unit by unit.
"""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Keys = NDArray[np.uint64]


class There(IntEnum):
    """Where a vehicle of the table is when the run begins."""

    TO_COME = 0
    """it comes on its day"""
    INSIDE = 1
    """inside; it counts as arrived and admitted at the start"""
    AT_GATE = 2
    """at the gate; it counts as arrived at the start"""
    GONE = 3
    """not in this run: only assemblies that came in with it are still inside"""


class Stand(IntEnum):
    """How a piece stands when the run begins."""

    ELSEWHERE = 0
    """part of the whole vehicle; the row only says what it is owed"""
    ASKS = 1
    """asks for a position of its step, standing on one of another stage or on none"""
    POSITIONED = 2
    """stands on a position of its step; its work there has not begun"""
    AT_WORK = 3
    """the work of its step has begun, or is to be done again after a failed test"""
    PASSED = 4
    """has passed its step, the last before it parts, is married or goes, and stands there still"""
    PARTED = 5
    """asks for a position of its step, standing with the others where their vehicle was parted"""
    WAITS = 6
    """has passed its step, the last before it is married or goes, and stands on no position"""
    LACKS = 7
    """stands on a position of its step, its work begun; what is left waits for a unit it is owed"""


class Way(IntEnum):
    """How a unit off the vehicles is on its way to the pool when the run begins."""

    GATHERS = 0
    """waits for its lot"""
    IN_REPAIR = 1
    """left for its shop so long ago; it was not scrapped"""
    MAY_GO = 2
    """left for its shop so long ago; whether it can be made good is not told yet"""
    OVERDUE = 3
    """away longer than the law of its kind knows; what is left is exponential"""
    BOUGHT = 4
    """bought, and due in so many minutes"""


UNKNOWN = -1
"""Units of a kind that a piece asks for, while that is still chance."""


@dataclass(frozen=True)
class StartRows:
    """Pieces inside, in the order in which they came to where they are.

    Parameters
    ----------
    piece, step : which piece (a row of the table of pieces), and its step.
    stand : a ``Stand``.
    held : stage whose position it holds besides (ASKS, PARTED); -1: none.
    begun, ended : parts of the work under way, and done: bit n for crew n of the step.
    attempt : tests it failed there.
    done_minutes : work done by those under way [min].
    share : share of the law of the stage that lies below what is done.
    finished : minute at which the stage before was finished; may be negative.
    asks : units of each kind it asks for where they go on, shape (rows, kinds); UNKNOWN: as many
        as come off it by chance.
    late : the same for kinds whose stage is behind it: asked for on its next position.
    more : minutes added to its work there: fitting what is owed from a stage that is done.
    """

    piece: Ints
    step: Ints
    stand: Ints
    held: Ints
    begun: Ints
    ended: Ints
    attempt: Ints
    done_minutes: Ints
    share: Floats
    finished: Ints
    asks: Ints
    late: Ints
    more: Ints


@dataclass(frozen=True)
class AwayRows:
    """Units off the vehicles that are on their way to the pool.

    Parameters
    ----------
    kind, key : unit kind; stable hash of kind and serial.
    way : a ``Way``.
    minutes : worked minutes since it left; mean left (OVERDUE); until it comes in (BOUGHT).
    share : share of the law of the turn time that lies below it.
    """

    kind: Ints
    key: Keys
    way: Ints
    minutes: Ints
    share: Floats


@dataclass(frozen=True)
class LiveRows:
    """All that the record knows of the start.

    Parameters
    ----------
    starts, away : pieces inside; units on their way.
    scrapped : per kind: units scrapped since the last lot was bought; empty: none.
    today : working day that is under way at the start; -1: none.
    """

    starts: StartRows
    away: AwayRows
    scrapped: Ints
    today: int = -1


_NONE = np.zeros(0, np.int64)
_NO_SHARES = np.zeros(0, np.float64)
_NO_UNITS = np.zeros((0, 0), np.int64)
NOT_LIVE = LiveRows(
    StartRows(
        piece=_NONE,
        step=_NONE,
        stand=_NONE,
        held=_NONE,
        begun=_NONE,
        ended=_NONE,
        attempt=_NONE,
        done_minutes=_NONE,
        share=_NO_SHARES,
        finished=_NONE,
        asks=_NO_UNITS,
        late=_NO_UNITS,
        more=_NONE,
    ),
    AwayRows(_NONE, np.zeros(0, np.uint64), _NONE, _NONE, _NO_SHARES),
    _NONE,
)
"""A start of which no record tells."""
