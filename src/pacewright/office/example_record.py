"""Invent months in the life of a works: its record, and the works as it stands at the end of it."""

import shutil
import tempfile
from collections import Counter
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import groupby, islice
from pathlib import Path
from typing import TYPE_CHECKING

from pacewright.base.progress import Progress, silent
from pacewright.office.errors import CallError
from pacewright.office.example import kind_and_size
from pacewright.office.example_story import Story, story_of
from pacewright.works import Works

if TYPE_CHECKING:
    from pacewright.events.standing import Standing
    from pacewright.fleet.tables import Reading
    from pacewright.invent.slips import Slip
    from pacewright.ledger.store import Ledger

_HANDED_IN_AT_ONCE = 5000


@dataclass(frozen=True)
class ExampleRecord:
    """What was written.

    Parameters
    ----------
    works : the works at the end of its record.
    record : file that holds the record.
    answers : what the record said to the entries handed in -> how many.
    refused : the first refusals, with every reason.
    unmeant : entries that the record answered otherwise than meant; none in a sound release.
    """

    works: Works
    record: Path
    answers: Counter[str]
    refused: tuple[str, ...]
    unmeant: tuple[str, ...]


def make_example_record(
    where: Path,
    kind: str,
    size: tuple[int | None, int],
    months: int,
    workbook: bool = False,
    progress: Progress = silent,
) -> ExampleRecord:
    """Invent a works and its record, and write both to ``where``, whole or not at all.

    Parameters
    ----------
    where : folder to write (or .xlsx file, with ``workbook``: the record stands beside it).
    kind, size : as for ``make_example``.
    months : so long the record goes back from the day of the works.

    Raises
    ------
    CallError : unknown kind, ``where`` cannot be written, or there is a record already.
    """
    kind, vehicles, seed = kind_and_size(kind, size)
    record = where.with_name(f"{where.stem}.record.sqlite") if workbook else where / "record.sqlite"
    if record.exists():
        raise CallError(f"{record}: there is a record. Choose another place, or move it away.")
    story = story_of(kind, vehicles, seed, months, progress)
    try:
        where.parent.mkdir(parents=True, exist_ok=True)
        folder = Path(tempfile.mkdtemp(prefix=f".{where.name}-", dir=where.parent))
    except OSError as error:
        raise CallError(f"{where}: {error}. Nothing was written; choose another place.") from error
    try:
        return _written(story, folder / "record.sqlite", where, record, progress)
    except OSError as error:
        raise CallError(f"{where}: {error}. Nothing was written; choose another place.") from error
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _written(
    story: Story, making: Path, where: Path, record: Path, progress: Progress
) -> ExampleRecord:
    from pacewright.files.write import write_workbook, write_works
    from pacewright.invent.afterwards import works_after

    answers, refused, unmeant, now = _recorded(story, making, progress)
    readings = _read_by(now)
    works = works_after(story.before, story.after.settings, now, readings)
    progress("writing", 0.0)
    (write_workbook if where.suffix == ".xlsx" else write_works)(works, where)
    making.replace(record)
    return ExampleRecord(works, record, answers, tuple(refused), tuple(unmeant))


def _read_by(now: "Standing") -> list["Reading"]:
    from pacewright.fleet.tables import Reading

    return [
        Reading(number, at.date(), odometer)
        for number, vehicle in now.vehicles.items()
        for at, odometer in vehicle.odometer
    ]


def _recorded(
    story: Story, making: Path, progress: Progress
) -> tuple[Counter[str], list[str], list[str], "Standing"]:
    """Hand every slip to the record, day by day as it was written."""
    from pacewright.control.door import door_of
    from pacewright.ledger.entry import Manner
    from pacewright.ledger.store import Ledger

    clock = _Clock()
    manner = Manner(clock=clock.now, ahead=None)
    answers: Counter[str] = Counter()
    refused: list[str] = []
    unmeant: list[str] = []
    whole = (story.today - story.monday).days + 1
    with Ledger.open(making, door_of(story.before), manner=manner) as ledger:
        for day, slips in groupby(story.slips(), key=lambda slip: slip.written_at.date()):
            while some := list(islice(slips, _HANDED_IN_AT_ONCE)):
                clock.at = some[-1].written_at
                _hand_in(ledger, some, answers, refused, unmeant)
            progress("recording", min(0.999, ((day - story.monday).days + 1) / whole))
        return answers, refused, unmeant, ledger.standing()


def _hand_in(
    ledger: "Ledger",
    slips: list["Slip"],
    answers: Counter[str],
    refused: list[str],
    unmeant: list[str],
) -> None:
    from pacewright.ledger.entry import Entry

    entries = [Entry(one.event_id, one.event, one.recorded_by) for one in slips]
    for slip, answer in zip(slips, ledger.append(entries), strict=True):
        answers[answer.outcome.value] += 1
        told = f"{answer.event_id}, {slip.recorded_by}: {' '.join(answer.reasons)}"
        if answer.reasons and len(refused) < _TOLD:
            refused.append(told)
        if answer.outcome.value != slip.meant.value and len(unmeant) < _TOLD:
            unmeant.append(f"{slip.event}: {told}")


_TOLD = 20


@dataclass
class _Clock:
    """Tells the record the moment at which a slip was written, never one that is yet to come."""

    at: datetime = datetime(2000, 1, 1)

    def now(self) -> datetime:
        """The moment, with its zone."""
        return min(self.at.astimezone(), datetime.now(UTC))
