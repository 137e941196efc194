"""A mistake is mended by an event that names it; the record is then as if it had been right."""

from collections.abc import Iterator
from datetime import timedelta

import pytest

from pacewright.events.corrections import fold_record
from pacewright.events.fold import fold
from pacewright.events.gate import Admitted
from pacewright.events.record import Recorded
from pacewright.events.refusal import Refusal
from pacewright.events.standing import Standing
from pacewright.events.things import Event, Unit
from pacewright.events.units import Purchased
from pacewright.ledger.entry import Outcome
from pacewright.ledger.snapshots import snapshot_places
from pacewright.ledger.store import Ledger
from record_entries import MORNING, arrival, correction, entries, entry, manner, story

KEPT, REFUSED = Outcome.KEPT, Outcome.REFUSED


@pytest.fixture
def ledger(address: str) -> Iterator[Ledger]:
    """A fresh record."""
    with Ledger.open(address, manner=manner()) as one:
        yield one


def recorded(ledger: Ledger) -> list[Recorded]:
    """All that the record keeps, as the events know it."""
    return [Recorded(one.entry.event_id, one.entry.event) for one in ledger.entries()]


def holds_together(ledger: Ledger) -> None:
    """The live standing, the truth and a fresh fold agree with the rules of corrections."""
    record = recorded(ledger)
    assert ledger.standing() == fold_record(record)
    assert fold(ledger.mended()) == fold_record(record)
    assert ledger.standing_before(len(record) + 1) == fold_record(record)


def test_an_event_is_mended(ledger: Ledger) -> None:
    """The right vehicle is at the gate, the wrong one was never heard of."""
    ledger.append([entry("a", arrival("11"))])
    (answer,) = ledger.append([entry("b", correction("a", arrival("12")))])
    assert answer.outcome is KEPT
    assert list(ledger.standing().vehicles) == ["12"]
    assert list(ledger.mended()) == [arrival("12")]
    assert [one.entry.event_id for one in ledger.entries()] == ["a", "b"]
    holds_together(ledger)


def test_an_event_is_voided_or_gets_a_forgotten_one_beside_it(ledger: Ledger) -> None:
    """Nothing in its place voids it; two put one beside it."""
    ledger.append(entries([arrival("11"), arrival("12", 1)]))
    ledger.append([entry("b", correction("e1"))])
    two = arrival("12", 1), Admitted(arrival("12", 1).at, "12")
    (answer,) = ledger.append([entry("c", correction("e2", arrival("13", 1), *two))])
    assert answer.outcome is KEPT
    assert list(ledger.standing().vehicles) == ["13", "12"]
    holds_together(ledger)


def test_a_correction_that_makes_a_later_event_impossible_is_refused(ledger: Ledger) -> None:
    """The refusal names the later event, its place and its reasons; nothing has changed."""
    ledger.append(entries(story().told))
    before = ledger.standing()
    (answer,) = ledger.append([entry("b", correction("e1"))])
    assert answer.outcome is REFUSED
    assert "with this correction event e2, place 2 of the record, is impossible" in str(answer)
    assert "the record does not know it" in str(answer)
    assert ledger.standing() == before
    holds_together(ledger)


@pytest.mark.parametrize(
    ("mends", "instead", "said"),
    [
        ("nothing", (), "no such event in the record"),
        ("e2", (Admitted(MORNING, "99"),), "the record does not know it"),
        ("e2", (correction("e1"),), "a correction in its place"),
    ],
)
def test_wrong_corrections_are_refused(
    ledger: Ledger, mends: str, instead: tuple[Event, ...], said: str
) -> None:
    """What it mends must be there, and what it puts there must have been possible then."""
    ledger.append(entries(story().told))
    (answer,) = ledger.append([entry("b", correction(mends, *instead))])
    assert answer.outcome is REFUSED
    assert said in " ".join(answer.reasons)
    holds_together(ledger)


def test_one_standing_correction_and_voiding_it(ledger: Ledger) -> None:
    """A second correction is refused until the first is voided; voided, the first event is back."""
    ledger.append([entry("a", arrival("11"))])
    ledger.append([entry("b", correction("a", arrival("12")))])
    (answer,) = ledger.append([entry("c", correction("a", arrival("13")))])
    assert "b mends it already" in answer.reasons[0]
    (answer,) = ledger.append([entry("c", correction("b", arrival("13")))])
    assert "A correction can only be voided" in answer.reasons[0]
    (answer,) = ledger.append([entry("d", correction("b"))])
    assert answer.outcome is KEPT
    assert list(ledger.standing().vehicles) == ["11"]
    holds_together(ledger)
    (answer,) = ledger.append([entry("e", correction("a", arrival("13")))])
    assert answer.outcome is KEPT
    assert list(ledger.standing().vehicles) == ["13"]
    holds_together(ledger)


def test_event_and_correction_in_one_call(ledger: Ledger) -> None:
    """What came before it in the same call can be mended, and what follows builds on it."""
    answers = ledger.append(
        [
            entry("a", arrival("11")),
            entry("b", correction("a", arrival("12"))),
            entry("c", Admitted(MORNING, "12")),
            entry("d", Admitted(MORNING, "11")),
        ]
    )
    assert [one.outcome for one in answers] == [KEPT, KEPT, KEPT, REFUSED]
    holds_together(ledger)


def test_together_a_correction_is_undone_with_the_rest(ledger: Ledger) -> None:
    """When one is refused the correction beside it is not kept either, nor remembered."""
    ledger.append(entries(story().told))
    before = ledger.standing()
    motor = Purchased(MORNING, Unit("motor", "N-99"), "store")
    batch = [entry("b", correction("e5", motor)), entry("c", Admitted(MORNING, "77"))]
    assert [one.outcome for one in ledger.append(batch, together=True)] == [REFUSED, REFUSED]
    assert ledger.standing() == before
    holds_together(ledger)
    (answer,) = ledger.append([entry("d", correction("e3", before_moved(ledger)))])
    assert answer.outcome is KEPT
    holds_together(ledger)


def before_moved(ledger: Ledger) -> Event:
    """The third event of the record, as it is."""
    return next(iter(ledger.entries(after=2))).entry.event


def test_a_correction_by_another_writer_is_seen(address: str) -> None:
    """The other's standing is mended before it answers or judges."""
    with (
        Ledger.open(address, manner=manner()) as one,
        Ledger.open(address, manner=manner()) as other,
    ):
        one.append(entries(story().told))
        assert "11" in other.standing().vehicles
        one.append([entry("b", correction("e12"))])
        assert other.standing() == one.standing()
        assert other.append([entry("c", correction("e6"))])[0].outcome is KEPT
        holds_together(one)
        holds_together(other)


def test_the_door_is_asked_of_what_is_put_in_place(address: str) -> None:
    """A correction cannot bring in what the door would have refused."""

    def door(now: Standing, event: Event) -> tuple[Refusal, ...]:
        strange = isinstance(event, type(arrival("1"))) and event.vehicle_id == "66"
        return (Refusal("vehicle 66", "not of the fleet", "No.", "Check it."),) if strange else ()

    with Ledger.open(address, door, manner=manner()) as ledger:
        ledger.append([entry("a", arrival("11"))])
        (answer,) = ledger.append([entry("b", correction("a", arrival("66")))])
        assert answer.reasons == ("vehicle 66: not of the fleet. No. Check it.",)


def test_history_shows_that_something_was_mended(ledger: Ledger) -> None:
    """A correction stands in the history of what it mends and of what it puts in place."""
    ledger.append([entry("a", arrival("11")), entry("b", correction("a", arrival("12")))])
    ledger.append([entry("c", correction("b"))])
    for about in ("vehicle:11", "vehicle:12"):
        assert [one.place for one in ledger.entries(about=about)][-2:] == [2, 3]


def test_corrections_far_back_on_a_record_with_snapshots(address: str) -> None:
    """Snapshots that rest on what was mended go; others are taken in time."""
    told = [arrival(n, n) for n in range(1, 61)]
    with Ledger.open(address, manner=manner(snapshot_every=10)) as ledger:
        for start in range(0, 60, 5):
            ledger.append(entries(told[start : start + 5], start + 1))
        with ledger._database.reading() as link:
            assert snapshot_places(link)[-1] == 60
            early = [one for one in snapshot_places(link) if one < 25]
        ledger.append([entry("x", correction("e25", arrival("99", 25)))])
        with ledger._database.reading() as link:
            assert snapshot_places(link) == early
        holds_together(ledger)
        for n, mends in enumerate(("e3", "e58", "e31", "e30")):
            (answer,) = ledger.append([entry(f"y{n}", correction(mends, arrival(100 + n, 30)))])
            assert answer.outcome is KEPT
            holds_together(ledger)
        ledger.append(entries([arrival(n, n) for n in range(200, 210)], 200))
        with ledger._database.reading() as link:
            assert snapshot_places(link)[-1] == ledger.head().place
    with Ledger.open(address, manner=manner()) as ledger:
        holds_together(ledger)


def test_a_mended_time_counts_and_not_the_one_first_told(address: str) -> None:
    """Past moments and periods are asked by the time told in truth, also across a snapshot."""
    for every in (2, 1000):
        with Ledger.open(address, manner=manner(snapshot_every=every)) as ledger:
            if not ledger.head().place:
                for one in entries([arrival(n, 10 * n) for n in range(1, 9)]):
                    ledger.append([one])
                ledger.append([entry("x", correction("e2", arrival(2, 55)))])
                ledger.append([entry("y", correction("e7", arrival(7, 15)))])
            at = MORNING + timedelta(minutes=30)
            assert list(ledger.standing_at(at).vehicles) == ["1", "3", "7"]
            told = [one.vehicle_id for one in ledger.mended(since=at)]  # type: ignore[attr-defined]
            assert told == ["2", "3", "4", "5", "6", "8"]
            holds_together(ledger)


def test_what_a_trial_reached_into_is_not_remembered(
    address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A correction judged among many new entries leaves nothing behind when all is undone."""
    monkeypatch.setattr("pacewright.ledger.recall.REAR", 3)
    with Ledger.open(address, manner=manner()) as ledger:
        ledger.append(entries([arrival(n, n) for n in range(1, 5)]))
        trial = entries([arrival(n, n) for n in range(50, 62)], 50)
        trial.append(entry("x", correction("e61", Admitted(MORNING, "99"))))
        assert ledger.judge(trial)[-1].outcome is REFUSED
        assert ledger.append(trial, together=True)[-1].outcome is REFUSED
        ledger.append(entries([arrival(n, n) for n in range(20, 35)], 20))
        (answer,) = ledger.append([entry("y", correction("e34", arrival("77", 34)))])
        assert answer.outcome is KEPT
        holds_together(ledger)


def test_a_correction_by_another_after_a_failure_is_seen(
    address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was remembered for corrections is forgotten whenever the live standing is."""
    monkeypatch.setattr("pacewright.ledger.recall.REAR", 3)
    with (
        Ledger.open(address, manner=manner()) as one,
        Ledger.open(address, manner=manner()) as other,
    ):
        one.append(entries([arrival(n, n) for n in range(1, 21)]))
        one.append([entry("x", correction("e20", arrival("70", 20)))])
        one._live._stood = None
        other.append([entry("y", correction("e2", arrival("71", 2)))])
        one.append([entry("z", correction("e19", arrival("72", 19)))])
        assert "71" in one.standing().vehicles
        holds_together(one)


def test_a_long_fold_leaves_snapshots_on_its_way(address: str) -> None:
    """Where the cache was taken away, one fold makes the near past quick to ask again."""
    told = [arrival(number, number) for number in range(200)]
    with Ledger.open(address, manner=manner(snapshot_every=10)) as ledger:
        ledger.append(entries(told))
        ledger.append([entry("c1", correction("e40", arrival("x40", 39)))])
        ledger.drop_snapshots()
    with Ledger.open(address, manner=manner(snapshot_every=10)) as ledger:
        now = ledger.standing()
        with ledger._database.reading() as link:
            places = snapshot_places(link)
        assert places[-1] == 201
        assert [one for one in places if 150 < one < 200], "none near the end"
        assert len(places) >= 4
        assert ledger.verify().faults == ()
        at = MORNING + timedelta(minutes=180)
        assert ledger.standing_at(at).vehicles.keys() <= now.vehicles.keys()
        assert len(ledger.standing_at(at).vehicles) == 181
