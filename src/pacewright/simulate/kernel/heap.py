"""What is due, in order: a heap of whole numbers in which minute, rank and subject are packed.

A key is minute, rank, subject from the highest bit down, so that the order of keys is the order
in which things happen. Four children a node: half the levels of a binary heap, and the four lie
in one line of memory.
"""

from pacewright.simulate.kernel.compiled import compiled
from pacewright.simulate.kernel.memory import HEAP, RUN, Words
from pacewright.simulate.table import FAR

SUBJECT_BITS = 34
RANK_BITS = 4
_RANK_MASK = (1 << RANK_BITS) - 1
_SUBJECT_MASK = (1 << SUBJECT_BITS) - 1
LAST_MINUTE = 1 << (63 - SUBJECT_BITS - RANK_BITS)
"""First minute that a key cannot hold: 63 years."""


@compiled
def key_of(minute: int, rank: int, subject: int) -> int:
    """The key of something due."""
    return (((minute << RANK_BITS) | rank) << SUBJECT_BITS) | subject


@compiled
def minute_of(key: int) -> int:
    """The minute of a key."""
    return key >> (SUBJECT_BITS + RANK_BITS)


@compiled
def rank_of(key: int) -> int:
    """The rank of a key."""
    return (key >> SUBJECT_BITS) & _RANK_MASK


@compiled
def subject_of(key: int) -> int:
    """The subject of a key."""
    return key & _SUBJECT_MASK


@compiled
def push(m: Words, minute: int, rank: int, subject: int) -> None:
    """Something is due, if it comes before the end; a full heap ends the run."""
    if minute >= m[RUN.end]:
        return
    if m[RUN.due + HEAP.size] == m[RUN.due_room]:
        m[RUN.full] = 1
        return
    put(m, RUN.due, key_of(minute, rank, subject))


@compiled
def put(m: Words, heap: int, key: int) -> None:
    """Put a key into a heap that has room."""
    count = m[heap + HEAP.size]
    m[heap + HEAP.size] = count + 1
    sift_up(m, m[heap + HEAP.keys], count, key)


@compiled
def sift_up(m: Words, keys: int, place: int, key: int) -> None:
    """Put ``key`` into the free ``place`` of the heap, or above."""
    while place > 0:
        parent = (place - 1) >> 2
        above = m[keys + parent]
        if above <= key:
            break
        m[keys + place] = above
        place = parent
    m[keys + place] = key


@compiled
def take_first(m: Words, heap: int) -> int:
    """Take the least key out of a heap that holds one or more."""
    keys = m[heap + HEAP.keys]
    first = m[keys]
    last = m[heap + HEAP.size] - 1
    m[heap + HEAP.size] = last
    key = m[keys + last]
    place = 0
    child = 1
    while child + 3 < last:
        least = least_of_four(m, keys + child)
        if m[least] >= key:
            break
        m[keys + place] = m[least]
        place = least - keys
        child = 4 * place + 1
    else:
        place = sift_last(m, keys, place, last)
    m[keys + place] = key
    return first


@compiled
def least_of_four(m: Words, at: int) -> int:
    """The place of the least of four words side by side."""
    left = at + 1 if m[at + 1] < m[at] else at
    right = at + 3 if m[at + 3] < m[at + 2] else at + 2
    return right if m[right] < m[left] else left


@compiled
def sift_last(m: Words, keys: int, place: int, last: int) -> int:
    """The place for key ``last``, at ``place``, which has fewer than four children, or below."""
    child = 4 * place + 1
    if child >= last:
        return place
    least = child
    for other in range(child + 1, last):
        if m[keys + other] < m[keys + least]:
            least = other
    if m[keys + least] >= m[keys + last]:
        return place
    m[keys + place] = m[keys + least]
    return least


@compiled
def next_due(m: Words) -> int:
    """The key of what is due next, things that happen or vehicles that arrive; FAR at the end."""
    due = m[m[RUN.due + HEAP.keys]] if m[RUN.due + HEAP.size] > 0 else FAR
    coming = m[m[RUN.coming + HEAP.keys]] if m[RUN.coming + HEAP.size] > 0 else FAR
    if due == FAR and coming == FAR:
        return FAR
    return take_first(m, RUN.due if due < coming else RUN.coming)
