"""Take the clerk's daily sheets into the record."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from pacewright.base.faults import CallError


@dataclass(frozen=True, slots=True)
class RowRefused:
    """A row of a daily sheet that the record did not take.

    Parameters
    ----------
    where : file, sheet and row.
    kind : kind of event it told.
    reasons : every rule it breaks, a sentence each.
    """

    where: str
    kind: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Imported:
    """What became of some daily sheets.

    Parameters
    ----------
    kept, known : events taken; events that the record had already.
    refused : those it did not take, in order of time.
    dry_run : True when nothing was kept, and the counts say what would be.
    """

    kept: int
    known: int
    refused: tuple[RowRefused, ...]
    dry_run: bool


def import_daily(
    works_path: Path,
    paths: Sequence[Path],
    by: str,
    database: str = "",
    *,
    together: bool = False,
    dry_run: bool = False,
) -> Imported:
    """Read daily files and hand what they tell to the record, in order of time.

    Each event gets an id from what it says, so that the same sheet read twice adds nothing.

    Parameters
    ----------
    works_path : works folder or workbook.
    paths : daily files, CSV or XLSX.
    by : who hands them in.
    together : all rows are kept, or none when one is refused.
    dry_run : nothing is kept.

    Raises
    ------
    WorksFaultyError : a file or the works cannot be read; with every fault; nothing was kept.
    CallError : the record cannot be opened or written.
    """
    from pacewright.events.registry import KIND_OF
    from pacewright.files.daily import read_daily
    from pacewright.ledger.entry import Entry, Outcome
    from pacewright.office.booking import book, id_of

    rows = read_daily(paths)
    entries = [Entry(id_of(row.event, "daily"), row.event, by, "", row.where) for row in rows]
    answers = book(works_path, entries, database, together=together, dry_run=dry_run)
    refused = [
        RowRefused(row.where, KIND_OF[type(row.event)], answer.reasons)
        for row, answer in zip(rows, answers, strict=True)
        if answer.outcome is Outcome.REFUSED
    ]
    outcomes = [answer.outcome for answer in answers]
    counts = outcomes.count(Outcome.KEPT), outcomes.count(Outcome.KNOWN)
    return Imported(*counts, tuple(refused), dry_run)


def write_templates(folder: Path) -> tuple[str, ...]:
    """Write the empty daily sheets into a folder; gives their names.

    Raises
    ------
    CallError : the folder cannot be written; what stood there still stands.
    """
    from pacewright.files.daily_template import templates
    from pacewright.files.whole import write_whole

    files = templates()
    try:
        write_whole(folder, files)
    except OSError as error:
        raise CallError(
            f"{folder}: {error}. Nothing was written; choose another folder."
        ) from error
    return tuple(files)
