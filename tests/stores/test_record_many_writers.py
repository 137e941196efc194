"""Twenty writers at once: none lost, none doubled, the order whole; on both databases."""

from collections import Counter

from pacewright.ledger.store import Ledger
from record_entries import manner
from record_writers import CALLS, PROCESSES, THREADS, Nursery


def test_twenty_writers_at_once(address: str) -> None:
    """Five processes of four threads hand in own entries and shared ones."""
    with Nursery() as nursery:
        nursery.ask("many", 1, address)
        told = list(nursery.told())
    assert told.pop() == {"ended": [0] * PROCESSES}
    answers = [one for one in told if "event_id" in one]
    assert len(answers) == PROCESSES * THREADS * CALLS * 2
    outcomes = Counter(one["outcome"] for one in answers)
    own = PROCESSES * THREADS * CALLS
    assert outcomes == {"kept": own + CALLS, "known": own - CALLS}
    with Ledger.open(address, manner=manner()) as ledger:
        kept = {one.entry.event_id: one.place for one in ledger.entries()}
        assert sorted(kept.values()) == list(range(1, own + CALLS + 1))
        assert all(kept[one["event_id"]] == one["place"] for one in answers)
        assert len(ledger.standing().vehicles) == own + CALLS
        found = ledger.verify()
        assert found.sound, found.faults
