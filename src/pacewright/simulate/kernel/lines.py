"""Lines in which pieces, orders and units wait, first come first served; places to look at."""

import numpy as np

from pacewright.simulate.kernel.compiled import compiled, woven
from pacewright.simulate.kernel.memory import LINE, NEXT, NONE, RUN, Words

_WORD_SHIFT = 6
_WORD_MASK = 63
# De Bruijn's sequence: a single bit times it has a different top six bits for each bit.
_SEQUENCE = 0x03F79D71B4CB0A89
_BIT = np.zeros(64, np.int64)
_BIT[[(_SEQUENCE << bit & (1 << 64) - 1) >> 58 for bit in range(64)]] = np.arange(64)


@woven
def join(m: Words, line: int, thing: int) -> None:
    """A thing joins the end of a line."""
    m[thing + NEXT] = NONE
    count = m[line + LINE.waiting]
    m[line + LINE.waiting] = count + 1
    m[(m[line + LINE.tail] + NEXT) if count > 0 else (line + LINE.head)] = thing
    m[line + LINE.tail] = thing


@compiled
def join_front(m: Words, line: int, thing: int) -> None:
    """A thing joins the front of a line."""
    if m[line + LINE.waiting] == 0:
        m[line + LINE.tail] = thing
    m[thing + NEXT] = m[line + LINE.head]
    m[line + LINE.head] = thing
    m[line + LINE.waiting] += 1


@woven
def call(m: Words, line: int) -> int:
    """The head of a line that is not empty leaves it."""
    head = m[line + LINE.head]
    m[line + LINE.head] = m[head + NEXT]
    m[line + LINE.waiting] -= 1
    return head


@compiled
def drop_last(m: Words, line: int) -> int:
    """The last of a line that is not empty leaves it."""
    last = m[line + LINE.tail]
    count = m[line + LINE.waiting] - 1
    m[line + LINE.waiting] = count
    before = m[line + LINE.head]
    for _ in range(count - 1):
        before = m[before + NEXT]
    m[line + LINE.tail] = before
    return last


@woven
def look_at(m: Words, place: int) -> None:
    """A place must be looked at."""
    word = m[RUN.looks] + (place >> _WORD_SHIFT)
    m[word] |= 1 << (place & _WORD_MASK)
    m[RUN.low_look] = min(m[RUN.low_look], word)


@woven
def next_look(m: Words) -> int:
    """The lowest place to look at, taken off the list; NONE when there is none."""
    word = m[RUN.low_look]
    end = m[RUN.looks_end]
    while word < end:
        bits = m[word]
        if bits != 0:
            m[RUN.low_look] = word
            m[word] = bits & (bits - 1)
            return ((word - m[RUN.looks]) << _WORD_SHIFT) + lowest_bit(bits)
        word += 1
    m[RUN.low_look] = word
    return NONE


@woven
def lowest_bit(bits: int) -> int:
    """Number of the lowest bit that is set."""
    bit: int = _BIT[(np.uint64(bits & -bits) * np.uint64(_SEQUENCE)) >> np.uint64(58)]
    return bit
