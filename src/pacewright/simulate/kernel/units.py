"""Units from removal to the pool: lots, despatches, scrap and purchase, turn time, benches."""

from pacewright.simulate.kernel.agenda import push
from pacewright.simulate.kernel.chance import at_share, drawn, exponential, whole
from pacewright.simulate.kernel.clock import day_from_now, end_of_work, opening
from pacewright.simulate.kernel.codes import CODE, RANK, STREAM
from pacewright.simulate.kernel.compiled import compiled, woven
from pacewright.simulate.kernel.diary import note
from pacewright.simulate.kernel.lines import call, join, look_at
from pacewright.simulate.kernel.memory import LINE, NONE, RUN, Reals, Words
from pacewright.simulate.kernel.things import CARRIED, COLD, KIND, PIECE, STEP, UNIT


@woven
def comes_off(m: Words, x: Reals, vehicle_key: int, k: int, j: int) -> bool:
    """True when unit ``j`` of a vehicle is of those that come off."""
    share = x[k + KIND.removal_share]
    return share >= 1 or drawn(m, STREAM.REMOVED, vehicle_key, m[k + KIND.key], j) < share


@woven
def known_units(m: Words, p: int, k: int) -> int:
    """Units of a kind that a piece asks for, where the record knows them; else NONE."""
    known = m[p + COLD.known]
    return NONE if known == NONE else m[known + m[k + KIND.number]]


@woven
def count_off(m: Words, x: Reals, p: int, carried: int) -> int:
    """Units of a kind that come off a piece at its step, or go on again."""
    k = m[carried + CARRIED.kind]
    units = m[carried + CARRIED.units]
    step = m[m[p + PIECE.step] + STEP.pieces]
    known = known_units(m, p, k)
    if known != NONE:
        return known
    off = 0
    for j in range(m[p + COLD.place], units, step):
        off += comes_off(m, x, m[p + PIECE.key], k, j)
    return off


@compiled
def strip(m: Words, x: Reals, p: int) -> None:
    """The units of the piece's stage come off it."""
    e = m[p + PIECE.step]
    key = m[p + PIECE.key]
    for carried in range(m[e + STEP.strip], m[e + STEP.end_strip], CARRIED.words):
        k = m[carried + CARRIED.kind]
        off = count_off(m, x, p, carried) if known_units(m, p, k) == NONE else 0
        if off:
            note(m, CODE.REMOVED, m[p + PIECE.vehicle], m[k + KIND.number], off)
            units = m[carried + CARRIED.units]
            for j in range(m[p + COLD.place], units, m[e + STEP.pieces]):
                if comes_off(m, x, key, k, j):
                    gather(m, x, k, key, j)


@compiled
def gather(m: Words, x: Reals, k: int, key: int, number: int) -> None:
    """A unit joins the lot of its kind; a full lot leaves at once or at the next despatch."""
    lot = m[k + KIND.lot]
    days = m[k + KIND.despatch_days]
    if lot == 1 and days == 0:
        note(m, CODE.SENT, NONE, m[k + KIND.number], 1)
        leaves(m, x, k, key, number)
        return
    unit = new_unit(m, key, number)
    if unit == NONE:
        return
    join(m, k + KIND.lot_line, unit)
    m[k + KIND.gathered] += 1
    if m[k + KIND.gathered] < lot:
        return
    m[k + KIND.gathered] = 0
    if days == 0:
        lot_leaves(m, x, k)
    else:
        push(m, opening(m, (day_from_now(m) + days - 1) // days * days), RANK.LOT_LEAVES, k)


@compiled
def new_unit(m: Words, key: int, number: int) -> int:
    """Words for a unit that waits somewhere; NONE without room: the run ends and is done again."""
    n = m[RUN.unit]
    if n == m[RUN.unit_room]:
        m[RUN.full] = 1
        return NONE
    m[RUN.unit] = n + 1
    unit = m[RUN.units] + n * UNIT.words
    m[unit + UNIT.key] = key
    m[unit + UNIT.number] = number
    return unit


@compiled
def lot_leaves(m: Words, x: Reals, k: int) -> None:
    """A lot leaves."""
    lot = m[k + KIND.lot]
    note(m, CODE.SENT, NONE, m[k + KIND.number], lot)
    for _ in range(lot):
        unit = call(m, k + KIND.lot_line)
        leaves(m, x, k, m[unit + UNIT.key], m[unit + UNIT.number])


@woven
def leaves(m: Words, x: Reals, k: int, key: int, number: int) -> None:
    """A unit leaves; what cannot be made good is bought when enough of it has gathered."""
    own = m[RUN.own_minutes]
    if is_scrapped(m, x, k, key, number):
        scrap(m, k)
    elif m[k + KIND.benches]:
        to_bench(m, k, key, number, turn_of(m, x, k, key, number))
    else:
        turn = whole(turn_of(m, x, k, key, number))
        push(m, end_of_work(m, own, turn), RANK.MADE_GOOD, k)


@woven
def is_scrapped(m: Words, x: Reals, k: int, key: int, number: int) -> bool:
    """True when a unit cannot be made good."""
    share = x[k + KIND.scrap_share]
    return share > 0 and drawn(m, STREAM.SCRAP, key, m[k + KIND.key], number) < share


@compiled
def scrap(m: Words, k: int) -> None:
    """A unit is scrapped."""
    note(m, CODE.SCRAPPED, NONE, m[k + KIND.number], 1)
    lot = m[k + KIND.purchase_lot]
    m[k + KIND.scrapped] += 1
    if m[k + KIND.scrapped] == lot:
        m[k + KIND.scrapped] = 0
        bought_in = end_of_work(m, m[RUN.own_minutes], m[k + KIND.purchase_minutes])
        for _ in range(lot):
            push(m, bought_in, RANK.BOUGHT_IN, k)


@compiled
def to_bench(m: Words, k: int, key: int, number: int, before: float) -> None:
    """A unit asks for a bench after so many worked minutes, to the nearest whole one."""
    rest = int(before + 0.5)
    unit = new_unit(m, key, number)
    if unit == NONE:
        return
    # Units are numbered as they come, so those due in the same minute keep their order.
    subject = (m[k + KIND.number] << m[RUN.unit_bits]) | (unit - m[RUN.units]) // UNIT.words
    push(m, end_of_work(m, m[RUN.own_minutes], rest), RANK.BENCH_READY, subject)


@woven
def turn_of(m: Words, x: Reals, k: int, key: int, number: int) -> float:
    """Worked minutes from leaving to serviceable, or to asking for a bench."""
    return at_share(x, m[k + KIND.turn], drawn(m, STREAM.TURN, key, m[k + KIND.key], number))


@compiled
def bench_time(m: Words, x: Reals, k: int, key: int, number: int) -> int:
    """Minutes on the bench."""
    u = drawn(m, STREAM.BENCH, key, m[k + KIND.key], number)
    return whole(exponential(m, x, x[k + KIND.bench_minutes], u))


@compiled
def bench_ready(m: Words, x: Reals, subject: int) -> None:
    """A unit asks for a bench."""
    bits = m[RUN.unit_bits]
    k = m[RUN.kinds] + (subject >> bits) * KIND.words
    unit = subject & ((1 << bits) - 1)
    join(m, k + KIND.bench_line, m[RUN.units] + unit * UNIT.words)
    start_benches(m, x, k)


@compiled
def start_benches(m: Words, x: Reals, k: int) -> None:
    """Free benches take the units that wait."""
    line = k + KIND.bench_line
    free = m[k + KIND.benches] - m[k + KIND.benches_out] - m[k + KIND.benches_busy]
    for _ in range(min(free, m[line + LINE.waiting])):
        m[k + KIND.benches_busy] += 1
        unit = call(m, line)
        minutes = bench_time(m, x, k, m[unit + UNIT.key], m[unit + UNIT.number])
        push(m, end_of_work(m, m[k + KIND.length], minutes), RANK.BENCH_END, k)


@compiled
def bench_end(m: Words, x: Reals, k: int) -> None:
    """A unit comes off its bench, ready to fit."""
    m[k + KIND.benches_busy] -= 1
    into_pool(m, k, CODE.SERVICEABLE)
    start_benches(m, x, k)


@woven
def into_pool(m: Words, k: int, code: int) -> None:
    """A unit comes into the pool, made good or bought."""
    add_pool(m, k, 1)
    note(m, code, NONE, m[k + KIND.number], 1)
    look_at(m, m[k + KIND.look])


@woven
def add_pool(m: Words, k: int, change: int) -> None:
    """Serviceable units of a kind, more or less."""
    m[k + KIND.pool] += change
    m[k + KIND.pool_sum] -= change * m[RUN.measured]
