"""A record is copied while it is in use, and restored to either database; on both."""

import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from pacewright.ledger.backup import backup, restore
from pacewright.ledger.errors import RecordError
from pacewright.ledger.store import Ledger
from postgresql_server import Server
from record_entries import arrival, correction, entries, entry, manner, story


def fill(address: str) -> None:
    """A story, a correction and snapshots."""
    with Ledger.open(address, manner=manner(snapshot_every=4)) as ledger:
        for one in entries(story().told):
            ledger.append([one])
        ledger.append([entry("x", correction("e12"))])


def whole(address: str) -> tuple[object, ...]:
    """All that a record keeps and says."""
    with Ledger.open(address, create=False, read_only=True) as ledger:
        assert ledger.verify().sound
        return list(ledger.entries()), ledger.standing(), ledger.head()


@pytest.mark.parametrize("target", ["sqlite", "postgresql"])
def test_a_backup_restores_to_either_database(
    address: str, target: str, tmp_path: Path, server: Server
) -> None:
    """Every entry, its digest and recorded time, and the standing are the same; it goes on."""
    fill(address)
    kept = tmp_path / "backup.sqlite"
    found = backup(address, kept)
    assert found.sound
    assert found.head.place == 13
    assert [one.name for one in tmp_path.glob("backup*")] == ["backup.sqlite"]
    other = str(tmp_path / "restored.sqlite")
    if target == "postgresql":
        other = server.new_schema(f"restored_{abs(hash(address))}")
    assert restore(kept, other).head == found.head
    assert whole(other) == whole(address) == whole(str(kept))
    with Ledger.open(other, manner=manner()) as ledger:
        assert ledger.append([entry("new", arrival("77"))])[0].place == 14
        assert ledger.verify().sound


def test_a_backup_of_a_record_in_use_is_whole(address: str, tmp_path: Path) -> None:
    """Writers go on meanwhile; each copy is a sound beginning of the record."""
    Ledger.open(address, manner=manner()).close()
    stop = threading.Event()

    def write() -> None:
        with Ledger.open(address, manner=manner()) as ledger:
            number = 0
            while not stop.is_set():
                number += 1
                ledger.append([entry(f"e{number}", arrival(number))])

    writer = threading.Thread(target=write)
    writer.start()
    try:
        heads = [backup(address, tmp_path / f"copy-{n}.sqlite").head for n in range(4)]
    finally:
        stop.set()
        writer.join()
    assert heads[-1].place > heads[0].place
    with Ledger.open(address, manner=manner()) as ledger:
        assert all(ledger.verify(noted=one).sound for one in heads)


def test_nothing_is_written_over(
    address: str, new_address: Callable[[], str], tmp_path: Path
) -> None:
    """A file that exists is no place for a backup, a record no place for a restore."""
    fill(address)
    kept = tmp_path / "backup.sqlite"
    backup(address, kept)
    before = kept.read_bytes()
    with pytest.raises(RecordError, match="never written over"):
        backup(address, kept)
    with pytest.raises(RecordError, match="never written over"):
        restore(kept, address)
    assert kept.read_bytes() == before
    other = new_address()
    restore(kept, other)
    with pytest.raises(RecordError, match="never written over"):
        restore(kept, other)


def test_what_is_not_sound_is_not_restored(
    new_address: Callable[[], str], tmp_path: Path, address: str
) -> None:
    """A damaged backup is refused with its faults, and leaves nothing behind."""
    fill(address)
    kept = tmp_path / "backup.sqlite"
    backup(address, kept)
    at = kept.read_bytes().index(b"M-11")
    with kept.open("r+b") as file:
        file.seek(at)
        file.write(b"M-99")
    other = new_address()
    with pytest.raises(RecordError, match="not sound"):
        restore(kept, other)
    with Ledger.open(other) as ledger:
        assert ledger.head().place == 0


@pytest.mark.parametrize("where", ["nowhere/backup.sqlite", "."])
def test_a_backup_that_cannot_be_written_says_so(address: str, tmp_path: Path, where: str) -> None:
    """No such folder, or a folder in place of a file: a clear word, nothing left behind."""
    fill(address)
    with pytest.raises(RecordError, match=r"cannot be opened|never written over"):
        backup(address, tmp_path / where)
    assert not list(tmp_path.rglob("*.part*"))


def test_no_record_no_backup(tmp_path: Path) -> None:
    """What is not there is not backed up; what is no record is not restored."""
    with pytest.raises(RecordError, match="there is no record"):
        backup(tmp_path / "record.sqlite", tmp_path / "backup.sqlite")
    (tmp_path / "text").write_text("no database " * 100)
    with pytest.raises(RecordError, match="it is no record"):
        restore(tmp_path / "text", tmp_path / "record.sqlite")
    assert [one.name for one in tmp_path.iterdir()] == ["text"]
