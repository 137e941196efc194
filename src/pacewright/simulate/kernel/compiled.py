"""How the functions of the kernel are compiled, and when a compiled kernel is still good."""

import platform
from collections.abc import Callable
from functools import cache
from hashlib import blake2b
from pathlib import Path
from typing import Any, TypeVar

import numba
import numpy as np

from pacewright.events import codes
from pacewright.simulate import calendars, chance, flow_state, table

Function = TypeVar("Function", bound=Callable[..., object])
_njit: Any = numba.njit

# Divisions go by numbers known not to be 0; without the check they cost less.
_LIKE_C = {"error_model": "numpy"}
# No function but the entry is called from outside, and none makes an array.
_INSIDE = {"no_cpython_wrapper": True, "no_cfunc_wrapper": True, "_nrt": False}


def compiled(function: Function) -> Function:
    """Compile a function that only compiled ones call."""
    return _njit(**_LIKE_C, **_INSIDE)(function)  # type: ignore[no-any-return]


def woven(function: Function) -> Function:
    """Compile a function of the hot path into each of its callers."""
    return _njit(forceinline=True, **_LIKE_C, **_INSIDE)(function)  # type: ignore[no-any-return]


class Kept:
    """An entry, compiled when it is first called, and kept on disk for the next process.

    Parameters
    ----------
    function : the entry; it must hold ``source_print()`` in a closure.
    name : of the note that says on disk that it is kept.
    """

    def __init__(self, function: Callable[..., int], name: str) -> None:
        try:
            self._entry = _njit(nogil=True, cache=True, **_LIKE_C)(function)
            folder = self._entry.stats.cache_path
        except RuntimeError:  # no place to write to
            self._entry = _njit(nogil=True, **_LIKE_C)(function)
            folder = None
        self._note = Path(folder) / f"{name}-{source_print():x}.kept" if folder else None

    def __call__(self, *arguments: object) -> int:
        fresh = not self._entry.signatures
        result: int = self._entry(*arguments)
        if fresh and self._note is not None and not self._note.exists():
            self._note.touch()
        return result

    def is_on_disk(self) -> bool:
        """True when it was compiled before from these very sources."""
        return self._note is not None and self._note.exists()


@cache
def source_print() -> int:
    """A number that changes with any source of the kernel, its compiler or the machine's kind.

    The compiler looks for changes in the file of the function it keeps, not in those it calls.
    """
    found = blake2b(digest_size=7)
    kernel = sorted(Path(__file__).parent.glob("*.py"))
    used = [Path(str(one.__file__)) for one in (calendars, chance, codes, flow_state, table)]
    for path in [*kernel, *used]:
        found.update(path.read_bytes())
    for word in (numba.__version__, np.__version__, platform.python_version(), platform.machine()):
        found.update(word.encode())
    return int.from_bytes(found.digest(), "big")
