"""Going through the record finds whatever is not as it was kept; on both databases."""

import random
import shutil
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import NullPool

from pacewright.ledger.entry import Head
from pacewright.ledger.store import Ledger
from pacewright.ledger.verified import Verified
from record_entries import Clock, arrival, correction, entries, entry, manner, story


@dataclass
class Filled:
    """A record with a story, a correction, a late clock and snapshots."""

    address: str

    def sql(self, *statements: str) -> None:
        """Do something behind the record's back, its guards set aside where they can be."""
        url = self.address if "://" in self.address else f"sqlite:///{self.address}"
        engine = create_engine(url, poolclass=NullPool)
        with engine.begin() as link:
            for one in statements:
                link.execute(text(one))

    def unguarded(self, *statements: str) -> None:
        """The same with triggers off."""
        if "://" in self.address:
            self.sql("SET session_replication_role = replica", *statements)
            return
        made = "SELECT sql FROM sqlite_master WHERE type = 'trigger' ORDER BY name"
        engine = create_engine(f"sqlite:///{self.address}", poolclass=NullPool)
        with engine.begin() as link:
            triggers = list(link.execute(text(made)).scalars())
            for one in triggers:
                link.execute(text(f"DROP TRIGGER {one.split()[2]}"))
            for one in statements:
                link.execute(text(one))
            for one in triggers:
                link.exec_driver_sql(one)

    def verify(self, noted: Head | None = None) -> Verified:
        """Go through it."""
        with Ledger.open(self.address, read_only=True) as ledger:
            return ledger.verify(noted=noted)


def fill(address: str) -> None:
    """Make it."""
    clock = Clock()
    with Ledger.open(address, manner=manner(clock, snapshot_every=4)) as ledger:
        told = entries(story().told)
        for start in range(0, len(told), 3):
            ledger.append(told[start : start + 3])
        ledger.append([entry("x", correction("e12"))])
        clock.tick(-30)
        ledger.append([entry("y", arrival("13"))])


_MADE: dict[str, str] = {}


@pytest.fixture
def filled(
    database: str, address: str, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> Filled:
    """A record that is sound."""
    if database == "postgresql":
        fill(address)
        return Filled(address)
    if not _MADE:
        _MADE[database] = str(tmp_path_factory.mktemp("verify") / "record.sqlite")
        fill(_MADE[database])
    return Filled(str(shutil.copy(_MADE[database], tmp_path)))


def test_a_sound_record_verifies(filled: Filled) -> None:
    """No fault is found; the set-back clock is told as a note."""
    found = filled.verify()
    assert found.faults == ()
    assert found.sound
    assert found.head.place == 14
    assert found.snapshots >= 2
    assert found.notes == (
        "place 14: the clock of its writer lay 1800 s behind; it has the recorded time of the "
        "event before it.",
    )


def test_an_empty_record_verifies(address: str) -> None:
    """A record without events is sound."""
    with Ledger.open(address, manner=manner()) as ledger:
        assert ledger.verify().sound


COLUMNS = [
    ("event_id", "'e1x'"),
    ("kind", "'admitted'"),
    ("version", "2"),
    ("at", "'2026-03-02 07:02:00'"),
    ("recorded_at", "'2026-06-01 11:00:00'"),
    ("clock_behind_seconds", "1"),
    ("recorded_by", "'clerk 2'"),
    ("device", "'Desk'"),
    ("reference", "''"),
    ("body", "replace(body, '11', '10')"),
]


@pytest.mark.parametrize(("column", "value"), COLUMNS, ids=[one for one, _ in COLUMNS])
def test_a_changed_field_is_found(filled: Filled, column: str, value: str) -> None:
    """Whatever is changed of an event, its digest tells, and where."""
    filled.unguarded(f"UPDATE events SET {column} = {value} WHERE place = 5")
    found = filled.verify()
    assert any(one.place == 5 and "not as it was kept" in one.found for one in found.faults)
    assert all(one.place in (5, 6) or "snapshot" in one.found for one in found.faults)


def test_a_changed_digest_or_link_is_found(filled: Filled) -> None:
    """Changing the digest with the event breaks the link to the next."""
    filled.unguarded("UPDATE events SET digest = before WHERE place = 5")
    assert {one.place for one in filled.verify().faults} >= {5, 6}


def test_an_event_taken_out_of_the_middle_is_found(filled: Filled) -> None:
    """A gap in the places is told, and nothing else can hide it."""
    filled.unguarded("DELETE FROM events WHERE place = 5", "DELETE FROM subjects WHERE place = 5")
    faults = filled.verify().faults
    assert any(one.place == 5 and "missing" in one.found for one in faults)


def test_events_taken_off_the_end_are_found_by_a_noted_head(filled: Filled) -> None:
    """The chain alone cannot know of what came after; a head noted elsewhere can."""
    head = filled.verify().head
    gone = [f"DELETE FROM {table} WHERE place = 14" for table in ("events", "subjects")]
    filled.unguarded(*gone)
    assert filled.verify().sound
    assert [one.place for one in filled.verify(head).faults] == [14]
    other = Head(13, "ab" * 32, None)
    assert "another history" in str(filled.verify(other).faults[0])


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE subjects SET about = 'vehicle:99' WHERE about = 'vehicle:12' AND place = 7",
        "DELETE FROM subjects WHERE about = 'vehicle:12' AND place = 7",
        "INSERT INTO subjects VALUES ('vehicle:99', 7)",
        "INSERT INTO subjects VALUES ('vehicle:99', 70)",
        "INSERT INTO subjects VALUES ('vehicle:99', 0)",
    ],
)
def test_wrong_subjects_are_found(filled: Filled, change: str) -> None:
    """What events are about must be told as they were kept."""
    filled.unguarded(change)
    (fault,) = filled.verify().faults
    assert fault.place in (0, 7, 70)
    assert "about" in fault.found


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE snapshots SET content = seal",
        "UPDATE snapshots SET seal = digest",
        "UPDATE snapshots SET digest = seal",
        "UPDATE snapshots SET latest_at = '2026-03-02 07:00:00'",
        "UPDATE snapshots SET form = 99",
        "UPDATE snapshots SET place = place + 100",
    ],
)
def test_bad_snapshots_are_found_and_never_believed(filled: Filled, change: str) -> None:
    """A damaged snapshot is told of, passed over when the record is opened, and can be dropped."""
    with Ledger.open(filled.address) as ledger:
        right = ledger.standing()
    filled.sql(change)
    faults = filled.verify().faults
    assert bool(faults) == ("form" not in change)
    assert all("snapshot" in one.found.lower() for one in faults)
    with Ledger.open(filled.address) as ledger:
        assert ledger.standing() == right
        ledger.drop_snapshots()
    assert filled.verify().sound


def test_what_the_rules_would_not_have_let_in_is_found(
    address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A record written past the rules, though well chained, is told where it is impossible."""
    monkeypatch.setattr("pacewright.ledger.writing.broken_rules", lambda *_: ())
    with Ledger.open(address, manner=manner()) as ledger:
        ledger.append(entries([arrival("11"), arrival("11", 1)]))
        (fault,) = ledger.verify().faults
    assert fault.place == 2
    assert "event e2 is impossible: vehicle 11: it is at gate" in fault.found


def ways_to_change(postgresql: bool) -> Iterator[str]:
    """Ways to change what is kept, by direct SQL."""
    for table in ("events", "subjects"):
        yield f"UPDATE {table} SET place = place"
        yield f"UPDATE {table} SET place = 99 WHERE place = 3"
        yield f"DELETE FROM {table} WHERE place = 3"
        yield f"DELETE FROM {table}"
        if postgresql:
            yield f"TRUNCATE {table}"
    same = "event_id, kind, version, at, recorded_at, clock_behind_seconds, recorded_by, device"
    same += ", reference, body, before, digest"
    fresh = same.replace("event_id", "'new'", 1)
    into = f"INSERT INTO events (place, {same}) SELECT"
    yield f"{into} 15, {fresh} FROM events WHERE place = 14"
    yield f"{into} 16, {fresh.replace('before', 'digest', 1)} FROM events WHERE place = 14"
    yield f"{into} 14, {fresh} FROM events WHERE place = 14"
    if not postgresql:
        yield f"INSERT OR REPLACE INTO events SELECT place, {same} FROM events WHERE place = 14"
        last = same.replace("before", "digest", 1)
        yield f"INSERT OR REPLACE INTO events SELECT 15, {last} FROM events WHERE place = 14"


def test_direct_sql_cannot_change_what_is_kept(filled: Filled) -> None:
    """The database itself refuses each way to change it; the record is as it was."""
    for statement in ways_to_change("://" in filled.address):
        with pytest.raises(DBAPIError, match=r"for good|follows the last"):
            filled.sql(statement)
    assert filled.verify().sound


def test_missing_triggers_are_found(filled: Filled) -> None:
    """A guard taken away is told of."""
    on = " ON events" if "://" in filled.address else ""
    filled.sql(f"DROP TRIGGER events_follow{on}")
    (fault,) = filled.verify().faults
    assert "events_follow" in fault.found


def test_a_moment_that_only_reads_alike_is_found(tmp_path: Path) -> None:
    """Another byte between day and hour makes the same moment of other bytes: it is told."""
    address = str(tmp_path / "record.sqlite")
    fill(address)
    one = Filled(address)
    one.unguarded("UPDATE events SET recorded_at = replace(recorded_at, ' ', 'T') WHERE place = 3")
    assert [(fault.place, "moment" in fault.found) for fault in one.verify().faults] == [(3, True)]


def test_one_flipped_byte_is_found_wherever_it_matters(tmp_path: Path) -> None:
    """Any byte of the file is flipped: it is told, or it was one that holds nothing."""
    path = tmp_path / "record.sqlite"
    with Ledger.open(path, manner=manner(snapshot_every=20)) as ledger:
        for n in range(0, 60, 3):
            ledger.append(entries([arrival(n + k, n + k) for k in range(3)], n + 1))
        ledger.append([entry("x", correction("e7", arrival("99", 6)))])
        ledger.append([entry("y", correction("e8"))])
        ledger.keep_photo(random.Random(5).randbytes(12_000))
    whole = path.read_bytes()

    def dump(of: Path) -> list[str]:
        with sqlite3.connect(of) as link:
            lines = list(link.iterdump())
        link.close()
        return lines

    right, chance, told = dump(path), random.Random(4), 0
    for _ in range(250):
        changed = bytearray(whole)
        changed[chance.randrange(len(whole))] ^= 1 << chance.randrange(8)
        copy = tmp_path / "changed.sqlite"
        copy.write_bytes(changed)
        try:
            with Ledger.open(copy, read_only=True) as ledger:
                sound = ledger.verify().sound
        except Exception as error:
            assert type(error).__name__ == "RecordError", error
            sound = False
        told += not sound
        assert not sound or dump(copy) == right
    assert told > 100
