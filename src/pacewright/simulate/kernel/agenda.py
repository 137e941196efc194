"""What is due, in order.

What is due within the next three weeks hangs at its minute, in a ring with a place for every
minute and a bit for every place that is not empty: to put it there and to find the next costs the
same however much is due. The rest, and the vehicles that will arrive, wait in a heap.
"""

from pacewright.simulate.kernel.compiled import woven
from pacewright.simulate.kernel.heap import key_of, put, take_first
from pacewright.simulate.kernel.lines import lowest_bit
from pacewright.simulate.kernel.memory import DUE, HEAP, NEXT, NONE, RUN, Words
from pacewright.simulate.table import FAR

RING_MINUTES = 1 << 15
"""Minutes of the ring: 22 days."""
_RING_MASK = RING_MINUTES - 1
_WORD_SHIFT = 6
_WORD_MASK = 63
RING_WORDS = RING_MINUTES >> _WORD_SHIFT


@woven
def push(m: Words, minute: int, rank: int, subject: int) -> None:
    """Something is due, if it comes before the end; without room the run ends."""
    if minute >= m[RUN.end]:
        return
    key = key_of(minute, rank, subject)
    if minute - m[RUN.now] < RING_MINUTES and m[RUN.near] < m[RUN.due_room]:
        hang(m, minute & _RING_MASK, key)
    else:
        put_far(m, key)


@woven
def put_far(m: Words, key: int) -> None:
    """A key that waits in the heap; without room the run ends."""
    if m[RUN.far + HEAP.size] < m[RUN.far_room]:
        put(m, RUN.far, key)
    else:
        m[RUN.full] = 1


@woven
def hang(m: Words, place: int, key: int) -> None:
    """Hang a key at a place of the ring, among those of the same minute in their order."""
    due = m[RUN.free_due]
    m[RUN.free_due] = m[due + NEXT]
    m[RUN.near] += 1
    m[due + DUE.key] = key
    before = m[RUN.ring] + place
    after = m[before]
    while after != NONE and m[after + DUE.key] < key:
        before = after + NEXT
        after = m[before]
    m[due + NEXT] = after
    m[before] = due
    m[m[RUN.ring_bits] + (place >> _WORD_SHIFT)] |= 1 << (place & _WORD_MASK)


@woven
def next_place(m: Words) -> int:
    """The first place of the ring, from now on, that is not empty."""
    now = m[RUN.now] & _RING_MASK
    word = now >> _WORD_SHIFT
    bits = m[m[RUN.ring_bits] + word] & (-1 << (now & _WORD_MASK))
    while bits == 0:
        word = (word + 1) & (RING_WORDS - 1)
        bits = m[m[RUN.ring_bits] + word]
    return (word << _WORD_SHIFT) + lowest_bit(bits)


@woven
def take_down(m: Words, place: int) -> int:
    """Take the first key off a place of the ring that is not empty."""
    due = m[m[RUN.ring] + place]
    after = m[due + NEXT]
    m[m[RUN.ring] + place] = after
    if after == NONE:
        m[m[RUN.ring_bits] + (place >> _WORD_SHIFT)] ^= 1 << (place & _WORD_MASK)
    m[due + NEXT] = m[RUN.free_due]
    m[RUN.free_due] = due
    m[RUN.near] -= 1
    return m[due + DUE.key]


@woven
def next_due(m: Words) -> int:
    """The key of what is due next; FAR when nothing is."""
    far = m[m[RUN.far + HEAP.keys]] if m[RUN.far + HEAP.size] > 0 else FAR
    if m[RUN.near] > 0:
        place = next_place(m)
        if m[m[m[RUN.ring] + place] + DUE.key] < far:
            return take_down(m, place)
    elif far == FAR:
        return FAR
    return take_first(m, RUN.far)
