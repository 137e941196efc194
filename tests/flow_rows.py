"""A run followed from row to row of its events, apart from the sums the engine keeps."""

import numpy as np

from pacewright.events.codes import Code
from pacewright.simulate.calendars import Clock
from tiny_flow import Seen


def occupied(one: Seen) -> tuple[np.ndarray, np.ndarray]:
    """Most positions held at once at each stage, and positions held x worked minutes.

    A position is held from POSITIONED until the piece has its next, is stored or released; that
    of a vehicle just parted until the last of its pieces has moved. Pieces that are inside at the
    start hold none until they are given one.
    """
    events = one.run.events
    assert events is not None
    clock = Clock.of(one.table.days)
    stages = len(one.table.stages.key)
    now, most, area = (np.zeros(stages, np.int64) for _ in range(3))
    held: dict[tuple[int, int], int] = {}
    parted: dict[int, tuple[int, set[int]]] = {}
    pieces = np.bincount(one.table.pieces.vehicle, minlength=len(one.table.vehicles.key))

    def change(stage: int, by: int, time: int) -> None:
        area[stage] -= by * clock.worked(max(time, one.table.days.measure_from))
        now[stage] += by
        most[stage] = max(most[stage], now[stage])

    def leave(v: int, piece: int, time: int) -> None:
        if v in parted and piece in parted[v][1]:
            stage, left = parted[v]
            left.remove(piece)
            if not left:
                del parted[v]
                change(stage, -1, time)
        elif (v, piece) in held:
            change(held.pop((v, piece)), -1, time)

    columns = (events.time, events.code, events.vehicle, events.place, events.amount)
    for time, code, v, place, amount in zip(*(column.tolist() for column in columns), strict=True):
        if code == Code.POSITIONED:
            # The former place is given up first here: between two rows nobody else can take it.
            leave(v, amount, time)
            change(place, 1, time)
            held[v, amount] = place
        elif code == Code.PARTED:
            del held[v, 0]
            parted[v] = (place, set(range(int(pieces[v]))))
        elif code == Code.STORED:
            leave(v, amount, time)
        elif code == Code.RELEASED:
            leave(v, 0, time)
    return most, area + now * clock.worked(one.table.days.end)


def vehicles_inside(one: Seen) -> tuple[int, int]:
    """Most vehicles inside at once, and vehicles inside x worked minutes."""
    events = one.run.events
    assert events is not None
    clock = Clock.of(one.table.days)
    inside = most = area = 0
    for time, code in zip(events.time.tolist(), events.code.tolist(), strict=True):
        by = (code == Code.ADMITTED) - (code == Code.RELEASED)
        inside += by
        area -= by * clock.worked(max(time, one.table.days.measure_from))
        most = max(most, inside)
    return most, area + inside * clock.worked(one.table.days.end)
