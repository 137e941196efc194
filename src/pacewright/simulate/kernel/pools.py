"""Units from the pool to the vehicles: first come first served, a second site, robbing."""

from pacewright.simulate.kernel.agenda import push
from pacewright.simulate.kernel.chance import drawn, exponential, whole
from pacewright.simulate.kernel.clock import end_of_work
from pacewright.simulate.kernel.codes import CODE, RANK, STREAM
from pacewright.simulate.kernel.compiled import compiled, woven
from pacewright.simulate.kernel.diary import measuring, note
from pacewright.simulate.kernel.lines import call, drop_last, join, join_front, look_at
from pacewright.simulate.kernel.memory import LINE, NEXT, NONE, RUN, SITE, Reals, Words
from pacewright.simulate.kernel.things import CARRIED, COLD, KIND, ORDER, PIECE, STEP, VEHICLE
from pacewright.simulate.kernel.units import add_pool, count_off, gather

WAITS = -2
"""In place of the kind that was complete last: not all is there."""


@woven
def ask(m: Words, x: Reals, p: int) -> int:
    """A piece in its position asks for its units, kind by kind.

    Returns
    -------
    The kind complete last when all are there, NONE when none was asked for; else WAITS.
    """
    e = m[p + PIECE.step]
    if m[e + STEP.fit] == m[e + STEP.end_fit] and m[p + COLD.late] == NONE:
        return NONE
    m[p + COLD.lacks] = 0
    last = ask_late(m, p) if m[p + COLD.late] != NONE else NONE
    for carried in range(m[e + STEP.fit], m[e + STEP.end_fit], CARRIED.words):
        units = count_off(m, x, p, carried)
        if units:
            last = m[carried + CARRIED.kind]
            ask_for(m, p, last, units)
    lacks = m[p + COLD.lacks]
    if lacks == 0:
        return last
    m[m[p + COLD.of] + VEHICLE.lacked] = 1
    return rob(m, x, p) if m[RUN.robbing] and lacks == 1 else WAITS


@compiled
def ask_late(m: Words, p: int) -> int:
    """What it should have got at a stage that is behind it; the last kind asked for."""
    late = m[p + COLD.late]
    m[p + COLD.late] = NONE
    last = NONE
    for k in range(m[RUN.kinds], m[RUN.kinds_end], KIND.words):
        units = m[late + m[k + KIND.number]]
        if units > 0:
            last = k
            ask_for(m, p, k, units)
    return last


@woven
def ask_for(m: Words, p: int, k: int, units: int) -> None:
    """An order for units of one kind, served at once when it is the first and some are there."""
    order = new_order(m, p, units)
    line = k + KIND.line
    m[p + COLD.lacks] += 1
    lacks = m[p + COLD.lacks]
    add_owed(m, k, units)
    join(m, line, order)
    if m[line + LINE.head] == order:
        give(m, k)
    if measuring(m):
        m[k + KIND.asked] += 1
        m[k + KIND.late] += m[p + COLD.lacks] == lacks


@woven
def new_order(m: Words, p: int, units: int) -> int:
    """Words for an order."""
    order = m[RUN.free_order]
    if order == NONE:
        order = m[RUN.orders]
        m[RUN.orders] = order + ORDER.words
    else:
        m[RUN.free_order] = m[order + NEXT]
    m[order + ORDER.piece] = p
    m[order + ORDER.units] = units
    return order


@woven
def free_order(m: Words, order: int) -> None:
    """The words of an order are free again."""
    m[order + NEXT] = m[RUN.free_order]
    m[RUN.free_order] = order


@woven
def give(m: Words, k: int) -> None:
    """The head of a kind's line, a piece, takes what is there."""
    line = k + KIND.line
    order = m[line + LINE.head]
    units = min(m[k + KIND.pool], m[order + ORDER.units])
    if units > 0:
        add_pool(m, k, -units)
        given(m, k, order, units)
    if m[order + ORDER.units] == 0:
        free_order(m, call(m, line))


@woven
def given(m: Words, k: int, order: int, units: int) -> None:
    """A piece gets units."""
    p = m[order + ORDER.piece]
    add_owed(m, k, -units)
    note(m, CODE.FITTED, m[p + PIECE.vehicle], m[k + KIND.number], units)
    m[order + ORDER.units] -= units
    if m[order + ORDER.units] == 0:
        m[p + COLD.lacks] -= 1
        if measuring(m):
            m[k + KIND.wait_minutes] += m[RUN.worked] - m[p + PIECE.since]


@woven
def add_owed(m: Words, k: int, change: int) -> None:
    """Units of a kind asked for and not yet given, more or less."""
    m[k + KIND.owed] += change
    m[k + KIND.owed_sum] -= change * m[RUN.measured]


@woven
def serve(m: Words, k: int) -> int:
    """Serve the head of a kind's line once; the piece, when it has all its units now."""
    line = k + KIND.line
    if m[line + LINE.waiting] == 0 or m[k + KIND.pool] == 0:
        return NONE
    p = m[m[line + LINE.head] + ORDER.piece]
    if p == SITE:
        add_pool(m, k, -1)
        add_owed(m, k, -1)
        note(m, CODE.SITE_DRAWN, NONE, m[k + KIND.number], 1)
        m[RUN.site_orders] -= 1
        free_order(m, call(m, line))
    else:
        give(m, k)
    if m[k + KIND.pool] > 0 and m[line + LINE.waiting] > 0:
        look_at(m, m[k + KIND.look])
    return NONE if p == SITE or m[p + COLD.lacks] > 0 else p


# -- robbing ---------------------------------------------------------------------------------


@compiled
def rob(m: Words, x: Reals, p: int) -> int:
    """Take what a piece lacks of one kind off one that waits for another, the last positioned."""
    k = lacked(m, p)
    if k == NONE:
        return WAITS
    line = k + KIND.line
    units = m[m[line + LINE.tail] + ORDER.units]
    victim = best_victim(m, x, k, units)
    if victim == NONE:
        return WAITS
    note(m, CODE.ROBBED, m[victim + PIECE.vehicle], m[k + KIND.number], units)
    own = drop_last(m, line)
    theirs = order_of(m, k, victim)
    if theirs == NONE:
        theirs = new_order(m, victim, 0)
        join_front(m, line, theirs)
        m[victim + COLD.lacks] += 1
    m[theirs + ORDER.units] += units
    add_owed(m, k, units)
    given(m, k, own, units)
    free_order(m, own)
    m[p + COLD.robbing] += m[k + KIND.rob_minutes]
    m[victim + COLD.robbing] += m[k + KIND.rob_minutes]
    return k


@compiled
def lacked(m: Words, p: int) -> int:
    """The kind of its stage of which a piece that has just asked lacks units; else NONE.

    It is the last in that line.
    """
    e = m[p + PIECE.step]
    for carried in range(m[e + STEP.fit], m[e + STEP.end_fit], CARRIED.words):
        k = m[carried + CARRIED.kind]
        line = k + KIND.line
        if m[line + LINE.waiting] > 0 and m[m[line + LINE.tail] + ORDER.piece] == p:
            return k
    return NONE


@compiled
def best_victim(m: Words, x: Reals, k: int, units: int) -> int:
    """Of the pieces in the lines of other kinds that hold enough, the one positioned last."""
    best = NONE
    for other in range(m[RUN.kinds], m[RUN.kinds_end], KIND.words):
        order = m[other + KIND.line + LINE.head]
        for _ in range(0 if other == k else m[other + KIND.line + LINE.waiting]):
            p = m[order + ORDER.piece]
            if p != SITE and (best == NONE or later(m, p, best)) and holds(m, x, p, k) >= units:
                best = p
            order = m[order + NEXT]
    return best


@compiled
def later(m: Words, p: int, best: int) -> bool:
    """True when a piece was positioned after another; ties go by vehicle, then piece."""
    if m[p + COLD.positioned] != m[best + COLD.positioned]:
        return m[p + COLD.positioned] > m[best + COLD.positioned]
    return p > best


@compiled
def holds(m: Words, x: Reals, p: int, k: int) -> int:
    """Units of a kind that a waiting piece was given."""
    e = m[p + PIECE.step]
    held = 0
    for carried in range(m[e + STEP.fit], m[e + STEP.end_fit], CARRIED.words):
        if m[carried + CARRIED.kind] == k:
            held += count_off(m, x, p, carried)
    order = order_of(m, k, p)
    return held if order == NONE else held - m[order + ORDER.units]


@compiled
def order_of(m: Words, k: int, p: int) -> int:
    """The order of a piece in the line of a kind."""
    order = m[k + KIND.line + LINE.head]
    for _ in range(m[k + KIND.line + LINE.waiting]):
        if m[order + ORDER.piece] == p:
            return order
        order = m[order + NEXT]
    return NONE


# -- the second site -------------------------------------------------------------------------


@compiled
def site_draw(m: Words, x: Reals, k: int) -> None:
    """The second site asks for one unit; its own comes back for it in time."""
    if m[RUN.site_orders] == m[RUN.site_room]:
        m[RUN.full] = 1
        return
    m[RUN.site_orders] += 1
    join(m, k + KIND.line, new_order(m, SITE, 1))
    add_owed(m, k, 1)
    look_at(m, m[k + KIND.look])
    push(m, end_of_work(m, m[RUN.own_minutes], m[k + KIND.transit]), RANK.SITE_BACK, k)
    m[k + KIND.site_draws] += 1
    next_site_draw(m, x, k)


@compiled
def next_site_draw(m: Words, x: Reals, k: int) -> None:
    """The next draw of the second site is due."""
    u = drawn(m, STREAM.SITE, m[k + KIND.key], 0, m[k + KIND.site_draws])
    gap = whole(exponential(m, x, x[k + KIND.site_gap], u))
    push(m, end_of_work(m, m[RUN.own_minutes], gap), RANK.SITE_DRAW, k)


@compiled
def site_back(m: Words, x: Reals, k: int) -> None:
    """The unserviceable unit of the site's earliest draw that is still out is here."""
    number = m[k + KIND.site_backs]
    m[k + KIND.site_backs] += 1
    gather(m, x, k, m[k + KIND.site_key], number)
