"""Codes, ranks, streams and what follows a step, as numbers that the compiler builds in."""

from collections import namedtuple
from enum import IntEnum
from typing import Any

from pacewright.events.codes import Code
from pacewright.simulate import chance, flow_state, start_table, table


def _numbers(names: type[IntEnum]) -> Any:
    """The members of an enumeration as plain numbers under their names.

    Not as constants of their own: for each of those the compiler would make every function that is
    handed it once more.
    """
    numbers: Any = namedtuple(names.__name__, list(names.__members__))  # type: ignore[misc]
    return numbers(*[int(one) for one in names])


CODE = _numbers(Code)
RANK = _numbers(flow_state.Rank)
STREAM = _numbers(chance.Stream)
THEN = _numbers(table.Then)
THERE = _numbers(start_table.There)
STAND = _numbers(start_table.Stand)
WAY = _numbers(start_table.Way)
STREAMS = len(STREAM) + 1
"""Streams, counted from 0."""
