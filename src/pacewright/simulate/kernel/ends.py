"""Where the way of a piece as it is begins and ends: gate, parting, store, marriage, release."""

from pacewright.simulate.kernel.codes import CODE, THEN
from pacewright.simulate.kernel.compiled import compiled
from pacewright.simulate.kernel.diary import note, wait, waited
from pacewright.simulate.kernel.floor import give_up, note_at, ready, together
from pacewright.simulate.kernel.lines import call, join, look_at
from pacewright.simulate.kernel.memory import LINE, NONE, RUN, Words
from pacewright.simulate.kernel.things import ASSEMBLY, COLD, PIECE, STAGE, STEP, TYPE, VEHICLE

GATE = 0
"""Number of the gate among the places to look at."""


@compiled
def arrives(m: Words, v: int) -> None:
    """A vehicle stands at the gate."""
    lead = m[v + VEHICLE.piece]
    m[v + VEHICLE.arrived] = m[RUN.now]
    m[lead + PIECE.since] = m[RUN.worked]
    m[RUN.gate_sum] -= m[RUN.measured]
    note(m, CODE.ARRIVED, m[v + VEHICLE.number], NONE, 0)
    join(m, RUN.gate, lead)
    look_at(m, GATE)


@compiled
def admit(m: Words) -> None:
    """Let one vehicle in, if one waits and there is room."""
    limit = m[RUN.inside_limit]
    if m[RUN.gate + LINE.waiting] == 0 or 0 < limit <= m[RUN.inside]:
        return
    lead = call(m, RUN.gate)
    v = m[lead + COLD.of]
    m[v + VEHICLE.admitted] = m[RUN.now]
    m[RUN.gate_sum] += m[RUN.measured]
    add_inside(m, 1)
    note(m, CODE.ADMITTED, m[v + VEHICLE.number], NONE, 0)
    waited(m, lead, 0, m[RUN.worked] - m[lead + PIECE.since])
    m[lead + PIECE.finished] = m[RUN.now]
    ready(m, lead, m[m[v + VEHICLE.type] + TYPE.first_step])
    if m[RUN.gate + LINE.waiting] > 0:
        look_at(m, GATE)


@compiled
def add_inside(m: Words, change: int) -> None:
    """Vehicles inside, more or less."""
    m[RUN.inside] += change
    m[RUN.inside_sum] -= change * m[RUN.measured]


@compiled
def chain_end(m: Words, p: int) -> None:
    """A piece has passed the last stage of its way as it is."""
    e = m[p + PIECE.step]
    s = m[e + STEP.stage]
    then = m[e + STEP.then]
    if then == THEN.PART:
        part(m, m[p + COLD.of], s)
    elif then == THEN.STORE:
        give_up(m, p)
        stored(m, p, s)
    elif then == THEN.MARRY:
        t = m[m[p + COLD.of] + VEHICLE.type]
        join(m, t + TYPE.line, p)
        look_at(m, m[t + TYPE.look])
    else:
        release(m, p)


@compiled
def release(m: Words, p: int) -> None:
    """The vehicle leaves."""
    give_up(m, p)
    m[m[p + COLD.of] + VEHICLE.released] = m[RUN.now]
    add_inside(m, -1)
    note(m, CODE.RELEASED, m[p + PIECE.vehicle], NONE, 0)
    look_at(m, GATE)


@compiled
def part(m: Words, v: int, s: int) -> None:
    """The vehicle parts; its pieces share its position until the last has left."""
    note(m, CODE.PARTED, m[v + VEHICLE.number], m[s + STAGE.number], 0)
    first = m[v + VEHICLE.piece]
    end = m[v + VEHICLE.end_piece]
    m[v + VEHICLE.together] = (end - first) // m[RUN.piece_words]
    for p in range(first, end, m[RUN.piece_words]):
        m[p + PIECE.finished] = m[RUN.now]
        m[p + PIECE.held] = together(s)
        ready(m, p, m[p + COLD.first_step])


@compiled
def stored(m: Words, p: int, s: int) -> None:
    """The piece waits on the floor until a vehicle of its type takes it."""
    a = m[p + COLD.assembly]
    t = m[a + ASSEMBLY.type]
    join(m, a + ASSEMBLY.line, p)
    m[a + ASSEMBLY.stored_sum] -= m[RUN.measured]
    m[t + TYPE.last_cause] = m[a + ASSEMBLY.cause]
    note_at(m, CODE.STORED, p, s)
    look_at(m, m[t + TYPE.look])


@compiled
def try_marriage(m: Words, t: int) -> None:
    """Give the head of a type's line the pieces it needs, if all are there."""
    first = m[t + TYPE.assembly]
    end = m[t + TYPE.end_assembly]
    if m[t + TYPE.line + LINE.waiting] == 0:
        return
    for a in range(first, end, ASSEMBLY.words):
        if m[a + ASSEMBLY.line + LINE.waiting] < m[a + ASSEMBLY.wanted]:
            return
    lead = call(m, t + TYPE.line)
    e = m[t + TYPE.marriage_step]
    s = m[e + STEP.stage]
    for a in range(first, end, ASSEMBLY.words):
        for _ in range(m[a + ASSEMBLY.wanted]):
            other = call(m, a + ASSEMBLY.line)
            m[a + ASSEMBLY.stored_sum] += m[RUN.measured]
            vehicle = m[lead + PIECE.vehicle]
            note(m, CODE.MARRIED, vehicle, m[s + STAGE.number], m[other + PIECE.vehicle])
    if first < end and m[t + TYPE.last_cause] != NONE:
        wait(m, lead, m[t + TYPE.last_cause])
    if m[t + TYPE.line + LINE.waiting] > 0:
        look_at(m, m[t + TYPE.look])
    ready(m, lead, e)
