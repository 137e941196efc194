"""Slips: what is written late, twice, wrongly and mended, and in which order."""

from collections import Counter, defaultdict
from datetime import datetime, timedelta
from functools import cache

from pacewright.events.fold import refusals, take
from pacewright.events.record import Attended, Corrected
from pacewright.events.stages import Moved, StageFinished, WorkEnded
from pacewright.events.standing import Standing
from pacewright.events.things import Event, Overridable, Piece, Unit
from pacewright.events.units import Fitted, Issued, Purchased, Received, UnitEvent
from pacewright.events.written import read_event
from pacewright.invent.slips import Dirt, Meant, Slip, slips
from pacewright.invent.works import invented_works
from pacewright.works import Works

START = datetime(2026, 3, 2, 8)
CLEAN = Dirt(0, 0, 0, 0, 0)


@cache
def works() -> Works:
    """A works for its route."""
    return invented_works("trolleybus", 40, 1)


def minutes(count: int) -> list[datetime]:
    """Moments one minute apart."""
    return [START + timedelta(minutes=n) for n in range(count)]


def written(events: list[Event], dirt: Dirt, seed: int = 1) -> list[Slip]:
    """The slips."""
    return list(slips(events, works(), seed, dirt))


def purchases(count: int) -> list[Event]:
    """Units come in and are moved to a store, unit after unit."""
    found: list[Event] = []
    for n, at in enumerate(minutes(count)):
        unit = Unit("wheel", f"W-{n}")
        found += [Purchased(at, unit, "store"), Received(at, unit, "rack")]
    return found


def test_without_dirt_the_slips_are_the_events() -> None:
    """Each event once, in order, written when it happened, with an id of its own."""
    events = purchases(50)
    found = written(events, CLEAN)
    assert [one.event for one in found] == events
    assert all(one.written_at == one.event.at for one in found)
    assert len({one.event_id for one in found}) == len(events)


def test_late_slips_keep_the_order_of_one_thing() -> None:
    """Hours later, but what is told of one unit in the order in which it happened."""
    events = purchases(400)
    found = written(events, Dirt(0.3, 0, 0, 0, 0))
    assert Counter(one.event for one in found) == Counter(events)
    late = [one for one in found if one.written_at > one.event.at]
    assert len(late) > 60
    of_unit: dict[Unit, list[Event]] = defaultdict(list)
    for one in found:
        assert isinstance(one.event, UnitEvent)
        of_unit[one.event.unit].append(one.event)
    assert all(
        [type(event) for event in some] == [Purchased, Received] for some in of_unit.values()
    )
    moments = [one.written_at for one in found]
    assert moments == sorted(moments)


def test_next_event_of_a_unit_calls_up_what_is_late() -> None:
    """A receipt not written yet is written before the unit's next event."""
    unit = Unit("wheel", "W-1")
    events: list[Event] = [
        Received(START, unit, "rack"),
        Issued(START + timedelta(minutes=1), unit, Piece("chassis", "C-1")),
    ]
    assert [one.event for one in written(events, Dirt(1, 0, 0, 0, 0))] == events


def test_wrong_serials_are_refused_by_a_record_that_knows_the_right_ones() -> None:
    """The wrong slip stands before the right one, and the fold refuses it."""
    events: list[Event] = [
        Issued(at, Unit("wheel", f"W-{n}"), Piece("chassis", f"C-{n}"))
        for n, at in enumerate(minutes(30))
    ]
    found = written(events, Dirt(0, 1, 0, 0, 0))
    wrong = [one for one in found if one.meant is Meant.REFUSED]
    assert [one.event for one in found if one.meant is Meant.KEPT] == events
    assert len(wrong) == len(events)
    now = Standing()
    for n, at in enumerate(minutes(30)):
        take(now, Purchased(at, Unit("wheel", f"W-{n}"), "store"))
    assert all(refusals(now, one.event) for one in wrong)


def test_double_sends_are_the_same_slip() -> None:
    """Same id, same event, meant to be known already."""
    found = written(purchases(20), Dirt(0, 0, 1, 0, 0))
    first, second = found[0::2], found[1::2]
    assert [(one.event_id, one.event) for one in first] == [
        (one.event_id, one.event) for one in second
    ]
    assert all(one.meant is Meant.KNOWN for one in second)


def test_corrections_put_the_truth_in_place() -> None:
    """Ten times the hours is mended to the hours, a little later, and not more often than asked."""
    piece = Piece("body", "B-1")
    events: list[Event] = [WorkEnded(at, piece, "frame", "bodybuilder", 3.5) for at in minutes(600)]
    found = written(events, Dirt(0, 0, 0, 1, 0, most_mended=5))
    mends = [one.event for one in found if isinstance(one.event, Corrected)]
    assert len(mends) == 5
    by_id = {one.event_id: one.event for one in found}
    for one in mends:
        mistaken = by_id[one.mends]
        assert isinstance(mistaken, WorkEnded)
        assert mistaken.man_hours == 35.0
        (truth,) = (read_event(body) for body in one.instead)
        assert truth in events
        assert one.at > mistaken.at or one.at == events[-1].at


def test_unfinished_stage_is_overridden_at_the_next_step() -> None:
    """Only ends of stages are left out that one stage of the same assembly follows, alone."""
    piece = Piece("body", "B-1")
    events: list[Event] = [
        StageFinished(START, piece, "blast"),
        Moved(START + timedelta(hours=1), piece, "frame", 1),
        StageFinished(START + timedelta(hours=2), piece, "frame"),
        Moved(START + timedelta(hours=3), piece, "panels", 1),
        StageFinished(START + timedelta(hours=4), piece, "looms"),
    ]
    found = [one.event for one in written(events, Dirt(0, 0, 0, 0, 1))]
    # After blasting comes the frame alone; the frame is followed by two, looms end in marriage.
    assert [type(one).__name__ for one in found] == [
        "Overridden",
        "Moved",
        "StageFinished",
        "Moved",
        "StageFinished",
    ]
    assert getattr(found[0], "rule") is Overridable.ROUTE  # noqa: B009


def test_writers_are_roles_with_numbers() -> None:
    """Who writes hangs on what and when; nobody is named."""
    events: list[Event] = [
        Attended(START, "body", "bodybuilder", START.date(), 4, 30.0),
        Fitted(START, Unit("wheel", "W-1"), Piece("chassis", "C-1")),
    ]
    roles = [one.recorded_by.rsplit(" ", 1) for one in written(events, CLEAN)]
    assert [role for role, _ in roles] == ["timekeeper", "storekeeper"]
    assert all(number.isdigit() for _, number in roles)


def test_same_seed_same_slips() -> None:
    """Twice the same; another seed errs elsewhere."""
    events = purchases(200)
    dirt = Dirt(0.2, 0.1, 0.1, 0, 0)
    assert written(events, dirt) == written(events, dirt)
    assert written(events, dirt) != written(events, dirt, seed=2)
