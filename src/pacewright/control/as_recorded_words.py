"""How a note names many things without naming them all."""

from collections.abc import Sequence

SHOWN = 8
"""Names said before the rest are only counted."""


def some(names: Sequence[str]) -> str:
    """The first names, and how many more there are."""
    shown = ", ".join(names[:SHOWN])
    more = len(names) - SHOWN
    return f"{shown} and {more} more" if more > 0 else shown
