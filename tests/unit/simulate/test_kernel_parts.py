"""The parts of the compiled engine, each against its plain model: clock, draws, agenda, looks."""

import heapq
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pacewright.simulate.calendars import Clock
from pacewright.simulate.chance import base_of, draw, quantile
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.table import FAR, FlowTable
from small_works import small_works

numba = pytest.importorskip("numba", reason="the compiled engine is an extra")

from pacewright.simulate.kernel.agenda import next_due, push  # noqa: E402
from pacewright.simulate.kernel.chance import at_share, drawn  # noqa: E402
from pacewright.simulate.kernel.clock import (  # noqa: E402
    day_from_now,
    end_of_work,
    is_open,
    opening,
    set_now,
    worked_of,
)
from pacewright.simulate.kernel.ground import Ground  # noqa: E402
from pacewright.simulate.kernel.heap import key_of, minute_of, rank_of, subject_of  # noqa: E402
from pacewright.simulate.kernel.lines import look_at, next_look  # noqa: E402
from pacewright.simulate.kernel.memory import NONE, RUN  # noqa: E402
from pacewright.simulate.kernel.pack import pack  # noqa: E402
from pacewright.simulate.kernel.pointers import reals_of, words_of  # noqa: E402
from pacewright.simulate.kernel.room import Room  # noqa: E402
from pacewright.simulate.kernel.start import begin  # noqa: E402


@pytest.fixture(scope="module")
def table() -> FlowTable:
    """Ten weeks of the small works: two calendars, a holiday at Easter."""
    options = FlowOptions(calls=Calls.EVEN, pace_a_day=0.5, weeks=10)
    return compile_flow(small_works(), None, options)


def ground_of(table: FlowTable) -> Ground:
    """Fresh memory."""
    return pack(table, 7, 3, Room.guessed(table))


# -- clock -----------------------------------------------------------------------------------


@numba.njit
def _clock_at(memory: Any, minutes: Any, length: int, work: int, found: Any) -> None:
    m = words_of(memory)
    for i in range(len(minutes)):
        set_now(m, minutes[i])
        found[i, 0] = is_open(m, length)
        found[i, 1] = worked_of(m, length)
        found[i, 2] = end_of_work(m, length, work)
        found[i, 3] = opening(m, day_from_now(m))
        found[i, 4] = m[RUN.worked]


@pytest.mark.parametrize("calendar", [0, 1])
@pytest.mark.parametrize("work", [-5, 0, 1, 479, 480, 481, 961, 5000, 10**7])
def test_clock_reckons_as_the_plain_one(table: FlowTable, calendar: int, work: int) -> None:
    """Every minute of two weeks, some before the first and after the last day."""
    clock, length = Clock.of(table.days), int(table.days.minutes[calendar])
    last = len(table.days.before) * 1440
    minutes = np.array([0, 1, *range(1440 * 5, 1440 * 12, 7), 1440 * 33, last - 1500, last + 9])
    found = np.zeros((len(minutes), 5), np.int64)
    _clock_at(ground_of(table).m, minutes, length, work, found)
    for t, row in zip(minutes.tolist(), found.tolist(), strict=True):
        assert row == [
            clock.is_open(calendar, t),
            clock.worked(t, calendar),
            clock.end_of_work(calendar, t, work),
            clock.opening(clock.next_day(t)),
            clock.worked(t),
        ]


# -- draws -----------------------------------------------------------------------------------


@numba.njit
def _draws(memory: Any, keys: Any, found: Any) -> None:
    m = words_of(memory)
    x = reals_of(memory)
    begin(m, x)
    for i in range(len(keys)):
        found[i, 0] = drawn(m, keys[i, 0], keys[i, 1], keys[i, 2], keys[i, 3])
        found[i, 1] = at_share(x, m[RUN.exponential], found[i, 0])


def test_draws_are_those_of_the_plain_engine(table: FlowTable) -> None:
    """To the last bit, for keys of every size."""
    rng = np.random.default_rng(5)
    keys = rng.integers(-(2**63), 2**63 - 1, (300, 4))
    keys[:, 0] = np.arange(300) % 12 + 1
    found = np.zeros((300, 2))
    _draws(ground_of(table).m, keys, found)
    base = base_of(7, 3)
    for (stream, a, b, c), (u, value) in zip(keys.tolist(), found.tolist(), strict=True):
        assert u == draw(base, stream, a, b, c)
        assert value == quantile(table.exponential, u)


# -- agenda ----------------------------------------------------------------------------------


@numba.njit
def _work_off(memory: Any, pushes: Any, at_once: int, found: Any) -> int:
    """Push ``at_once`` things, then take one and push one until all are taken."""
    m = words_of(memory)
    pushed = taken = 0
    while True:
        while pushed < len(pushes) and pushed - taken < at_once:
            after, rank, subject = pushes[pushed]
            push(m, m[RUN.now] + after, rank, subject)
            pushed += 1
        key = next_due(m)
        if key == FAR:
            return taken
        set_now(m, minute_of(key))
        found[taken] = minute_of(key), rank_of(key), subject_of(key)
        taken += 1


@settings(max_examples=50, deadline=None)
@given(
    pushes=st.lists(
        st.tuples(
            st.sampled_from([0, 0, 1, 5, 63, 64, 700, 32_767, 32_768, 40_000]),
            st.integers(0, 12),
            st.integers(0, 5),
        ),
        min_size=1,
        max_size=200,
    ),
    at_once=st.sampled_from([1, 3, 40, 200]),
    few=st.booleans(),
)
def test_agenda_gives_what_is_due_in_order(
    table: FlowTable, pushes: list[tuple[int, int, int]], at_once: int, few: bool
) -> None:
    """As the heap of the standard library, near and far, many in a minute, ring full or not."""
    room = Room.guessed(table)
    ground = pack(table, 7, 3, Room(8, room.units, room.site, 0) if few else room)
    ground.m[RUN.end] = 1 << 24
    ground.m[RUN.far_room] = ground.counts["far"]
    found = np.zeros((len(pushes), 3), np.int64)
    if few and at_once > 8:
        at_once = 8
    taken = _work_off(ground.m, np.array(pushes, np.int64), at_once, found)
    assert taken == len(pushes)
    assert found.tolist() == _by_heapq(int(table.days.start), pushes, at_once)


def _by_heapq(now: int, pushes: list[tuple[int, int, int]], at_once: int) -> list[list[int]]:
    due: list[list[int]] = []
    taken: list[list[int]] = []
    pushed = 0
    while pushed < len(pushes) or due:
        while pushed < len(pushes) and pushed - len(taken) < at_once:
            after, rank, subject = pushes[pushed]
            heapq.heappush(due, [now + after, rank, subject])
            pushed += 1
        taken.append(heapq.heappop(due))
        now = taken[-1][0]
    return taken


@numba.njit
def _key(minute: int, rank: int, subject: int) -> Any:
    key = key_of(minute, rank, subject)
    return minute_of(key), rank_of(key), subject_of(key)


def test_a_key_holds_the_last_minute_and_the_greatest_subject() -> None:
    """The last minute of 31 years, rank 15, subject of 34 bits."""
    assert _key((1 << 24) - 1, 15, (1 << 34) - 1) == ((1 << 24) - 1, 15, (1 << 34) - 1)
    assert _key(0, 0, 0) == (0, 0, 0)


# -- places to look at -----------------------------------------------------------------------


@numba.njit
def _looks(memory: Any, places: Any, found: Any) -> int:
    m = words_of(memory)
    for place in places:
        look_at(m, place)
    count = 0
    place = next_look(m)
    while place != NONE:
        found[count] = place
        count += 1
        place = next_look(m)
    return count


@given(data=st.data())
@settings(max_examples=30, deadline=None)
def test_looks_come_in_their_order_once_each(table: FlowTable, data: st.DataObject) -> None:
    """Lowest first, whatever the order in which they were asked for."""
    ground = ground_of(table)
    places = data.draw(st.lists(st.integers(0, ground.counts["place"] - 1), max_size=60))
    found = np.zeros(64, np.int64)
    count = _looks(ground.m, np.array(places, np.int64), found)
    assert found[:count].tolist() == sorted(set(places))
