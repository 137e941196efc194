"""Pieces on their way through the stages: positions, charges, work, tests."""

from pacewright.simulate.kernel.chance import at_share, drawn, whole
from pacewright.simulate.kernel.codes import CODE, STREAM, THEN
from pacewright.simulate.kernel.compiled import compiled, woven
from pacewright.simulate.kernel.crews import ask_crews, end_part
from pacewright.simulate.kernel.diary import note, wait, waited
from pacewright.simulate.kernel.lines import call, join, look_at
from pacewright.simulate.kernel.memory import LINE, NEXT, NONE, RUN, Reals, Words
from pacewright.simulate.kernel.pools import WAITS, ask
from pacewright.simulate.kernel.things import (
    COLD,
    CREW,
    KIND,
    NEED,
    PART,
    PIECE,
    SCOPE,
    STAGE,
    STEP,
    VEHICLE,
)
from pacewright.simulate.kernel.units import strip

_ATTEMPTS = 1000
"""Attempts of one piece that its draws keep apart from those of the next."""

# -- ready, positioned, supplied -------------------------------------------------------------


@woven
def ready(m: Words, p: int, e: int) -> None:
    """The piece asks for a position of the stage of step ``e``."""
    s = m[e + STEP.stage]
    m[p + PIECE.step] = e
    m[p + PIECE.since] = m[RUN.worked]
    if m[p + PIECE.trouble]:
        m[p + PIECE.trouble] = 0
        m[p + COLD.attempt] = 0
        m[p + COLD.redo] = 0
        m[p + COLD.failed] = NONE
    join(m, s + STAGE.line, p)
    m[s + STAGE.queue_sum] -= m[RUN.measured]
    note_at(m, CODE.READY, p, s)
    look_at(m, m[s + STAGE.look])


@woven
def note_at(m: Words, code: int, p: int, s: int) -> None:
    """Something happened to a piece at a stage."""
    note(m, code, m[p + PIECE.vehicle], m[s + STAGE.number], m[p + PIECE.number])


@woven
def has_room(m: Words, s: int) -> bool:
    """True when a piece waits for a position of a stage and one is free."""
    free = m[s + STAGE.positions] - m[s + STAGE.busy] - m[s + STAGE.out]
    return free > 0 and m[s + STAGE.line + LINE.waiting] > 0


@woven
def try_position(m: Words, x: Reals, s: int) -> None:
    """Give the head of a stage's line a position, if one is free."""
    if not has_room(m, s):
        return
    p = call(m, s + STAGE.line)
    m[s + STAGE.queue_sum] += m[RUN.measured]
    take(m, p, s)
    wait(m, p, m[s + STAGE.position_cause])
    if has_room(m, s):
        look_at(m, m[s + STAGE.look])
    ask_units(m, x, p)


@woven
def take(m: Words, p: int, s: int) -> None:
    """The piece takes a position of a stage and frees the one it came from."""
    add_busy(m, s, 1)
    leave(m, p)
    m[p + PIECE.held] = s
    if m[RUN.adds]:
        m[p + COLD.positioned] = m[RUN.now]
        m[p + COLD.robbing] = m[p + COLD.more]
        m[p + COLD.more] = 0
    note_at(m, CODE.POSITIONED, p, s)


@woven
def ask_units(m: Words, x: Reals, p: int) -> None:
    """A piece in its position asks for its units."""
    kind = ask(m, x, p)
    if kind != WAITS:
        supplied(m, x, p, kind)


@woven
def add_busy(m: Words, s: int, change: int) -> None:
    """Positions of a stage that are held, more or less."""
    m[s + STAGE.busy] += change
    m[s + STAGE.busy_sum] -= change * m[RUN.measured]


@woven
def leave(m: Words, p: int) -> None:
    """The piece frees the position it came from; parted pieces free theirs together."""
    s = m[p + PIECE.held]
    if s < NONE:
        v = m[p + COLD.of]
        m[v + VEHICLE.together] -= 1
        m[p + PIECE.held] = NONE if m[v + VEHICLE.together] > 0 else together(s)
    give_up(m, p)


@woven
def together(s: int) -> int:
    """What a piece holds that still stands with others on the position where it was parted.

    Applied to that it gives the stage again.
    """
    return -2 - s


@woven
def give_up(m: Words, p: int) -> None:
    """The piece's position is free."""
    s = m[p + PIECE.held]
    if s != NONE:
        add_busy(m, s, -1)
        look_at(m, m[s + STAGE.look])
        m[p + PIECE.held] = NONE


@woven
def supplied(m: Words, x: Reals, p: int, kind: int) -> None:
    """All units are there, those of ``kind`` last (NONE: none were asked for)."""
    s = m[m[p + PIECE.step] + STEP.stage]
    note_at(m, CODE.SUPPLIED, p, s)
    if kind != NONE:
        wait(m, p, m[kind + KIND.cause])
    if m[s + STAGE.batch] == 1:
        charged(m, p, s, work_of(m, x, p, s))
    else:
        join(m, s + STAGE.charge_line, p)
        look_at(m, m[s + STAGE.charge_look])


# -- charges ---------------------------------------------------------------------------------


@compiled
def try_charge(m: Words, x: Reals, s: int) -> None:
    """Make up one charge if enough pieces are there."""
    batch = m[s + STAGE.batch]
    if m[s + STAGE.charge_line + LINE.waiting] >= batch:
        charge(m, x, s, batch)
        if m[s + STAGE.charge_line + LINE.waiting] >= batch:
            look_at(m, m[s + STAGE.charge_look])


@compiled
def charges_of_morning(m: Words, x: Reals) -> None:
    """What waits for its charge to be full goes as it is."""
    for s in range(m[RUN.stages], m[RUN.stages_end], STAGE.words):
        waiting = m[s + STAGE.charge_line + LINE.waiting]
        if waiting > 0:
            charge(m, x, s, waiting)


@compiled
def charge(m: Words, x: Reals, s: int, pieces: int) -> None:
    """The first pieces of a line are worked together, as long as the longest of them takes."""
    line = s + STAGE.charge_line
    minutes = 0
    p = m[line + LINE.head]
    for _ in range(pieces):
        minutes = max(minutes, work_of(m, x, p, s))
        p = m[p + NEXT]
    for _ in range(pieces):
        charged(m, call(m, line), s, minutes)


@woven
def charged(m: Words, p: int, s: int, minutes: int) -> None:
    """The work of a piece is known; it asks for its crews."""
    m[p + PIECE.minutes] = minutes
    note_at(m, CODE.BATCHED, p, s)
    wait(m, p, m[s + STAGE.batch_cause])
    ask_crews(m, p)


@woven
def work_of(m: Words, x: Reals, p: int, s: int) -> int:
    """Whole minutes of work: as drawn, or what is left of it by the record."""
    if m[RUN.adds] == 0:
        return with_scope(m, x, p, time_drawn(m, x, p, s))
    left = m[p + COLD.left]
    m[p + COLD.left] = 0
    if left == 0:
        left = with_scope(m, x, p, time_drawn(m, x, p, s))
    return left + m[p + COLD.robbing]


@woven
def with_scope(m: Words, x: Reals, p: int, drawn_minutes: float) -> int:
    """Whole minutes of work: the stage's draw and what the scope adds or takes."""
    e = m[p + PIECE.step]
    s = m[e + STEP.stage]
    minutes = drawn_minutes
    for scope in range(m[e + STEP.scope], m[e + STEP.end_scope], SCOPE.words):
        if m[scope + SCOPE.first] <= m[p + COLD.day] <= m[scope + SCOPE.last]:
            u = drawn(m, STREAM.SCOPE, m[p + PIECE.key], m[scope + SCOPE.key], m[p + PIECE.number])
            done = u < x[scope + SCOPE.share]
            minutes += x[scope + (SCOPE.done if done else SCOPE.not_done)]
    work: int = whole(max(minutes, x[s + STAGE.least]))
    return work


@woven
def time_drawn(m: Words, x: Reals, p: int, s: int) -> float:
    """Minutes of work at a stage, before scope."""
    u = drawn(m, STREAM.STAGE_TIME, m[p + PIECE.key], m[s + STAGE.key], attempt_of(m, p))
    return at_share(x, m[s + STAGE.law], u)


@woven
def attempt_of(m: Words, p: int) -> int:
    """The number that keeps apart the attempts of a vehicle's pieces at one stage."""
    earlier = m[p + COLD.attempt] if m[p + PIECE.trouble] else 0
    return earlier + _ATTEMPTS * m[p + PIECE.number]


# -- finished --------------------------------------------------------------------------------


@woven
def work_end(m: Words, x: Reals, part: int) -> int:
    """A crew's part is done; after the last part: test, strip, and on to what follows.

    Returns
    -------
    The piece, when it has passed the last stage of its way as it is; else NONE.
    """
    if not end_part(m, part):
        return NONE
    p = m[part + PART.piece]
    e = m[p + PIECE.step]
    s = m[e + STEP.stage]
    failed = m[p + COLD.failed] if m[p + PIECE.trouble] else NONE
    if failed == NONE:
        count_work(m, p, s, part)
    if fails(m, x, p, s):
        put_right(m, x, p, s)
        return NONE
    if failed != NONE:
        m[p + PIECE.since] = failed
        wait(m, p, m[s + STAGE.inspection_cause])
    note_at(m, CODE.FINISHED, p, s)
    m[p + PIECE.finished] = m[RUN.now]
    if m[e + STEP.strip] < m[e + STEP.end_strip]:
        strip(m, x, p)
    if m[e + STEP.then] != THEN.GO_ON:
        return p
    ready(m, p, e + STEP.words)
    return NONE


@woven
def count_work(m: Words, p: int, s: int, part: int) -> None:
    """The crew that came last is what was waited for; from then on it was work."""
    worked = m[RUN.worked]
    if m[p + PIECE.number] == 0:
        begun = m[part + PART.since]
        again = min(worked - begun, m[p + COLD.redo]) if m[p + PIECE.trouble] else 0
        m[p + PIECE.work] += worked - begun - again
        c = m[m[part + PART.need] + NEED.crew]
        waited(m, p, m[c + CREW.cause], begun - m[p + PIECE.since])
        waited(m, p, m[s + STAGE.inspection_cause], again)
    m[p + PIECE.since] = worked


@woven
def fails(m: Words, x: Reals, p: int, s: int) -> bool:
    """True when a piece fails the test of a stage this time."""
    share = x[s + STAGE.pass_share]
    if share >= 1:
        return False
    return drawn(m, STREAM.PASS, m[p + PIECE.key], m[s + STAGE.key], attempt_of(m, p)) >= share


@compiled
def put_right(m: Words, x: Reals, p: int, s: int) -> None:
    """After a failed test: put right, and the stage again."""
    note_at(m, CODE.FAILED, p, s)
    m[p + PIECE.trouble] = 1
    if m[p + COLD.failed] == NONE:
        m[p + COLD.failed] = m[RUN.worked]
    m[p + COLD.attempt] += 1
    m[p + PIECE.minutes] = m[s + STAGE.rectify] + whole(time_drawn(m, x, p, s))
    ask_crews(m, p)
