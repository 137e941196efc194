"""Codes to scan: the code of a thing as events write it, as a QR symbol of full size."""

from dataclasses import dataclass
from functools import lru_cache

import segno

QUIET = 4
"""Clear modules around the symbol (ISO/IEC 18004: four)."""

ERROR = "m"
"""At least level M: about 15 % of the symbol may be soiled (ISO/IEC 18004, from memory)."""


@dataclass(frozen=True, slots=True)
class Code:
    """A code drawn.

    Parameters
    ----------
    says : what scanning it gives, such as ``vehicle:1043``.
    svg : the symbol with its quiet zone, one unit a module.
    """

    says: str
    svg: str


@lru_cache(maxsize=4096)
def code(says: str) -> Code:
    """The symbol of a code; never a micro symbol, which many scanners do not read.

    Examples
    --------
    >>> code("vehicle:1043").svg.startswith('<svg xmlns="http://www.w3.org/2000/svg" viewBox')
    True
    """
    symbol = segno.make(says, error=ERROR, micro=False)
    course = []
    for y, row in enumerate(symbol.matrix):
        course += [f"M{start + QUIET} {y + QUIET}h{length}v1h-{length}z"
                   for start, length in _dark_runs(row)]  # fmt: skip
    wide = len(symbol.matrix) + 2 * QUIET
    return Code(
        says,
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {wide}">'
        f'<path d="{"".join(course)}" fill="#000"/></svg>',
    )


def stage_code(stage_id: str) -> Code:
    """The code of a stage: scanned after a piece it books the move."""
    return code(f"stage:{stage_id}")


def _dark_runs(row: bytes | bytearray) -> list[tuple[int, int]]:
    runs: list[tuple[int, int]] = []
    for x, dark in enumerate(row):
        if not dark:
            continue
        if runs and sum(runs[-1]) == x:
            runs[-1] = (runs[-1][0], runs[-1][1] + 1)
        else:
            runs.append((x, 1))
    return runs
