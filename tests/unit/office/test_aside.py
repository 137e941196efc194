"""What takes long is made aside: one at a time, the last one shown, failures told and retried."""

import threading

from pacewright.office import aside
from pacewright.office.aside import Aside
from pacewright.office.background import Background


def test_the_last_one_is_shown_while_a_newer_one_is_made() -> None:
    """The first is told when it is there; a newer one replaces it, never two at a time."""
    keeper: Aside[int] = Aside("n", keep_seconds=0.0)
    back, gate, begun = Background(), threading.Event(), []

    def slow(value: int) -> int:
        begun.append(value)
        gate.wait(10)
        return value

    first = keeper.look(back, ("a",), lambda: slow(1))
    assert (first.made, first.being_made) == (None, True)
    assert keeper.look(back, ("b",), lambda: slow(2)).being_made
    gate.set()
    assert keeper.look(back, ("a",), lambda: slow(3), wait_seconds=10).made == 1
    gate.clear()
    second = keeper.look(back, ("b",), lambda: slow(4))
    assert (second.made, second.being_made) == (1, True)
    gate.set()
    assert keeper.look(back, ("b",), lambda: slow(5), wait_seconds=10).made == 4
    assert begun == [1, 4]


def test_one_young_enough_is_kept() -> None:
    """Another mark makes nothing anew before the time is over."""
    keeper: Aside[int] = Aside("n", keep_seconds=1000.0)
    back = Background()
    assert keeper.look(back, ("a",), lambda: 1, wait_seconds=10).made == 1
    later = keeper.look(back, ("b",), lambda: 2, wait_seconds=10)
    assert (later.made, later.being_made) == (1, False)


def test_what_failed_says_why_and_is_tried_again() -> None:
    """The reason is told; after a while it is tried anew, and then the thing is there."""
    keeper: Aside[int] = Aside("n", keep_seconds=0.0)
    back = Background()

    def fails() -> int:
        raise ValueError("no pace is given")

    told = keeper.look(back, ("a",), fails, wait_seconds=10)
    assert told.made is None
    assert told.why_not == "no pace is given"
    assert not keeper.look(back, ("b",), lambda: 2).being_made
    keeper._at -= aside.TRY_AGAIN_SECONDS + 1
    assert keeper.look(back, ("b",), lambda: 2, wait_seconds=10).made == 2
