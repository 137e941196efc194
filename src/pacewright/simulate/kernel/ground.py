"""The memory laid out: where each kind of thing begins, and its words by column."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from pacewright.simulate.kernel.memory import NONE, RUN
from pacewright.simulate.table import Floats, Ints

LINE_WORDS = 8
"""Words of a line of the processor's cache."""


@dataclass(frozen=True)
class Ground:
    """The memory and where each kind of thing begins in it.

    Parameters
    ----------
    m, x : the words, and the same seen as numbers with a fraction.
    begins, counts, sizes : by name of the kind of thing: its first word, how many, words of one.
    """

    m: Ints
    begins: Mapping[str, int]
    counts: Mapping[str, int]
    sizes: Mapping[str, int]
    x: Floats = field(repr=False)

    @classmethod
    def laid_out(cls, things: Mapping[str, tuple[int, int]]) -> "Ground":
        """Memory for things: name -> how many, and words of one. The run comes first."""
        at, begins = RUN.words, {}
        for name, (count, size) in things.items():
            begins[name] = at = -(-at // LINE_WORDS) * LINE_WORDS
            at += count * size
        m = np.zeros(at + LINE_WORDS, np.int64)
        first = -m.ctypes.data // m.itemsize % LINE_WORDS
        m = m[first : first + at]
        counts = {name: count for name, (count, _) in things.items()}
        sizes = {name: size for name, (_, size) in things.items()}
        return cls(m, begins, counts, sizes, m.view(np.float64))

    def at(self, name: str, index: Any) -> Any:
        """The things with these numbers; NONE for a negative one."""
        index = np.asarray(index)
        return np.where(index < 0, NONE, self.begins[name] + index * self.sizes[name])

    def end(self, name: str) -> int:
        """The word after the last of a kind of thing."""
        return self.begins[name] + self.counts[name] * self.sizes[name]

    def column(self, name: str, word: int) -> Ints:
        """One word of all things of a kind, to be read or written."""
        first, size = self.begins[name] + word, self.sizes[name]
        return self.m[first : first + (self.counts[name] - 1) * size + 1 : size]

    def fill(self, name: str, layout: Any, values: Mapping[str, Any]) -> None:
        """Write words of all things of a kind; numbers with a fraction as such, keys bit by bit."""
        for word, column in values.items():
            numbers = np.asarray(column)
            if numbers.dtype.kind in "fu":
                numbers = numbers.view(np.int64)
            self.column(name, getattr(layout, word))[:] = numbers
