"""The draws of ``simulate.chance``, compiled as they stand."""

from typing import Any

import numpy as np

from pacewright.simulate import chance
from pacewright.simulate.kernel.compiled import compiled, woven
from pacewright.simulate.kernel.memory import RUN, Reals, Words

_CELLS = 1024

stepped: Any = woven(chance.stepped_keys)
unit_of: Any = woven(chance.unit_of_keys)
whole = woven(chance.whole_minutes)
beyond: Any = woven(chance.beyond)


@woven
def drawn(m: Words, stream: int, a: int, b: int, c: int) -> float:
    """A number between 0 and 1 for what it is drawn for, two keys and a count."""
    h = stepped(np.uint64(m[m[RUN.streams] + stream]), np.uint64(a))
    u: float = unit_of(stepped(stepped(h, np.uint64(b)), np.uint64(c)))
    return u


@woven
def at_share(x: Reals, law: int, u: float) -> float:
    """The value below which a share ``u`` of a law lies; its points begin at ``law``."""
    at = u * _CELLS
    place = int(at)
    low = x[law + place]
    return low + (x[law + place + 1] - low) * (at - place)


@compiled
def exponential(m: Words, x: Reals, mean: float, u: float) -> float:
    """A value of the exponential law."""
    return mean * at_share(x, m[RUN.exponential], u)
