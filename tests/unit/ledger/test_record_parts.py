"""Parts of the record by themselves: subjects, chain, spread of snapshots, tables, messages."""

import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import date, datetime
from hashlib import sha256
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import create_engine

from events_story import vehicle
from pacewright.base.faults import CallError
from pacewright.events.gate import Called
from pacewright.events.identity import Married, Renumbered
from pacewright.events.record import Attended
from pacewright.events.registry import KINDS
from pacewright.events.stages import Moved, PutOutOfUse
from pacewright.events.things import Piece, Unit
from pacewright.events.units import Ordered, Reconditioned, Robbed
from pacewright.ledger import tables
from pacewright.ledger.chain import START, Row
from pacewright.ledger.errors import RecordError
from pacewright.ledger.snapshots import spread
from pacewright.ledger.store import Ledger
from pacewright.ledger.subjects import _plan, subjects_of
from record_entries import arrival, correction, entries, manner, story

AT = datetime(2026, 3, 2, 7, 30)
BODY, FRAME, MOTOR = Piece("body", "B-1"), Piece("frame", "F-1"), Unit("motor", "M-7")


@pytest.mark.parametrize(
    ("event", "wanted"),
    [
        (Called(AT, "11", "T1", "east", date(2026, 3, 2)), {"vehicle:11"}),
        (Moved(AT, vehicle("11"), "paint", 2), {"vehicle:11", "place:paint"}),
        (Moved(AT, BODY, "paint", 2), {"body:B-1", "place:paint"}),
        (Married(AT, "11", (BODY, FRAME)), {"vehicle:11", "body:B-1", "frame:F-1"}),
        (Renumbered(AT, "11", BODY, "12"), {"vehicle:11", "vehicle:12", "body:B-1"}),
        (Renumbered(AT, "11", BODY), {"vehicle:11", "body:B-1"}),
        (
            Robbed(AT, MOTOR, vehicle("11"), FRAME, "A", "B"),
            {"motor:M-7", "vehicle:11", "frame:F-1"},
        ),
        (Reconditioned(AT, MOTOR), {"motor:M-7"}),
        (Reconditioned(AT, MOTOR, "motors"), {"motor:M-7", "place:motors"}),
        (Ordered(AT, "motor", 2, date(2026, 5, 4)), {"kind:motor"}),
        (PutOutOfUse(AT, "paint", 1), {"place:paint"}),
        (Attended(AT, "motors", "fitter", date(2026, 3, 2), 3.0, 24.0), {"place:motors"}),
        (correction("e1"), set()),
        (correction("e1", arrival("11"), Moved(AT, BODY, "wash", 1)), {"vehicle:11", "body:B-1"}),
    ],
)
def test_subjects(event: object, wanted: set[str]) -> None:
    """Every vehicle, piece, unit and place an event names, and nothing else."""
    assert subjects_of(event) >= wanted  # type: ignore[arg-type]
    assert {one for one in subjects_of(event) if one != "place:wash"} == wanted  # type: ignore[arg-type]


def test_every_kind_has_a_plan_for_its_subjects() -> None:
    """No kind of event is without a way to be found, but those about the books themselves."""
    bare = {name for name, model in KINDS.items() if not list(_plan(model))}
    assert bare <= {"corrected", "factor_decided"}


def test_the_digest_is_that_of_the_text_as_documented() -> None:
    """SHA-256 over the digest before and the fields, one a line (docs/record.md)."""
    row = Row(7, "ä", "k", 1, AT, AT, 0, "clerk", "desk", "", '{"a":1}', START, b"")
    told = '7\nä\nk\n1\n2026-03-02T07:30:00\n2026-03-02T07:30:00\n0\nclerk\ndesk\n\n{"a":1}'
    assert row.digest_due() == sha256(bytes(32) + told.encode()).digest()
    assert row.sealed().digest == row.digest_due()


@given(st.integers(1, 400), st.integers(1, 50))
def test_snapshots_stay_few_and_spread(count: int, every: int) -> None:
    """However long the record, few stay, and one is not half as far again back as asked."""
    places: list[int] = []
    for number in range(1, count + 1):
        head = number * every
        places = sorted([*spread(places, head, every), head])
    assert len(places) <= 4 * count.bit_length() + 2
    head = count * every
    for back in range(every, head, max(1, head // 40)):
        older = [one for one in places if one <= head - back]
        assert older or back > head - 2 * every
        assert not older or head - older[-1] <= 1.5 * back + 2 * every


def test_the_tables_are_what_the_versions_make(tmp_path: Path) -> None:
    """The tables the code knows are those of a database that was brought up."""
    Ledger.open(tmp_path / "record.sqlite").close()
    engine = create_engine(f"sqlite:///{tmp_path / 'record.sqlite'}")
    with engine.connect() as link:
        context = MigrationContext.configure(link, opts={"version_table": tables.VERSION_TABLE})
        assert compare_metadata(context, tables.METADATA) == []
    engine.dispose()
    script = ScriptDirectory(str(Path(tables.__file__).parent))
    assert script.get_heads() == [tables.VERSIONS[-1]]


def test_the_file_is_written_through_to_the_disk(tmp_path: Path) -> None:
    """Write-ahead log, full synchronisation: what is answered survives a loss of power."""
    with Ledger.open(tmp_path / "record.sqlite") as ledger, ledger._database.writing() as link:
        assert link.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
        assert link.exec_driver_sql("PRAGMA synchronous").scalar() == 2
        assert link.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"


def test_closing_leaves_one_file(tmp_path: Path) -> None:
    """The last to close folds the log into the file."""
    with Ledger.open(tmp_path / "record.sqlite", manner=manner()) as ledger:
        ledger.append(entries(story().told))
    assert [one.name for one in tmp_path.iterdir()] == ["record.sqlite"]
    with closing(sqlite3.connect(tmp_path / "record.sqlite")) as link:
        assert link.execute("SELECT count(*) FROM events").fetchone() == (12,)


def test_errors_of_the_record_are_errors_of_the_call() -> None:
    """Commands and pages tell them like every other wrong call."""
    assert issubclass(RecordError, CallError)


def test_a_path_with_odd_signs(tmp_path: Path) -> None:
    """Blanks, question marks, per cent and hash signs are part of the name."""
    folder = tmp_path / "Werk 100% #1? ä"
    folder.mkdir()
    with Ledger.open(folder / "record.sqlite", manner=manner()) as ledger:
        ledger.append(entries(story().told))
    assert [one.name for one in folder.iterdir()] == ["record.sqlite"]


def test_opening_a_known_record_loads_no_migrations(tmp_path: Path) -> None:
    """That library costs a third of a second and is needed once in the life of a record."""
    path = tmp_path / "record.sqlite"
    with Ledger.open(path, manner=manner()) as ledger:
        ledger.append(entries(story().told))
    code = (
        "import sys; from pacewright.ledger.store import Ledger\n"
        f"with Ledger.open({str(path)!r}) as ledger: assert ledger.standing().vehicles\n"
        "print('alembic' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "False\n"
