"""The run itself: what happens, one after another, and looking until nothing changes."""

from collections.abc import Callable
from functools import cache
from typing import Any

from pacewright.simulate.kernel.agenda import next_due, push
from pacewright.simulate.kernel.clock import opening, set_now
from pacewright.simulate.kernel.codes import CODE, RANK
from pacewright.simulate.kernel.compiled import Kept, compiled, source_print, woven
from pacewright.simulate.kernel.crews import crews_of_day, try_start
from pacewright.simulate.kernel.ends import GATE, admit, arrives, chain_end, try_marriage
from pacewright.simulate.kernel.floor import (
    charges_of_morning,
    supplied,
    try_charge,
    try_position,
    work_end,
)
from pacewright.simulate.kernel.heap import minute_of, rank_of, subject_of
from pacewright.simulate.kernel.lines import look_at, next_look
from pacewright.simulate.kernel.memory import NONE, RUN, Reals, Words
from pacewright.simulate.kernel.pointers import reals_of, words_of
from pacewright.simulate.kernel.pools import serve, site_back, site_draw
from pacewright.simulate.kernel.start import begin
from pacewright.simulate.kernel.things import CREW
from pacewright.simulate.kernel.units import bench_end, bench_ready, into_pool, lot_leaves
from pacewright.simulate.kernel.upsets import mended, upset
from pacewright.simulate.table import FAR

DONE, FULL, STOPPED = 0, 1, 2
"""How a run ended: at its end; a buffer was too small; the caller wished it."""


@cache
def entry() -> Kept:
    """The entry of the kernel: runs from the start to the end; DONE, FULL or STOPPED."""
    return Kept(_marked(source_print()), "flow_kernel")


def _marked(mark: int) -> Callable[[Any, Any], int]:
    def flow_kernel(memory: Any, stop: Any) -> int:
        # What is kept on disk is found again only by a function that holds the same ``mark``.
        ended = NONE if mark else FULL
        m = words_of(memory)
        x = reals_of(memory)
        begin(m, x)
        while ended == NONE:
            settle(m, x)
            key = next_due(m)
            if m[RUN.full] != 0:
                ended = FULL
            elif key == FAR:
                ended = DONE
            elif stop[0] != 0:
                ended = STOPPED
            else:
                set_now(m, minute_of(key))
                happen(m, x, rank_of(key), subject_of(key))
        return ended

    return flow_kernel


@woven
def happen(m: Words, x: Reals, rank: int, subject: int) -> None:
    """One thing that was due."""
    if rank == RANK.WORK_END:
        p = work_end(m, x, subject)
        if p != NONE:
            chain_end(m, p)
    elif rank == RANK.CREW_FREE:
        look_at(m, m[subject + CREW.look])
    elif rank == RANK.VEHICLE_ARRIVES:
        arrives(m, subject)
    elif rank == RANK.MADE_GOOD:
        into_pool(m, subject, CODE.SERVICEABLE)
    elif rank == RANK.BENCH_READY:
        bench_ready(m, x, subject)
    elif rank == RANK.BENCH_END:
        bench_end(m, x, subject)
    else:
        happen_rarely(m, x, rank, subject)


@compiled
def happen_rarely(m: Words, x: Reals, rank: int, subject: int) -> None:
    """The rest of what can be due."""
    if rank == RANK.BOUGHT_IN:
        into_pool(m, subject, CODE.BOUGHT)
    elif rank == RANK.LOT_LEAVES:
        lot_leaves(m, x, subject)
    elif rank == RANK.SITE_DRAW:
        site_draw(m, x, subject)
    elif rank == RANK.SITE_BACK:
        site_back(m, x, subject)
    elif rank == RANK.UPSET:
        upset(m, x, subject)
    elif rank == RANK.UPSET_END:
        mended(m, x, subject)
    else:
        morning(m, x, subject)


@compiled
def morning(m: Words, x: Reals, day: int) -> None:
    """A working day begins."""
    crews_of_day(m, x, day)
    charges_of_morning(m, x)
    push(m, opening(m, day + 1), RANK.MORNING, day + 1)


@woven
def settle(m: Words, x: Reals) -> None:
    """Look at the lowest place of the lowest phase, again and again, until none is left."""
    place = next_look(m)
    while place != NONE:
        thing = m[m[RUN.place] + place]
        if place >= m[RUN.first_crew]:
            try_start(m, thing)
        elif place >= m[RUN.first_charge]:
            try_charge(m, x, thing)
        elif place >= m[RUN.first_kind]:
            p = serve(m, thing)
            if p != NONE:
                supplied(m, x, p, thing)
        elif place >= m[RUN.first_stage]:
            try_position(m, x, thing)
        elif place != GATE:
            try_marriage(m, thing)
        else:
            admit(m)
        place = next_look(m)
