"""The memory of a compiled run: one row of words, in which every thing has its words side by side.

A thing is known by the place of its first word, so ``m[p + PIECE.since]`` is what piece ``p`` has
in its word ``since``. Functions that read numbers with a fraction take the same memory once more
as ``x``, seen as such numbers. One row, because a compiled function that is handed dozens of
arrays spends its time on handing them over.

Minutes are clock minutes, "worked" ones those of calendar 0. Words called ``..._cause`` are
columns of waits, ``look`` is the number of a place that must be looked at.
"""

from typing import Any, NamedTuple, Protocol, TypeVar


class Words(Protocol):
    """The memory, as whole numbers."""

    def __getitem__(self, place: int, /) -> int: ...

    def __setitem__(self, place: int, value: int, /) -> None: ...


class Reals(Protocol):
    """The memory, as numbers with a fraction."""

    def __getitem__(self, place: int, /) -> float: ...


NONE = -1
"""No thing."""
SITE = -1
"""In place of a piece: the second site."""


class LineWords(NamedTuple):
    """A line, first come first served; its things are linked by their word ``next``."""

    head: int
    tail: int
    waiting: int
    words: int


class HeapWords(NamedTuple):
    """A heap: where its keys begin, and how many there are."""

    keys: int
    size: int
    words: int


class DueWords(NamedTuple):
    """A key that hangs in the ring of minutes."""

    next: int
    key: int
    words: int


class RunWords(NamedTuple):
    """The one moment of the run, its sums, and where everything begins."""

    now: int
    worked: int
    measured: int  # worked, but none before the measuring begins
    measured_from: int
    measure_from: int
    day: int  # working day of now, or the next
    next_day: int
    into: int  # minutes into the working day; FAR when it is none
    open_minute: int
    own_minutes: int  # of a day of calendar 0
    days: int
    workday: int  # place of the table of working days
    before: int
    before_count: int
    end: int
    ring: int  # place of the ring of minutes
    ring_bits: int
    near: int  # keys that hang in the ring
    due_room: int
    free_due: int
    far: int  # a heap
    far_room: int
    looks: int  # place of the bits
    looks_end: int
    low_look: int  # place of the lowest word that may have bits
    place: int  # place of the list: number to look at -> thing
    first_type: int  # from which number to look at on it is types, stages ...
    first_stage: int
    first_kind: int
    first_charge: int
    first_crew: int
    streams: int
    exponential: int
    gate: int  # a line
    inside: int
    inside_sum: int
    inside_limit: int
    gate_sum: int
    piece_words: int  # from one piece to the next
    waits: int
    causes: int
    robbing: int
    adds: int  # 1: work may have minutes added, or be known from the record
    full: int  # 1: a buffer was too small
    orders: int  # place of the next fresh order
    free_order: int
    site_orders: int
    site_room: int
    units: int  # place of the first unit
    unit: int  # number of the next
    unit_room: int
    unit_bits: int
    rows: int  # place of the next row
    rows_end: int  # 0: none are kept
    rows_lost: int
    stages: int
    stages_end: int
    crews: int
    crews_end: int
    kinds: int
    kinds_end: int
    upsets: int
    upsets_end: int
    owed: int
    owed_end: int
    starts: int
    starts_end: int
    aways: int
    aways_end: int
    today: int  # working day under way at the start; NONE: none
    vehicles: int
    vehicles_end: int
    words: int


Layout = TypeVar("Layout", bound=tuple[Any, ...])
_WORDS = dict.fromkeys(("line", "charge_line", "bench_line", "lot_line", "gate"), 3)
_WORDS["far"] = 2


def placed(layout: type[Layout], first: int = 0) -> Layout:
    """Every name with its word, from ``first`` on; lines and heaps take more than one."""
    words: list[int] = []
    at = first
    for name in layout._fields:  # type: ignore[attr-defined]
        words.append(at)
        at += _WORDS.get(name, 1)
    return layout(*words)  # type: ignore[arg-type]


LINE = placed(LineWords)
HEAP = placed(HeapWords)
DUE = placed(DueWords)
RUN = placed(RunWords)
NEXT = 0
"""The word by which things in a line are linked, the first of all that can stand in one."""
