"""Charges gathered: pieces stand in an oven or bath until it is full, or until the morning.

The same rule as in the simulation, so that schedule and forecast speak of the same charges.
"""

from collections.abc import Callable, Mapping


def gathering_slots(
    arrivals: Mapping[int, int], size: int, next_morning: Callable[[int], int]
) -> dict[int, int]:
    """How long each piece stands before its charge begins [slots].

    Parameters
    ----------
    arrivals : piece -> slot at which it has its position and all its units.
    size : pieces of a full charge.
    next_morning : slot -> first slot of the next working day.

    Equations
    ---------
    In order of arrival; a charge begins when the piece that fills it is there, and in the morning
    with those that are there.
    """
    found: dict[int, int] = {}
    waiting: list[int] = []

    def begins(slot: int) -> None:
        found.update({piece: slot - arrivals[piece] for piece in waiting})
        waiting.clear()

    for piece in sorted(arrivals, key=lambda one: (arrivals[one], one)):
        if waiting and (morning := next_morning(arrivals[waiting[0]])) <= arrivals[piece]:
            begins(morning)
        waiting.append(piece)
        if len(waiting) == size:
            begins(arrivals[piece])
    if waiting:
        begins(next_morning(arrivals[waiting[0]]))
    return found
