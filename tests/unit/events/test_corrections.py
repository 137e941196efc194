"""Corrections: the record as it should have been written."""

from dataclasses import replace

import pytest

from events_story import MOTOR, START, Story, vehicle
from pacewright.events.corrections import (
    StrangeCorrectionError,
    fold_record,
    mended,
    why_not_correct,
)
from pacewright.events.fold import ImpossibleEventError, fold
from pacewright.events.gate import Admitted, Arrived, Released
from pacewright.events.record import Corrected, Recorded
from pacewright.events.stages import Moved, WorkStarted
from pacewright.events.standing import Standing
from pacewright.events.things import Condition, Event, Unit
from pacewright.events.units import Fitted, Purchased, Reconditioned, Removed, Scrapped
from pacewright.events.written import write_event


def recorded(*events: Event) -> list[Recorded]:
    """Events as a record keeps them, with ids e1, e2, ..."""
    return [Recorded(f"e{number}", event) for number, event in enumerate(events, start=1)]


def correction(mends: str, *instead: Event) -> Corrected:
    """A correcting event."""
    return Corrected(
        START.replace(hour=20), mends, tuple(write_event(one) for one in instead), "wrong serial"
    )


@pytest.fixture
def record() -> list[Recorded]:
    """e1 arrived, e2 admitted, e3 moved, e4 a motor off, e5 a new one in, e6 it is fitted."""
    story = Story()
    story.let_in("11")
    story.fit_new("11", "M-9")
    return recorded(*story.told)


def test_an_event_is_voided_or_replaced_in_its_place(record: list[Recorded]) -> None:
    """The standing is that of a record written right from the start."""
    wrong = record[5].event
    void = [*record, Recorded("c1", correction("e6"))]
    assert list(mended(void)) == [one.event for one in record[:5]]
    assert fold_record(void) == fold([one.event for one in record[:5]])
    assert fold_record(void).whole("11").owed == {"motor": 1}
    moved = Moved(record[2].event.at, vehicle("11"), "strip", 7)
    other = [*record, Recorded("c1", correction("e3", moved))]
    assert fold_record(other).whole("11").position == 7
    assert fold_record(other).units == fold_record(record).units
    assert wrong in list(mended(other))


def test_a_forgotten_event_goes_beside_the_one_mended(record: list[Recorded]) -> None:
    """Two events in place of one: the second removal is in time order although recorded last."""
    first = record[3].event
    second = Removed(first.at, Unit("motor", "M-8"), vehicle("11"))
    mended_record = [*record, Recorded("c1", correction("e4", first, second))]
    now = fold_record(mended_record)
    assert now.whole("11").owed == {"motor": 1}
    assert now.units[Unit("motor", "M-8")].condition is Condition.UNSERVICEABLE


def test_a_voided_correction_brings_the_event_back(record: list[Recorded]) -> None:
    """Correction of a correction, to any depth: the last word counts."""
    voided = [*record, Recorded("c1", correction("e6"))]
    back = [*voided, Recorded("c2", correction("c1"))]
    again = [*back, Recorded("c3", correction("c2"))]
    assert fold_record(back) == fold_record(record)
    assert fold_record(again) == fold_record(voided)
    anew = [*back, Recorded("c4", correction("e6"))]
    assert fold_record(anew) == fold_record(voided)


def test_a_correction_that_makes_later_events_impossible_is_refused(
    record: list[Recorded],
) -> None:
    """Voiding the admission or the purchase leaves what followed without ground; it says what."""
    reason = why_not_correct(record, Recorded("c1", correction("e2")))
    assert reason is not None
    assert "event 2 is impossible" in reason
    assert "it is at gate" in reason
    reason = why_not_correct(record, Recorded("c1", correction("e5")))
    assert reason is not None
    assert "does not know it" in reason
    with pytest.raises(ImpossibleEventError):
        fold_record([*record, Recorded("c1", correction("e5"))])


def test_a_correction_names_one_event_and_holds_events_only(record: list[Recorded]) -> None:
    """Unknown ids, a second correction, content in a voiding and nested corrections are refused."""
    good = Recorded("c1", correction("e6"))
    assert why_not_correct(record, good) is None
    cases = [
        (record, correction("e9"), "no such event"),
        ([*record, good], correction("e6"), "c1 mends it already"),
        ([*record, good], correction("c1", record[5].event), "can only be voided"),
        (record, correction("e6", correction("e5")), "a correction in its place"),
        (record, replace(correction("e6"), instead=({"kind": "moved"},)), "Versions 1 to 1"),
    ]
    for kept, wrong, told in cases:
        reason = why_not_correct(kept, Recorded("c9", wrong))
        assert reason is not None
        assert told in reason
    assert why_not_correct([*record, good], Recorded("c2", correction("c1"))) is None


def test_a_correction_is_judged_from_a_later_standing_too(record: list[Recorded]) -> None:
    """With the standing before the tail, only the tail is folded, to the same end."""
    before = fold([one.event for one in record[:3]])
    tail = record[3:]
    assert why_not_correct(tail, Recorded("c1", correction("e6")), before) is None
    reason = why_not_correct(tail, Recorded("c1", correction("e5")), before)
    assert reason is not None
    assert "event 5 is impossible" in reason
    with pytest.raises(StrangeCorrectionError, match="e2"):
        fold_record([*tail, Recorded("c1", correction("e2"))], before)
    whole = fold_record([*record, Recorded("c1", correction("e6"))])
    assert fold_record([*tail, Recorded("c1", correction("e6"))], before) == whole


def test_a_correction_without_its_record_is_refused_and_other_events_are_no_concern(
    record: list[Recorded],
) -> None:
    """Folding a bare correction would silently lose it, so it is refused."""
    with pytest.raises(ImpossibleEventError, match="together with the record"):
        fold([correction("e6")])
    assert fold([correction("e6")], trusted=True) == replace(Standing(), events=1)
    assert why_not_correct(record, record[0]) is None


def test_a_wrong_serial_found_a_week_later_is_mended() -> None:
    """The clerk scrapped M-1 where it was M-2; mended, the good motor can be fitted."""
    story = Story()
    story.let_in("11")
    other = Unit("motor", "M-2")
    story.tell(Removed, MOTOR, vehicle("11"))
    story.tell(Removed, other, vehicle("11"))
    story.tell(Scrapped, MOTOR, "cracked")
    record = recorded(*story.told)
    scrapped = record[-1].event
    right = Scrapped(scrapped.at, other, "cracked")
    mend = Recorded("c1", correction("e6", right))
    assert why_not_correct(record, mend) is None
    now = fold_record([*record, mend])
    good = [Reconditioned(story.at(), MOTOR), Fitted(story.at(), MOTOR, vehicle("11"))]
    later = fold(good, now)
    assert later.units[other].condition is Condition.SCRAPPED
    assert later.units[MOTOR].onto == vehicle("11")


def test_kinds_used_here_are_checked_like_any_other() -> None:
    """A record that is impossible by itself is refused at the event at fault."""
    wrong = recorded(
        Arrived(START, "11", "T1"),
        Admitted(START, "11"),
        WorkStarted(START, vehicle("11"), "strip", "fitter"),
        Released(START, "11", "I. I."),
        Purchased(START, MOTOR, "store"),
    )
    with pytest.raises(ImpossibleEventError, match="it stands at no stage") as caught:
        fold_record(wrong)
    assert caught.value.place == 2
