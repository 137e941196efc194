"""A told works held to the door: who lifts is alone on it, and nothing past its life goes on."""

from collections import Counter, defaultdict
from functools import cache

import pytest

from pacewright.base.progress import silent
from pacewright.control.door import door_of
from pacewright.events.fold import take
from pacewright.events.stages import StageFinished, WorkEnded, WorkStarted
from pacewright.events.standing import Standing
from pacewright.events.things import Event
from pacewright.events.units import AgeTold, Fitted, Purchased, Scrapped
from pacewright.fleet.months import add_months
from pacewright.office.example_story import Story, story_of
from pacewright.simulate.told import told

WORKS = {"trolleybus": 100, "tramway": 80}


@cache
def story(kind: str) -> tuple[Story, tuple[Event, ...]]:
    """Nine months of a small works."""
    one = story_of(kind, WORKS[kind], 4, 9, silent)
    return one, tuple(told(one.table, one.run, one.before))


@pytest.mark.parametrize("kind", WORKS)
def test_the_door_takes_every_event_of_a_run(kind: str) -> None:
    """With lifted vehicles and limited lives the told run breaks no rule of the record."""
    one, events = story(kind)
    door, now = door_of(one.before), Standing()
    for event in events:
        assert door(now, event) == (), str(event)
        take(now, event)
    assert now.events == len(events)


@pytest.mark.parametrize("kind", WORKS)
def test_who_lifts_is_alone_and_says_with_what(kind: str) -> None:
    """Counted from the events alone: nobody is at work on a piece while it is lifted."""
    one, events = story(kind)
    moving = {o.operation_id: o for o in one.before.operations if o.moves_vehicle}
    assert len(moving) >= 3
    at_work: dict[object, dict[str, str]] = defaultdict(dict)
    lifted: Counter[str] = Counter()
    for event in events:
        if isinstance(event, WorkStarted):
            busy = at_work[event.piece]
            if event.operation_id in moving:
                assert not busy
                lifted[event.operation_id] += 1
            assert not set(busy.values()) & set(moving)
            busy[event.trade_id] = event.operation_id
        elif isinstance(event, WorkEnded):
            assert event.man_hours is not None, "learning needs every time"
            del at_work[event.piece][event.trade_id]
        elif isinstance(event, StageFinished):
            assert not at_work[event.piece]
    assert set(lifted) == set(moving)


@pytest.mark.parametrize("kind", WORKS)
def test_life_limited_units_are_changed_when_their_life_has_run_out(kind: str) -> None:
    """What is fitted is within its life by plate; some are scrapped for a life that is over."""
    one, events = story(kind)
    life = {k.unit_kind_id: k.life_months for k in one.before.unit_kinds if k.life_months}
    made = {}
    ended = 0
    for event in events:
        if isinstance(event, Purchased):
            made[event.unit] = event.at.date()
        elif isinstance(event, AgeTold):
            assert event.made_on is not None
            made[event.unit] = event.made_on
        elif isinstance(event, Fitted) and event.unit.unit_kind_id in life:
            last = add_months(made[event.unit], life[event.unit.unit_kind_id])
            assert event.at.date() <= last
        elif isinstance(event, Scrapped) and "life" in event.reason:
            last = add_months(made[event.unit], life[event.unit.unit_kind_id])
            assert event.at.date() > last
            ended += 1
    assert ended > 0
