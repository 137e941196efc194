"""A heap of keys: whole numbers in which minute, rank and subject are packed.

A key is minute, rank, subject from the highest bit down, so that the order of keys is the order
in which things happen. Four children a node: half the levels of a binary heap, and the four lie
in one line of memory.
"""

from pacewright.simulate.kernel.compiled import woven
from pacewright.simulate.kernel.memory import HEAP, Words
from pacewright.simulate.table import FAR

SUBJECT_BITS = 34
RANK_BITS = 4
_RANK_MASK = (1 << RANK_BITS) - 1
_SUBJECT_MASK = (1 << SUBJECT_BITS) - 1
LAST_MINUTE = FAR >> (SUBJECT_BITS + RANK_BITS)
"""First minute whose keys are not below FAR, the key of nothing due: 31 years."""


@woven
def key_of(minute: int, rank: int, subject: int) -> int:
    """The key of something due."""
    return (((minute << RANK_BITS) | rank) << SUBJECT_BITS) | subject


@woven
def minute_of(key: int) -> int:
    """The minute of a key."""
    return key >> (SUBJECT_BITS + RANK_BITS)


@woven
def rank_of(key: int) -> int:
    """The rank of a key."""
    return (key >> SUBJECT_BITS) & _RANK_MASK


@woven
def subject_of(key: int) -> int:
    """The subject of a key."""
    return key & _SUBJECT_MASK


@woven
def put(m: Words, heap: int, key: int) -> None:
    """Put a key into a heap that has room."""
    count = m[heap + HEAP.size]
    m[heap + HEAP.size] = count + 1
    sift_up(m, m[heap + HEAP.keys], count, key)


@woven
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


@woven
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


@woven
def least_of_four(m: Words, at: int) -> int:
    """The place of the least of four words side by side."""
    # Sums of comparisons, not branches: which of the four it is cannot be foreseen.
    left = at + (m[at + 1] < m[at])
    right = at + 2 + (m[at + 3] < m[at + 2])
    return left + (right - left) * (m[right] < m[left])


@woven
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
