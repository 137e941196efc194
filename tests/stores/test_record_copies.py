"""A copy of where everything stands holds still, and goes on by itself once nobody reads it."""

import gc
from collections.abc import Iterator

import pytest

from pacewright.events.standing import Standing
from pacewright.ledger.store import Ledger
from record_entries import arrival, correction, entries, entry, manner, story


@pytest.fixture
def ledger(address: str) -> Iterator[Ledger]:
    """A record of five arrivals."""
    with Ledger.open(address, manner=manner()) as one:
        one.append(entries([arrival(number, number) for number in range(11, 16)]))
        yield one


def live_copies(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Counts how often a whole standing is copied from here on."""
    made: list[int] = []
    whole = Standing.copy

    def counted(standing: Standing) -> Standing:
        made.append(standing.events)
        return whole(standing)

    monkeypatch.setattr(Standing, "copy", counted)
    return made


def test_a_copy_holds_still_while_others_book(ledger: Ledger) -> None:
    """What is booked later is in the record and not in the copy."""
    copy = ledger.copied()
    before = copy.standing.copy()
    ledger.append([entry("later", arrival("99", 50))])
    assert copy.standing == before
    assert (copy.place, ledger.head().place) == (5, 6)
    assert "99" in ledger.standing().vehicles


def test_a_copy_let_go_goes_on_instead_of_a_new_one(
    ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is as a fresh fold would be, and no whole standing was copied for it."""
    first = ledger.copied()
    made = live_copies(monkeypatch)
    del first
    gc.collect()
    ledger.append(entries(story().told, start=100))
    second = ledger.copied()
    assert made == []
    assert second.standing == ledger.standing()
    assert second.place == ledger.head().place


def test_a_copy_that_is_read_is_never_the_one_that_goes_on(ledger: Ledger) -> None:
    """While the first is held a second is made; both stay as they are."""
    first = ledger.copied()
    ledger.append([entry("a", arrival("98", 51))])
    second = ledger.copied()
    ledger.append([entry("b", arrival("99", 52))])
    third = ledger.copied()
    assert [one.place for one in (first, second, third)] == [5, 6, 7]
    assert [len(one.standing.vehicles) for one in (first, second, third)] == [5, 6, 7]


def test_a_copy_goes_to_the_place_asked_for(ledger: Ledger) -> None:
    """Not beyond it, however far the record is by then."""
    first = ledger.copied()
    ledger.append([entry(f"n{n}", arrival(60 + n, 60 + n)) for n in range(4)])
    del first
    gc.collect()
    copy = ledger.copied(until=7)
    assert copy.place == 7
    assert copy.standing == ledger.standing_before(8)


def test_no_copy_from_before_a_correction_goes_on(ledger: Ledger) -> None:
    """The wrong vehicle is in no copy any more, the right one is."""
    first = ledger.copied()
    del first
    gc.collect()
    ledger.append([entry("mend", correction("e1", arrival("77", 11)))])
    copy = ledger.copied()
    assert "11" not in copy.standing.vehicles
    assert copy.standing == ledger.standing()


def test_many_read_at_once_and_all_that_is_kept_is_little(
    ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ten copies at once are ten; let go, one goes on and three are kept beside it."""
    held = [ledger.copied() for _ in range(10)]
    assert all(one.standing == held[0].standing for one in held)
    held.clear()
    gc.collect()
    made = live_copies(monkeypatch)
    again = [ledger.copied() for _ in range(5)]
    assert len(made) == 1, "four go on, the fifth is made anew"
    assert {one.place for one in again} == {5}
