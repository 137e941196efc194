"""What is made in the background is made once, one at a time; the last one stays to be shown."""

import threading
from collections.abc import Callable

import pytest

from pacewright.base.faults import CallError
from pacewright.office import background
from pacewright.office.background import MOST_KEPT, Background


def test_it_is_made_once_for_its_mark() -> None:
    """Asked again with the same mark nothing is made; another mark makes it anew."""
    made: list[int] = []

    def make() -> int:
        made.append(1)
        return len(made)

    one = Background()
    assert one.ask("a", (1,), make, 5).made == 1
    assert one.ask("a", (1,), make, 5).made == 1
    assert one.ask("a", (2,), make, 5).made == 2


def test_marks_that_change_fast_pile_up_no_work() -> None:
    """While one is being made every asker gets that one, and the last made to show meanwhile."""
    gate, runs = threading.Event(), []
    one = Background()
    first = one.ask("a", (0,), lambda: "old", 5)

    def slow() -> str:
        runs.append(1)
        gate.wait(5)
        return "new"

    jobs = [one.ask("a", (mark,), slow) for mark in range(1, 30)]
    assert len({id(job) for job in jobs}) == 1
    assert not jobs[0].there()
    assert jobs[0].before is first
    gate.set()
    assert jobs[0].done.wait(5)
    assert (jobs[0].made, len(runs)) == ("new", 1)


def test_one_at_a_time() -> None:
    """Two keys asked at once are not made at once."""
    inside, most = [0], [0]
    lock = threading.Lock()

    def make() -> None:
        with lock:
            inside[0] += 1
            most[0] = max(most[0], inside[0])
        threading.Event().wait(0.02)
        with lock:
            inside[0] -= 1

    one = Background()
    jobs = [one.ask(key, (), make) for key in range(6)]
    assert all(job.done.wait(5) for job in jobs)
    assert most[0] == 1


def test_what_nobody_will_be_given_is_not_made() -> None:
    """Asked for far more than is kept, the oldest that have not begun are given up and say so."""
    begun, gate, made = threading.Event(), threading.Event(), list[int]()

    def slow() -> bool:
        begun.set()
        return gate.wait(5)

    one = Background()
    first = one.ask("first", (), slow)
    assert begun.wait(5)
    jobs = [one.ask(key, (), lambda key=key: made.append(key)) for key in range(5 * MOST_KEPT)]
    gate.set()
    assert all(job.done.wait(5) for job in (first, *jobs))
    assert sorted(made) == list(range(4 * MOST_KEPT, 5 * MOST_KEPT))
    assert first.made
    with pytest.raises(CallError, match="Ask again"):
        jobs[0].there()


def test_what_failed_is_told_and_tried_again_later(monkeypatch: pytest.MonkeyPatch) -> None:
    """The error reaches whoever asks; after a while the same mark is tried anew."""

    def bad() -> None:
        raise OSError("the disk is away")

    one = Background()
    job = one.ask("a", (), bad, 5)
    with pytest.raises(OSError, match="disk"):
        job.there()
    assert one.ask("a", (), lambda: 1, 5) is job
    monkeypatch.setattr(background, "RETRY_SECONDS", -1.0)
    assert one.ask("a", (), lambda: 1, 5).made == 1


def test_only_so_many_are_kept() -> None:
    """The one asked for longest ago is forgotten first, and made anew when asked for again."""
    one = Background()

    def giving(value: int) -> Callable[[], int]:
        return lambda: value

    for key in range(MOST_KEPT + 1):
        one.ask(key, (), giving(key), 5)
    assert one.ask(MOST_KEPT, (), giving(-1), 5).made == MOST_KEPT
    assert one.ask(0, (), giving(-1), 5).made == -1


def test_the_last_one_made_is_known_while_another_is_made() -> None:
    """What there was stays to be looked at; what failed is none."""
    one = Background()
    assert one.last("a") is None
    first = one.ask("a", (0,), lambda: "old", 5)
    assert one.last("a") is first
    gate = threading.Event()
    second = one.ask("a", (1,), lambda: gate.wait(5))
    assert one.last("a") is first
    gate.set()
    assert second.done.wait(5)
    assert one.last("a") is second

    def fails() -> None:
        raise ValueError("no")

    assert one.ask("a", (2,), fails, 5).error is not None
    assert one.last("a") is second
