"""What takes seconds is made in another process, by the same tables, record and time."""

import os
import signal
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from made_apart import always_ends, ends_itself, refuses, where
from pacewright.events.record import Attended
from pacewright.office.backroom import BackRoom
from pacewright.office.desk import Desk, Tables
from pacewright.office.errors import CallError, NoPlanError
from pacewright.office.sheets import today_paper
from pacewright.office.sheets.today_paper import day_paper, plan_job
from planner_desk import NOW, story_desk
from record_entries import entries


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The small works with its story and a back room."""
    one = story_desk(tmp_path_factory.mktemp("backroom"), roles=())
    one.elsewhere = BackRoom(one.path)
    yield one
    one.close()


def test_it_is_made_in_another_process_by_the_time_of_this_one(desk: Desk) -> None:
    """Another process, the same works, the same works time."""
    pid, now, name = desk.apart(where)
    assert pid != os.getpid()
    assert (now, name) == (NOW, desk.works.settings.name)


def test_what_goes_wrong_there_is_told_here(desk: Desk) -> None:
    """The same error; one that cannot be sent keeps what it says."""
    with pytest.raises(NoPlanError, match="nobody works"):
        desk.apart(refuses, "no plan")
    with pytest.raises(RuntimeError, match="OddError: 1 and 2"):
        desk.apart(refuses, "odd")


def test_other_tables_hold_there_too(desk: Desk) -> None:
    """Tables taken here are taken there before the next thing is made."""
    old = desk.tables
    works = replace(old.works, settings=replace(old.works.settings, name="Renamed works"))
    desk.take(Tables(works, old.notes, old.state))
    assert desk.apart(where)[2] == "Renamed works"
    desk.take(old)
    assert desk.apart(where)[2] == old.works.settings.name


def test_the_day_is_the_same_wherever_it_is_made(desk: Desk, tmp_path: Path) -> None:
    """Today, people and places agree with those made in the process of the pages."""
    beside = story_desk(tmp_path, roles=())
    made = {}
    for name, one in (("there", desk), ("here", beside)):
        assert plan_job(one, 60).there()
        made[name] = day_paper(one)
    there, here = made["there"], made["here"]
    assert there.place == here.place == desk.ledger.head().place
    assert there.standing == here.standing == desk.ledger.standing()
    assert (there.people, there.places) == (here.people, here.places)
    assert there.today.short == here.today.short
    assert there.today.sheets == here.today.sheets
    beside.close()


def test_what_is_booked_here_is_known_there(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """The next day made knows the event that was just answered for."""
    monkeypatch.setattr(today_paper, "WAIT_SECONDS", 60.0)
    place = day_paper(desk).place
    desk.book(entries([Attended(NOW, "elec", "elec", NOW.date(), 2.0, 16.0)], start=910))
    assert day_paper(desk).place == place + 1


def test_a_process_that_is_killed_is_begun_anew(desk: Desk, tmp_path: Path) -> None:
    """Once; when it ends again it is said so, and the next thing is made all the same."""
    assert desk.apart(ends_itself, tmp_path / "mark") == "made"
    with pytest.raises(CallError, match="ended twice"):
        desk.apart(always_ends)
    assert desk.apart(where)[0] != os.getpid()


def test_a_process_killed_before_other_tables_came_is_begun_anew(desk: Desk) -> None:
    """Killed while it had nothing to do, then other tables hold: made all the same, by those."""
    old = desk.tables
    os.kill(desk.apart(where)[0], signal.SIGKILL)
    works = replace(old.works, settings=replace(old.works.settings, name="Renamed works"))
    desk.take(Tables(works, old.notes, old.state))
    assert desk.apart(where)[2] == "Renamed works"
    desk.take(old)


def test_it_ends_with_the_server(tmp_path: Path) -> None:
    """Closed with its desk, nothing is left running; whoever asks then is told."""
    one = story_desk(tmp_path, roles=())
    room: Any = BackRoom(one.path)
    one.elsewhere = room
    pid = one.apart(where)[0]
    one.close()
    until = time.monotonic() + 10
    while _runs(pid) and time.monotonic() < until:
        time.sleep(0.05)
    assert not _runs(pid)
    with pytest.raises(CallError, match="being stopped"):
        room.make(one, where, ())


def _runs(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True
