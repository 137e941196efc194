"""The first moment when the record knows it: pieces and units where they are."""

from pacewright.simulate.kernel.agenda import push
from pacewright.simulate.kernel.chance import at_share, beyond, drawn, exponential, whole
from pacewright.simulate.kernel.clock import end_of_work
from pacewright.simulate.kernel.codes import CODE, RANK, STAND, STREAM, THEN, WAY
from pacewright.simulate.kernel.compiled import compiled
from pacewright.simulate.kernel.crews import resume_crews
from pacewright.simulate.kernel.ends import chain_end
from pacewright.simulate.kernel.floor import (
    add_busy,
    ask_units,
    attempt_of,
    note_at,
    ready,
    take,
    together,
    with_scope,
)
from pacewright.simulate.kernel.memory import NONE, RUN, Reals, Words
from pacewright.simulate.kernel.things import AWAY, COLD, KIND, PIECE, STAGE, START, STEP, VEHICLE
from pacewright.simulate.kernel.units import gather, is_scrapped, scrap, to_bench
from pacewright.simulate.table import FAR


@compiled
def begin_away(m: Words, x: Reals, away: int) -> None:
    """A unit on its way to the pool."""
    k = m[away + AWAY.kind]
    key = m[away + AWAY.key]
    way = m[away + AWAY.way]
    minutes = m[away + AWAY.minutes]
    if way == WAY.GATHERS:
        gather(m, x, k, key, 0)
    elif way == WAY.BOUGHT:
        push(m, end_of_work(m, m[RUN.own_minutes], minutes), RANK.BOUGHT_IN, k)
    elif way == WAY.OVERDUE:
        u = drawn(m, STREAM.TURN, key, m[k + KIND.key], 0)
        left = whole(exponential(m, x, float(minutes), u))
        push(m, end_of_work(m, m[RUN.own_minutes], left), RANK.MADE_GOOD, k)
    elif way == WAY.MAY_GO and is_scrapped(m, x, k, key, 0):
        scrap(m, k)
    else:
        u = drawn(m, STREAM.TURN, key, m[k + KIND.key], 0)
        more = at_share(x, m[k + KIND.turn], beyond(x[away + AWAY.share], u)) - minutes
        if m[k + KIND.benches]:
            to_bench(m, k, key, 0, max(0.0, more))
        else:
            push(m, end_of_work(m, m[RUN.own_minutes], whole(more)), RANK.MADE_GOOD, k)


@compiled
def begin_live(m: Words, x: Reals) -> None:
    """Pieces inside, in the order in which they came to where they are."""
    for start in range(m[RUN.starts], m[RUN.starts_end], START.words):
        p = m[start + START.piece]
        m[p + COLD.known] = m[start + START.asks]
        m[p + COLD.late] = m[start + START.late]
        m[p + PIECE.finished] = m[start + START.finished]
        m[p + COLD.more] = m[start + START.more]
    for start in range(m[RUN.starts], m[RUN.starts_end], START.words):
        begin_piece(m, x, start)


@compiled
def begin_piece(m: Words, x: Reals, start: int) -> None:
    """One piece stands where it is."""
    p = m[start + START.piece]
    e = m[start + START.step]
    stand = m[start + START.stand]
    held = m[start + START.held]
    if stand == STAND.ASKS:
        if held != NONE:
            add_busy(m, held, 1)
            m[p + PIECE.held] = held
        ready(m, p, e)
    elif stand == STAND.PARTED:
        v = m[p + COLD.of]
        if m[v + VEHICLE.together] == 0:
            add_busy(m, held, 1)
        m[v + VEHICLE.together] += 1
        m[p + PIECE.held] = together(held)
        ready(m, p, e)
    elif stand == STAND.WAITS:
        stands_at(m, p, e)
        chain_end(m, p)
    elif stand != STAND.ELSEWHERE:
        stands_at(m, p, e)
        take(m, p, m[e + STEP.stage])
        begin_positioned(m, x, start)


@compiled
def stands_at(m: Words, p: int, e: int) -> None:
    """The piece is at step ``e``, and waits for nothing yet."""
    m[p + PIECE.step] = e
    m[p + PIECE.since] = m[RUN.worked]


@compiled
def begin_positioned(m: Words, x: Reals, start: int) -> None:
    """What becomes of a piece on a position of its step."""
    p = m[start + START.piece]
    stand = m[start + START.stand]
    if stand == STAND.POSITIONED:
        ask_units(m, x, p)
    elif stand == STAND.LACKS:
        m[p + COLD.left] = work_left(m, x, start)
        ask_units(m, x, p)
    elif stand == STAND.AT_WORK:
        works(m, x, start)
    elif m[m[p + PIECE.step] + STEP.then] == THEN.GO_ON:
        ready(m, p, m[p + PIECE.step] + STEP.words)
    else:
        chain_end(m, p)


@compiled
def works(m: Words, x: Reals, start: int) -> None:
    """The work of the piece goes on: what is left of it, by the crews that are not done."""
    p = m[start + START.piece]
    s = m[m[p + PIECE.step] + STEP.stage]
    attempt = m[start + START.attempt]
    if attempt:
        m[p + PIECE.trouble] = 1
        m[p + COLD.attempt] = attempt
        m[p + COLD.redo] = 0
        m[p + COLD.failed] = m[RUN.worked]
    m[p + PIECE.minutes] = work_left(m, x, start)
    if m[start + START.begun] | m[start + START.ended]:
        m[p + PIECE.finished] = FAR
    note_at(m, CODE.BATCHED, p, s)
    resume_crews(m, p, m[start + START.begun], m[start + START.ended])


@compiled
def work_left(m: Words, x: Reals, start: int) -> int:
    """What is left of the work of a piece that was begun [min]."""
    p = m[start + START.piece]
    s = m[m[p + PIECE.step] + STEP.stage]
    u = drawn(m, STREAM.STAGE_TIME, m[p + PIECE.key], m[s + STAGE.key], attempt_of(m, p))
    minutes = at_share(x, m[s + STAGE.law], beyond(x[start + START.share], u))
    again = m[start + START.attempt]
    work = m[s + STAGE.rectify] + whole(minutes) if again else with_scope(m, x, p, minutes)
    return max(1, work - m[start + START.done])
