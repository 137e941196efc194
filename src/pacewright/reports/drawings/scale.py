"""A straight scale from figures to places on the paper, with round ticks."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, isfinite, log10


@dataclass(frozen=True, slots=True)
class Scale:
    """Maps ``least``..``most`` onto ``start``..``end``."""

    least: float
    most: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        reach = self.most - self.least or 1.0
        return self.start + (value - self.least) / reach * (self.end - self.start)

    def held(self, value: float) -> float:
        """The place of a value, kept inside the scale."""
        return self(min(self.most, max(self.least, value)))


def round_steps(most: float, about: int = 5) -> tuple[float, ...]:
    """Ticks from 0 to the first round figure not below ``most``, some ``about`` of them.

    Examples
    --------
    >>> round_steps(11.3)
    (0.0, 2.5, 5.0, 7.5, 10.0, 12.5)
    """
    if not isfinite(most) or most <= 0:
        return (0.0, 1.0)
    rough = most / about
    size = 10.0 ** floor(log10(rough))
    step = next(size * m for m in (1, 2, 2.5, 5, 10) if size * m >= rough * 0.999)
    count = 0
    while count * step < most * 0.9999:
        count += 1
    return tuple(round(step * n, 10) for n in range(count + 1))


def largest(values: Sequence[float], otherwise: float = 1.0) -> float:
    """The largest finite value."""
    return max((v for v in values if isfinite(v)), default=otherwise)
