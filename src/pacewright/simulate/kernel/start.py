"""The moment before the first: who and what is there, and what is due."""

import numpy as np

from pacewright.simulate.kernel.agenda import push, put_far
from pacewright.simulate.kernel.chance import drawn, exponential, stepped, whole
from pacewright.simulate.kernel.clock import day_from_now, end_of_work, opening, set_now
from pacewright.simulate.kernel.codes import CODE, RANK, STREAM, STREAMS, THEN, THERE
from pacewright.simulate.kernel.compiled import compiled
from pacewright.simulate.kernel.crews import crews_of_day
from pacewright.simulate.kernel.diary import note
from pacewright.simulate.kernel.ends import add_inside, arrives, stored
from pacewright.simulate.kernel.floor import ready
from pacewright.simulate.kernel.heap import key_of
from pacewright.simulate.kernel.live import begin_away, begin_live
from pacewright.simulate.kernel.memory import NONE, RUN, Reals, Words
from pacewright.simulate.kernel.pools import next_site_draw
from pacewright.simulate.kernel.things import AWAY, COLD, KIND, OWED, PIECE, STEP, UPSET, VEHICLE
from pacewright.simulate.kernel.units import (
    add_pool,
    bench_time,
    comes_off,
    is_scrapped,
    to_bench,
    turn_of,
)
from pacewright.simulate.kernel.upsets import next_upset
from pacewright.simulate.table import FAR, IN_STORE


@compiled
def begin(m: Words, x: Reals) -> None:
    """Put everything where it is at the start."""
    set_now(m, m[RUN.now])
    streams = m[RUN.streams]
    for n in range(1, STREAMS):
        m[streams + n] = int(np.int64(stepped(np.uint64(m[streams]), np.uint64(n))))
    first = day_from_now(m)
    push(m, opening(m, first), RANK.MORNING, first)
    if m[RUN.today] != NONE:
        crews_of_day(m, x, m[RUN.today])
    for k in range(m[RUN.kinds], m[RUN.kinds_end], KIND.words):
        begin_float(m, x, k)
    for owed in range(m[RUN.owed], m[RUN.owed_end], OWED.words):
        begin_owed(m, x, owed)
    for away in range(m[RUN.aways], m[RUN.aways_end], AWAY.words):
        begin_away(m, x, away)
    for k in range(m[RUN.kinds], m[RUN.kinds_end], KIND.words):
        if x[k + KIND.site_gap] > 0:
            next_site_draw(m, x, k)
    for u in range(m[RUN.upsets], m[RUN.upsets_end], UPSET.words):
        if x[u + UPSET.gap] > 0:
            next_upset(m, x, u)
        else:
            push(m, max(m[u + UPSET.at], m[RUN.now]), RANK.UPSET, u)
    begin_vehicles(m, x)
    begin_live(m, x)


@compiled
def begin_float(m: Words, x: Reals, k: int) -> None:
    """The float of a kind; its unserviceable units have a share of their turn time to go."""
    add_pool(m, k, m[k + KIND.serviceable])
    key = m[k + KIND.float_key]
    for n in range(m[k + KIND.unserviceable]):
        share = drawn(m, STREAM.RESIDUAL, key, m[k + KIND.key], n)
        left = turn_of(m, x, k, key, n) * share
        if m[k + KIND.benches]:
            to_bench(m, k, key, n, left)
        else:
            push(m, end_of_work(m, m[RUN.own_minutes], whole(left)), RANK.MADE_GOOD, k)


@compiled
def begin_owed(m: Words, x: Reals, owed: int) -> None:
    """What came off a vehicle inside is on its way."""
    key = m[m[owed + OWED.vehicle] + VEHICLE.key]
    for j in range(m[owed + OWED.units]):
        if comes_off(m, x, key, m[owed + OWED.kind], j):
            on_its_way(m, x, m[owed + OWED.kind], key, j, m[owed + OWED.ago])


@compiled
def on_its_way(m: Words, x: Reals, k: int, key: int, number: int, ago: int) -> None:
    """A unit that came off a vehicle ``ago`` worked minutes before the start."""
    rank = RANK.MADE_GOOD
    if is_scrapped(m, x, k, key, number):
        rank = RANK.BOUGHT_IN
        total = m[k + KIND.purchase_minutes]
    elif m[k + KIND.benches]:
        before = int(turn_of(m, x, k, key, number) + 0.5)
        total = before + bench_time(m, x, k, key, number)
    else:
        total = whole(turn_of(m, x, k, key, number))
    if total <= ago:
        add_pool(m, k, 1)
    else:
        push(m, end_of_work(m, m[RUN.own_minutes], total - ago), rank, k)


@compiled
def begin_vehicles(m: Words, x: Reals) -> None:
    """Vehicles inside stand where they are; the others come in the order of their minutes."""
    for v in range(m[RUN.vehicles], m[RUN.vehicles_end], VEHICLE.words):
        there = m[v + VEHICLE.inside]
        if there == THERE.INSIDE:
            stands_inside(m, v)
        elif there == THERE.AT_GATE:
            arrives(m, v)
        elif there == THERE.TO_COME:
            minute = arrival_of(m, x, v)
            if minute < m[RUN.end]:
                put_far(m, key_of(minute, RANK.VEHICLE_ARRIVES, v))


@compiled
def arrival_of(m: Words, x: Reals, v: int) -> int:
    """Minute at which a vehicle comes, late if its depot lets it."""
    key = m[v + VEHICLE.key]
    day = m[v + VEHICLE.day]
    if drawn(m, STREAM.LATE, key, 0, 0) < x[v + VEHICLE.late_share]:
        u = drawn(m, STREAM.LATE, key, 0, 1)
        day += 1 + int(exponential(m, x, x[v + VEHICLE.late_scale], u))
    begin_day = opening(m, day)
    return begin_day if begin_day == FAR else begin_day + m[v + VEHICLE.slot]


@compiled
def stands_inside(m: Words, v: int) -> None:
    """A vehicle inside at the start: its pieces ask for where they stand, or are stored."""
    m[v + VEHICLE.arrived] = m[RUN.now]
    m[v + VEHICLE.admitted] = m[RUN.now]
    add_inside(m, 1)
    note(m, CODE.ARRIVED, m[v + VEHICLE.number], NONE, 0)
    note(m, CODE.ADMITTED, m[v + VEHICLE.number], NONE, 0)
    for p in range(m[v + VEHICLE.piece], m[v + VEHICLE.end_piece], m[RUN.piece_words]):
        m[p + PIECE.finished] = m[RUN.now]
        e = m[p + PIECE.step]
        if e >= 0:
            ready(m, p, e)
        elif e == IN_STORE:
            last = m[p + COLD.first_step]
            while m[last + STEP.then] == THEN.GO_ON:
                last += STEP.words
            stored(m, p, m[last + STEP.stage])
