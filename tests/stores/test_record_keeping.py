"""What is handed in is kept once, in order, or refused with every reason; on both databases."""

from collections.abc import Iterator
from datetime import timedelta

import pytest

from events_story import vehicle
from pacewright.events.fold import fold
from pacewright.events.gate import Admitted, OdometerRead
from pacewright.events.record import Attended
from pacewright.events.refusal import Refusal
from pacewright.events.stages import Moved
from pacewright.events.standing import Phase, Standing
from pacewright.events.things import Event
from pacewright.ledger.entry import Entry, Outcome
from pacewright.ledger.errors import RecordError
from pacewright.ledger.store import Ledger, holds_events
from record_entries import (
    MORNING,
    Clock,
    arrival,
    as_kept,
    correction,
    entries,
    entry,
    manner,
    story,
)

KEPT, KNOWN, REFUSED = Outcome.KEPT, Outcome.KNOWN, Outcome.REFUSED


@pytest.fixture
def clock() -> Clock:
    """A clock of the test."""
    return Clock()


@pytest.fixture
def ledger(address: str, clock: Clock) -> Iterator[Ledger]:
    """A fresh record."""
    with Ledger.open(address, manner=manner(clock)) as one:
        yield one


def outcomes(answers: tuple[object, ...]) -> list[Outcome]:
    """What became of each entry."""
    return [one.outcome for one in answers]  # type: ignore[attr-defined]


def test_events_are_kept_in_order_and_read_back_equal(ledger: Ledger) -> None:
    """What was handed in is there with its place, and the standing is its fold."""
    told = story().told
    answers = ledger.append(entries(told))
    assert outcomes(answers) == [KEPT] * len(told)
    assert [one.place for one in answers] == list(range(1, len(told) + 1))
    assert as_kept(ledger.entries()) == [(n, f"e{n}", one) for n, one in enumerate(told, 1)]
    assert ledger.standing() == fold(told)
    assert ledger.head().place == len(told)


def test_all_that_is_told_of_an_entry_is_kept(ledger: Ledger, clock: Clock) -> None:
    """Who, device, reference and the moment of recording come back, with umlauts and all."""
    one = Entry("ä-1", arrival("11"), "Frau Müller, gate", "scanner 2", "docket 77 · blue")
    ledger.append([one])
    (kept,) = ledger.entries()
    assert kept.entry == one
    assert kept.recorded_at == clock.now
    assert kept.digest == ledger.head().digest


def test_the_same_entry_sent_twice_is_stored_once(ledger: Ledger) -> None:
    """Within one call, in a later call, and by another writer."""
    one = entry("a", arrival("11"))
    assert outcomes(ledger.append([one, one])) == [KEPT, KNOWN]
    assert [a.place for a in ledger.append([one])] == [1]
    assert outcomes(ledger.append([Entry("a", one.event, "clerk 2")])) == [KNOWN]
    assert ledger.head().place == 1


def test_an_id_used_for_another_event_is_refused(ledger: Ledger) -> None:
    """The refusal names the id, where it is kept and what to do."""
    ledger.append([entry("a", arrival("11"))])
    (answer,) = ledger.append([entry("a", arrival("12"))])
    assert answer.outcome is REFUSED
    assert answer.place is None
    assert "a is kept already, at place 1, for another event (arrived" in answer.reasons[0]


def test_a_refused_event_says_why_and_changes_nothing(ledger: Ledger) -> None:
    """Those before and after it are kept; the standing knows nothing of it."""
    good, bad = entry("a", arrival("11")), entry("b", Admitted(MORNING, "12"))
    answers = ledger.append([good, bad, entry("c", Admitted(MORNING, "11"))])
    assert outcomes(answers) == [KEPT, REFUSED, KEPT]
    assert answers[1].reasons == (
        "vehicle 12: the record does not know it. A vehicle is let in, or turned back, at the "
        "gate. Check the number, or record first that it arrived.",
    )
    assert [one.place for one in answers] == [1, None, 2]
    assert list(ledger.standing().vehicles) == ["11"]


def test_every_fault_of_fields_is_told_at_once(ledger: Ledger) -> None:
    """Faults of the labels and of the event stand in one answer."""
    event = OdometerRead(MORNING, "bad id!", -1.0)
    (answer,) = ledger.append([Entry("a\n", event, " ", "x" * 401)])
    assert answer.outcome is REFUSED
    named = [one.split(":")[0] for one in answer.reasons]
    assert named[:3] == ["event_id", "recorded_by", "device"]
    assert sum(one.startswith("odometer_read") for one in named) == 2
    assert ledger.head().place == 0


@pytest.mark.parametrize("event", [None, "arrived", Event(MORNING)], ids=repr)
def test_what_is_no_event_is_refused(ledger: Ledger, event: Event) -> None:
    """Things that are no event of a kind are refused, not stumbled over."""
    (answer,) = ledger.append([Entry("a", event, "clerk 1")])
    assert answer.outcome is REFUSED


def test_text_that_no_database_can_hold_is_refused(ledger: Ledger) -> None:
    """Halves of characters and the zero character never reach the database."""
    for text in ("\ud800", "\x00", "a\x7f"):
        (answer,) = ledger.append([Entry("a", arrival("11"), "clerk", text)])
        assert answer.outcome is REFUSED


def test_all_or_none_together(ledger: Ledger) -> None:
    """With one refused none is kept, and each is told why; the next call goes on as before."""
    first = [entry("a", arrival("11")), entry("b", Admitted(MORNING, "12"))]
    answers = ledger.append(first, together=True)
    assert outcomes(answers) == [REFUSED, REFUSED]
    assert "handed in together with it and refused: 1" in answers[0].reasons[0]
    assert ledger.head().place == 0
    assert ledger.standing() == Standing()
    answers = ledger.append([first[0], entry("c", arrival("12")), first[1]], together=True)
    assert outcomes(answers) == [KEPT, KEPT, KEPT]
    assert ledger.standing().vehicles["12"].phase is Phase.INSIDE


def test_judge_says_what_would_be_and_keeps_nothing(ledger: Ledger) -> None:
    """A trial answers like a real call and leaves record and standing alone."""
    ledger.append([entry("a", arrival("11"))])
    trial = [
        entry("a", arrival("11")),
        entry("b", Admitted(MORNING, "11")),
        entry("c", Admitted(MORNING, "12")),
        entry("d", correction("a", arrival("12"))),
    ]
    assert outcomes(ledger.judge(trial)) == [KNOWN, KEPT, REFUSED, REFUSED]
    assert ledger.head().place == 1
    assert ledger.standing() == fold([arrival("11")])
    assert outcomes(ledger.append(trial)) == [KNOWN, KEPT, REFUSED, REFUSED]


def test_further_rules_of_the_door_are_asked(address: str) -> None:
    """Reasons of the fold and of the door stand in one answer."""

    def door(now: Standing, event: Event) -> tuple[Refusal, ...]:
        late = isinstance(event, Admitted) and event.at.hour >= 6
        return (Refusal("gate", "it is late", "No.", "Wait."),) if late else ()

    with Ledger.open(address, door, manner=manner()) as ledger:
        answers = ledger.append(
            [
                entry("a", Admitted(MORNING, "11")),
                entry("b", arrival("11")),
                entry("c", Admitted(MORNING, "11")),
            ]
        )
        assert outcomes(answers) == [REFUSED, KEPT, REFUSED]
        assert len(answers[0].reasons) == 2
        assert answers[2].reasons == ("gate: it is late. No. Wait.",)


def test_what_has_not_happened_yet_is_refused(ledger: Ledger, clock: Clock) -> None:
    """An event may be told a quarter of an hour ahead of the works clock, no further."""
    now = clock.now.astimezone().replace(tzinfo=None)
    soon = Attended(now + timedelta(minutes=14), "body", "fitter", now.date(), 3.0, 24.0)
    later = Attended(now + timedelta(minutes=16), "body", "fitter", now.date(), 3.0, 24.0)
    answers = ledger.append([entry("a", soon), entry("b", later)])
    assert outcomes(answers) == [KEPT, REFUSED]
    assert "later than now" in answers[1].reasons[0]


def test_the_recorded_time_never_runs_back(ledger: Ledger, clock: Clock) -> None:
    """A clock that is set back leaves recorded times in order."""
    ledger.append([entry("a", arrival("11"))])
    high = clock.now
    clock.tick(-90)
    ledger.append([entry("b", arrival("12"))])
    clock.tick(200)
    ledger.append([entry("c", arrival("13"))])
    assert [one.recorded_at for one in ledger.entries()] == [high, high, clock.now]


def test_history_of_one_thing(ledger: Ledger) -> None:
    """Entries about a vehicle, a unit and a place are found; also by kind, person, time, page."""
    ledger.append(entries(story().told))
    assert [one.place for one in ledger.entries(about="vehicle:12")] == [7, 8, 9, 10, 12]
    assert [one.place for one in ledger.entries(about="motor:N-11")] == [5, 6]
    assert [one.place for one in ledger.entries(about="place:strip")] == [3, 9]
    assert [one.place for one in ledger.entries(kind="fitted")] == [6, 12]
    assert list(ledger.entries(by="nobody")) == []
    assert [one.place for one in ledger.entries(by="clerk 1", after=2, until=4)] == [3, 4]
    assert [one.place for one in ledger.entries(newest_first=True, limit=2)] == [12, 11]
    since = MORNING + timedelta(minutes=11)
    assert [one.place for one in ledger.entries(since=since)] == [11, 12]


def test_long_histories_are_read_by_pages(ledger: Ledger, monkeypatch: pytest.MonkeyPatch) -> None:
    """No entry is lost or doubled where one page ends and the next begins."""
    monkeypatch.setattr("pacewright.ledger.reading._PAGE", 3)
    monkeypatch.setattr("pacewright.ledger.recall._PAGE", 3)
    told = story().told
    ledger.append(entries(told))
    assert [one.place for one in ledger.entries()] == list(range(1, 13))
    assert [one.place for one in ledger.entries(newest_first=True)] == list(range(12, 0, -1))
    assert [one.place for one in ledger.entries(about="vehicle:11", limit=4)] == [1, 2, 3, 4]
    assert list(ledger.mended()) == told
    assert ledger.standing_before(8) == fold(told[:7])


def test_standing_at_an_earlier_moment_or_place(ledger: Ledger) -> None:
    """The past can be asked by works clock and by place."""
    told = story().told
    ledger.append(entries(told))
    assert ledger.standing_before(7) == fold(told[:6])
    assert ledger.standing_before(1) == Standing()
    for count in (0, 4, 7, 12):
        moment = MORNING + timedelta(minutes=count)
        assert ledger.standing_at(moment) == fold(told[:count])


def test_late_entries_belong_to_the_moment_they_tell_of(ledger: Ledger) -> None:
    """What was recorded late is part of the past it tells of; what came later is not."""
    ledger.append(
        [
            entry("a", arrival("11", 60)),
            entry("b", arrival("12", 10)),
            entry("c", Admitted(MORNING + timedelta(minutes=61), "11")),
            entry("d", Moved(MORNING + timedelta(minutes=62), vehicle("11"), "wash", 1)),
            entry("e", Admitted(MORNING + timedelta(minutes=20), "12")),
        ]
    )
    then = ledger.standing_at(MORNING + timedelta(minutes=30))
    assert list(then.vehicles) == ["12"]
    assert then.vehicles["12"].phase is Phase.INSIDE


def test_a_record_is_found_again(address: str) -> None:
    """Closed and opened anew it goes on where it was; another record is not made by reading."""
    assert not holds_events(address) if "://" in address else True
    with pytest.raises(RecordError, match="there is no record"):
        Ledger.open(address, create=False)
    with Ledger.open(address, manner=manner()) as ledger:
        assert not holds_events(address)
        ledger.append([entry("a", arrival("11"))])
    assert holds_events(address)
    with Ledger.open(address, create=False, manner=manner()) as ledger:
        (answer,) = ledger.append([entry("b", Admitted(MORNING, "11"))])
        assert answer.place == 2
    with Ledger.open(address, read_only=True) as ledger:
        assert ledger.standing().vehicles["11"].phase is Phase.INSIDE
        with pytest.raises(RecordError, match="reading only"):
            ledger.append([entry("c", arrival("12"))])


def test_two_that_have_it_open_see_each_other(address: str) -> None:
    """Each catches up with what the other kept before it judges or answers."""
    with (
        Ledger.open(address, manner=manner()) as one,
        Ledger.open(address, manner=manner()) as other,
    ):
        one.append([entry("a", arrival("11"))])
        assert other.standing() == fold([arrival("11")])
        assert outcomes(other.append([entry("b", Admitted(MORNING, "11"))])) == [KEPT]
        assert outcomes(one.append([entry("c", Admitted(MORNING, "11"))])) == [REFUSED]
        assert one.standing() == other.standing()
