"""Photos of a record: kept once, named by events, never changed, carried along; on both."""

from contextlib import closing
from hashlib import sha256
from pathlib import Path

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from pacewright.events.stages import Found
from pacewright.events.things import Verdict
from pacewright.events.units import UnitFound
from pacewright.ledger.backup import backup, restore
from pacewright.ledger.database import Database
from pacewright.ledger.entry import Answer, Outcome
from pacewright.ledger.errors import RecordError
from pacewright.ledger.store import Ledger
from postgresql_server import Server
from record_entries import correction, entries, entry, manner, story
from small_photos import JPEG, png

NAME = sha256(JPEG).hexdigest()
WITHOUT = sha256(b"not sent").hexdigest()


def found(photo: str) -> Found:
    """A finding on a vehicle of the story, with a photo."""
    told = story()
    piece = next(one.piece for one in told.now.pieces.values() if one.stands)
    return Found(told.at(), piece, "weld", Verdict.REPAIR, photo=photo)


def fill(address: str) -> None:
    """A story, a finding with a photo, and a photo that nothing came of."""
    with Ledger.open(address, manner=manner(snapshot_every=4)) as ledger:
        ledger.append(entries(story().told))
        ledger.keep_photo(JPEG)
        (answer,) = ledger.append([entry("seen", found(NAME))])
        assert answer.outcome is Outcome.KEPT, answer.reasons
        ledger.keep_photo(png())


def behind_its_back(address: str, statement: str, *, unguarded: bool = False) -> None:
    """Do something to the database by itself."""
    database = Database(address, read_only=False, patience_seconds=5.0)
    with closing(database), database.engine.connect() as link:
        if unguarded and database.path:
            link.execute(text("DROP TRIGGER photos_update"))
            link.execute(text("DROP TRIGGER photos_delete"))
        elif unguarded:
            link.execute(text("SET session_replication_role = replica"))
        link.execute(text(statement))
        link.commit()


def faults(address: str) -> list[tuple[int, str]]:
    """What going through it tells of photos."""
    with Ledger.open(address, read_only=True) as ledger:
        told = ledger.verify().faults
    return [(one.place, one.found) for one in told if "not defined" not in one.found]


def test_a_photo_is_kept_once_and_read_back(address: str) -> None:
    """Its name is its SHA-256; sent again it is the same photo; one never sent is none."""
    with Ledger.open(address, manner=manner()) as ledger:
        assert ledger.keep_photo(JPEG) == NAME == ledger.keep_photo(JPEG)
        assert ledger.photo(NAME) == JPEG
        assert ledger.photo(WITHOUT) is None
    with Ledger.open(address, read_only=True) as reader:
        assert reader.photo(NAME) == JPEG
        with pytest.raises(RecordError, match="reading only"):
            reader.keep_photo(JPEG)


def reasons(answer: Answer) -> str:
    """Why it was refused."""
    assert answer.outcome is Outcome.REFUSED
    return " ".join(answer.reasons)


def test_an_event_names_only_a_photo_that_is_kept(address: str) -> None:
    """Whether of a piece or of a unit, at once or in a correction."""
    fill(address)
    unit = next(iter(story().now.units))
    with Ledger.open(address, manner=manner()) as ledger:
        at = story().at()
        of_unit = UnitFound(at, unit, "shaft", Verdict.REPAIR, photo=WITHOUT)
        answers = ledger.append(
            [
                entry("a", found(WITHOUT)),
                entry("b", of_unit),
                entry("c", correction("seen", found(WITHOUT))),
            ]
        )
        assert all("Send the photo first" in reasons(one) for one in answers)
        (mended,) = ledger.append(
            [entry("d", correction("seen", found(sha256(png()).hexdigest())))]
        )
        assert mended.outcome is Outcome.KEPT, mended.reasons
        assert ledger.verify().sound


def test_a_sound_record_tells_of_photos_that_nothing_came_of(address: str) -> None:
    """They are no fault, and are counted."""
    fill(address)
    with Ledger.open(address, read_only=True) as ledger:
        told = ledger.verify()
    assert told.sound
    assert any("1 photo(s) named by no event" in note for note in told.notes)


def test_a_changed_photo_is_found(address: str) -> None:
    """Whatever is changed in it, at the place of the event that names it."""
    fill(address)
    change = (
        f"UPDATE photos SET content = (SELECT min(content) FROM photos WHERE digest <> '{NAME}')"
    )
    if "://" in address:
        change = "UPDATE photos SET content = set_byte(content, 30, 7)"
    behind_its_back(address, f"{change} WHERE digest = '{NAME}'", unguarded=True)
    (fault,) = faults(address)
    assert fault == (len(story().told) + 1, f"photo {NAME[:12]}... is not as it was kept")


def test_a_missing_photo_is_found(address: str) -> None:
    """At the place of the event that names it."""
    fill(address)
    behind_its_back(address, f"DELETE FROM photos WHERE digest = '{NAME}'", unguarded=True)
    (fault,) = faults(address)
    assert fault == (len(story().told) + 1, f"photo {NAME[:12]}..., which it names, is missing")


def test_the_database_refuses_to_change_a_photo(address: str) -> None:
    """By each way of direct SQL; a guard taken away is told of."""
    fill(address)
    ways = ["UPDATE photos SET content = content", "DELETE FROM photos"]
    ways.append("TRUNCATE photos" if "://" in address else "")
    if "://" not in address:
        ways[-1] = "INSERT OR REPLACE INTO photos SELECT digest, x'00' FROM photos"
    for one in ways:
        with pytest.raises(DBAPIError, match="for good"):
            behind_its_back(address, one)
    assert faults(address) == []
    on = ("photos_kept", " ON photos") if "://" in address else ("photos_once", "")
    behind_its_back(address, f"DROP TRIGGER {on[0]}{on[1]}")
    with Ledger.open(address, read_only=True) as ledger:
        assert any(on[0] in one.found for one in ledger.verify().faults)


@pytest.mark.parametrize("target", ["sqlite", "postgresql"])
def test_backup_and_restore_carry_photos_to_either_database(
    address: str, target: str, tmp_path: Path, server: Server
) -> None:
    """Photo and finding are there again, and the copy is gone through."""
    fill(address)
    kept = tmp_path / "backup.sqlite"
    assert backup(address, kept).sound
    other = str(tmp_path / "restored.sqlite")
    if target == "postgresql":
        other = server.new_schema(f"photos_{abs(hash(address))}")
    assert restore(kept, other).sound
    with Ledger.open(other, read_only=True) as ledger:
        assert ledger.photo(NAME) == JPEG
        assert ledger.photo(sha256(png()).hexdigest()) == png()


def test_a_backup_of_an_unsound_record_is_not_kept(address: str, tmp_path: Path) -> None:
    """A photo that is missing stops it."""
    fill(address)
    behind_its_back(address, f"DELETE FROM photos WHERE digest = '{NAME}'", unguarded=True)
    with pytest.raises(RecordError, match="is missing"):
        backup(address, tmp_path / "backup.sqlite")
    assert not list(tmp_path.glob("backup*"))


def as_before_photos(address: str) -> None:
    """A record of the first version of the tables."""
    with Ledger.open(address, manner=manner()) as ledger:
        ledger.append(entries(story().told))
    behind_its_back(address, "DROP TABLE photos")
    behind_its_back(address, "UPDATE record_version SET version_num = '0001'")


def test_a_record_from_before_photos_is_brought_up(address: str) -> None:
    """Opened for writing it takes photos; nothing of it is lost."""
    as_before_photos(address)
    with pytest.raises(RecordError, match="Open it once for writing"):
        Ledger.open(address, read_only=True)
    with Ledger.open(address, manner=manner()) as ledger:
        assert len(list(ledger.entries())) == len(story().told)
        ledger.keep_photo(JPEG)
        assert ledger.verify().sound


@pytest.mark.parametrize("target", ["sqlite", "postgresql"])
def test_a_backup_from_before_photos_restores(
    address: str, target: str, tmp_path: Path, server: Server
) -> None:
    """An old record is copied, and an old backup put back, without opening it for writing."""
    as_before_photos(address)
    kept = tmp_path / "backup.sqlite"
    assert backup(address, kept).sound
    if "://" not in address:
        kept = Path(address)
    other = str(tmp_path / "restored.sqlite")
    if target == "postgresql":
        other = server.new_schema(f"before_{abs(hash(address))}")
    assert restore(kept, other).sound
    with Ledger.open(other, manner=manner()) as ledger:
        assert len(list(ledger.entries())) == len(story().told)
        assert ledger.photo(NAME) is None
