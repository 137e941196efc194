"""People at work: who waits for which crew, who is there today, when a part of the work ends."""

import math

from pacewright.simulate.kernel.agenda import push
from pacewright.simulate.kernel.chance import drawn
from pacewright.simulate.kernel.clock import end_of_work, is_open, worked_of
from pacewright.simulate.kernel.codes import CODE, RANK, STREAM
from pacewright.simulate.kernel.compiled import compiled, woven
from pacewright.simulate.kernel.diary import measuring, note
from pacewright.simulate.kernel.lines import call, join, look_at
from pacewright.simulate.kernel.memory import LINE, NONE, RUN, Reals, Words
from pacewright.simulate.kernel.things import COLD, CREW, NEED, PART, PIECE, STAGE, STEP
from pacewright.simulate.table import FAR


@woven
def ask_crews(m: Words, p: int) -> None:
    """The piece asks for the crews of its step, each for its part of the work."""
    e = m[p + PIECE.step]
    part = p + PIECE.words
    parts = 0
    for need in range(m[e + STEP.need], m[e + STEP.end_need], NEED.words):
        c = m[need + NEED.crew]
        m[part + PART.need] = need
        join(m, c + CREW.line, part)
        look_at(m, m[c + CREW.look])
        part += PART.words
        parts += 1
    m[p + PIECE.parts_left] = parts


@compiled
def resume_crews(m: Words, p: int, begun: int, ended: int) -> None:
    """The work of a piece goes on as it stood: bit n of the two is for crew n of its step."""
    e = m[p + PIECE.step]
    part = p + PIECE.words
    parts = 0
    bit = 1
    for need in range(m[e + STEP.need], m[e + STEP.end_need], NEED.words):
        if ended & bit == 0:
            c = m[need + NEED.crew]
            m[part + PART.need] = need
            if begun & bit:
                count_owed(m, c)
                start_part(m, part, m[e + STEP.stage])
            else:
                join(m, c + CREW.line, part)
                look_at(m, m[c + CREW.look])
            part += PART.words
            parts += 1
        bit <<= 1
    m[p + PIECE.parts_left] = parts


@woven
def try_start(m: Words, c: int) -> None:
    """The crew takes up the head of its line, if it is free and its shop is open."""
    line = c + CREW.line
    length = m[c + CREW.length]
    if m[line + LINE.waiting] == 0 or not is_open(m, length):
        return
    part = m[line + LINE.head]
    need = m[m[part + PART.need] + NEED.need]
    if need > 0 and (owing(m, c) or m[c + CREW.at_work] >= m[c + CREW.size]):
        return
    call(m, line)
    if m[line + LINE.waiting] > 0:
        look_at(m, m[c + CREW.look])
    p = m[part + PART.piece]
    stage = m[m[p + PIECE.step] + STEP.stage]
    if m[stage + STAGE.window] >= 0:
        begin_work(m, p, stage)
    start_part(m, part, stage)


@woven
def start_part(m: Words, part: int, stage: int) -> None:
    """A crew begins its part of the work, or goes on with it."""
    p = m[part + PART.piece]
    need = m[m[part + PART.need] + NEED.need]
    c = m[m[part + PART.need] + NEED.crew]
    length = m[c + CREW.length]
    note(m, CODE.STARTED, m[p + PIECE.vehicle], named(m, part), m[p + PIECE.number])
    m[part + PART.since] = m[RUN.worked]
    minutes = m[p + PIECE.minutes]
    if need > 0:
        m[c + CREW.at_work] += need
        if measuring(m):
            m[c + CREW.busy_sum] += need * minutes
    nights = m[stage + STAGE.nights]
    end = m[RUN.now] + minutes if nights else end_of_work(m, length, minutes)
    push(m, end, RANK.WORK_END, part)


@woven
def named(m: Words, part: int) -> int:
    """The crew named in the diary; NONE when only the doors must be open."""
    need = m[part + PART.need]
    return m[m[need + NEED.crew] + CREW.number] if m[need + NEED.need] > 0 else NONE


@woven
def owing(m: Words, c: int) -> bool:
    """True while the crew owes hours; if so it is looked at again when they may be earned."""
    count_owed(m, c)
    owed = m[c + CREW.owed]
    if owed == 0:
        return False
    spare = m[c + CREW.size] - m[c + CREW.at_work]
    if spare > 0:
        earned = end_of_work(m, m[c + CREW.length], (owed + spare - 1) // spare)
        push(m, earned, RANK.CREW_FREE, c)
    return True


@woven
def count_owed(m: Words, c: int) -> None:
    """Hours owed up to now: more with more at work than are there, fewer with fewer."""
    now = worked_of(m, m[c + CREW.length])
    more = (m[c + CREW.at_work] - m[c + CREW.size]) * (now - m[c + CREW.until])
    m[c + CREW.owed] = max(0, m[c + CREW.owed] + more)
    m[c + CREW.until] = now


@woven
def begin_work(m: Words, p: int, stage: int) -> None:
    """The first part of the work: was the piece left to wait too long?"""
    waited = m[RUN.now] - m[p + PIECE.finished]
    # No part but the first is asked.
    m[p + PIECE.finished] = FAR
    redo = m[m[p + PIECE.step] + STEP.redo]
    if redo > 0 and m[p + PIECE.trouble] == 0 and waited > m[stage + STAGE.window]:
        m[p + PIECE.trouble] = 1
        m[p + COLD.redo] = redo
        m[p + PIECE.minutes] += redo
        note(m, CODE.REDONE, m[p + PIECE.vehicle], m[stage + STAGE.number], m[p + PIECE.number])


@woven
def end_part(m: Words, part: int) -> bool:
    """A crew's part of the work on a piece ends; True when it was the last one."""
    p = m[part + PART.piece]
    need = m[part + PART.need]
    if m[need + NEED.need] > 0:
        c = m[need + NEED.crew]
        count_owed(m, c)
        m[c + CREW.at_work] -= m[need + NEED.need]
        look_at(m, m[c + CREW.look])
    note(m, CODE.ENDED, m[p + PIECE.vehicle], named(m, part), m[p + PIECE.number])
    m[p + PIECE.parts_left] -= 1
    return m[p + PIECE.parts_left] == 0


@compiled
def crews_of_day(m: Words, x: Reals, day: int) -> None:
    """A working day begins: who is there."""
    for c in range(m[RUN.crews], m[RUN.crews_end], CREW.words):
        if not m[c + CREW.doors]:
            count_owed(m, c)
            size = int(present(m, x, c, day) * x[c + CREW.scale] + 0.5)
            m[c + CREW.size] = size
            if measuring(m):
                m[c + CREW.there_sum] += size * m[c + CREW.length]
        look_at(m, m[c + CREW.look])


@compiled
def present(m: Words, x: Reals, c: int, day: int) -> float:
    """People of a crew who are there on a working day."""
    people = x[c + CREW.people]
    share = x[m[c + CREW.attendance] + day]
    if not m[c + CREW.drawn]:
        return people * share
    # Only whole persons are drawn; the part of one is lent by another shop, and always there.
    there = (people - math.floor(people)) * share
    for person in range(math.floor(people)):
        if drawn(m, STREAM.PRESENT, m[c + CREW.key], day, person) < share:
            there += 1.0
    return there
