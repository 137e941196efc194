"""The memory of the compiled engine with guards around every kind of thing.

The kernel works on bare addresses: nothing tells when it leaves its ground. Here guards, words
that nobody may touch, lie between the kinds of things. ``guarded`` lays them and tells after a run
which were written on. ``kernel_in_python`` runs the very sources of the kernel uncompiled and
refuses at once to read or write a guard; it needs a process in which the compiler is off.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from types import SimpleNamespace
from typing import Any

import numpy as np

from pacewright.simulate.kernel import chance, engine, lines, loop, start
from pacewright.simulate.kernel.ground import LINE_WORDS, Ground
from pacewright.simulate.kernel.memory import RUN

GUARD_WORDS = 4096
_GUARD = -0x7A5A5A5A5A5A5A5B
_MASK = (1 << 64) - 1


class Guards:
    """The guards of the ground laid last, and what was found of all."""

    def __init__(self) -> None:
        self.ends: list[int] = []
        self.broken: list[str] = []
        self._words = np.zeros(0, np.int64)
        self._zones: list[tuple[str, slice]] = []

    def laid_out(self, things: Mapping[str, tuple[int, int]]) -> Ground:
        """As ``Ground.laid_out``, with guards."""
        at, begins, self._zones = RUN.words + GUARD_WORDS, {}, []
        self._guard("before the run", 0, GUARD_WORDS)
        for name, (count, size) in things.items():
            # The cold words of a piece lie before its first: between the two there is no guard.
            beyond = 0 if name == "piece" else GUARD_WORDS
            begin = -(-(at + beyond) // LINE_WORDS) * LINE_WORDS
            if beyond:
                self._guard(f"before {name}", at, begin)
            begins[name] = begin - GUARD_WORDS
            at = begin + count * size
        self._guard("the end", at, at + GUARD_WORDS)
        words = np.zeros(at + GUARD_WORDS + LINE_WORDS, np.int64)
        first = -words.ctypes.data // words.itemsize % LINE_WORDS
        self._words = words[first : first + at + GUARD_WORDS]
        for _, zone in self._zones:
            self._words[zone] = _GUARD
        m = self._words[GUARD_WORDS:]
        counts = {name: count for name, (count, _) in things.items()}
        sizes = {name: size for name, (_, size) in things.items()}
        return Ground(m, begins, counts, sizes, m.view(np.float64))

    def _guard(self, name: str, first: int, end: int) -> None:
        self._zones.append((name, slice(first, end)))

    def allowed(self) -> bytes:
        """For each word of the ground 1 where it is no guard."""
        allowed = bytearray(b"\1" * len(self._words))
        for _, zone in self._zones:
            allowed[zone] = bytes(zone.stop - zone.start)
        return bytes(allowed[GUARD_WORDS:])

    def watched(self, entry: Callable[[Any, Any], int]) -> Callable[[Any, Any], int]:
        """The entry of a kernel, the guards looked at when it ends."""

        def run(memory: Any, stop: Any) -> int:
            self.ends.append(entry(memory, stop))
            for name, zone in self._zones:
                if (self._words[zone] != _GUARD).any():
                    self.broken.append(name)
            return self.ends[-1]

        return run


@contextmanager
def guarded(patch: Any, entry: Callable[[Any, Any], int] | None = None) -> Iterator[Guards]:
    """Every run of the compiled engine has guards around its things.

    ``patch``: pytest's. ``entry``: in place of the compiled kernel.
    """
    guards = Guards()
    with patch.context() as inner:
        run = guards.watched(entry or loop.entry())
        inner.setattr(Ground, "laid_out", staticmethod(guards.laid_out))
        inner.setattr(engine, "entry", lambda: run)
        if entry is not None:
            _uncompiled(inner, guards)
        yield guards


# -- in Python -------------------------------------------------------------------------------


class _Checked:
    """The ground as the kernel sees it; a word that is none of its own is an IndexError."""

    def __init__(self, words: Any, allowed: bytes) -> None:
        self._words, self._allowed = words, allowed

    def __getitem__(self, place: int) -> Any:
        self._check(place)
        return self._words[place].item()

    def __setitem__(self, place: int, value: int) -> None:
        self._check(place)
        self._words[place] = _signed(value)

    def _check(self, place: int) -> None:
        if not (0 <= place < len(self._allowed) and self._allowed[place]):
            raise IndexError(f"word {place} belongs to nothing")


def _signed(value: Any) -> int:
    """A whole number as the 64 bits of the machine hold it."""
    bits = int(value) & _MASK
    return bits - (1 << 64) if bits >> 63 else bits


def _unsigned(value: Any) -> np.uint64:
    return np.uint64(int(value) & _MASK)


def _uncompiled(patch: Any, guards: Guards) -> None:
    """What the machine does by itself: numbers go round at 64 bits."""
    machine = SimpleNamespace(uint64=_unsigned, int64=_signed)
    for module in (chance, lines, start):
        patch.setattr(module, "np", machine)
    patch.setattr(loop, "words_of", lambda m: _Checked(m, guards.allowed()))
    patch.setattr(loop, "reals_of", lambda m: _Checked(m.view(np.float64), guards.allowed()))


def kernel_in_python() -> Callable[[Any, Any], int]:
    """The kernel as it is written, for a process without the compiler (NUMBA_DISABLE_JIT=1)."""
    kernel = loop._marked(1)
    assert not hasattr(kernel, "signatures")
    assert not hasattr(loop.happen, "py_func"), "the compiler must be off"

    def run(memory: Any, stop: Any) -> int:
        with np.errstate(over="ignore"):
            return kernel(memory, stop)

    return run
