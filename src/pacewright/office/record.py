"""Where the record of a works is, and opening it."""

import os
from pathlib import Path
from typing import TYPE_CHECKING

from pacewright.base.progress import Progress, silent
from pacewright.office.errors import CallError

if TYPE_CHECKING:
    from pacewright.ledger.entry import Door, Head, Manner
    from pacewright.ledger.entry import Kept as Kept  # noqa: PLC0414
    from pacewright.ledger.store import Ledger
    from pacewright.ledger.verified import Verified as Verified  # noqa: PLC0414

VARIABLE = "PACEWRIGHT_DATABASE"


def record_address(works: Path, database: str = "") -> str:
    """Where the record of a works is kept.

    Parameters
    ----------
    works : works folder, or workbook.
    database : address of the database, as given by the user; left empty, the environment variable
        ``PACEWRIGHT_DATABASE`` says it.

    Returns
    -------
    That address when there is one, else ``record.sqlite`` in the folder, or beside a workbook
    ``NAME.record.sqlite``.
    """
    given = database or os.environ.get(VARIABLE, "")
    if given:
        return given
    if works.is_file():
        return str(works.with_name(f"{works.stem}.record.sqlite"))
    return str(works / "record.sqlite")


def people_address(works: Path, database: str = "") -> str:
    """Where the accounts of a works are kept: with a database server in the same database.

    Else in a file beside the record, so that restoring an old record brings no closed account back.
    """
    record = record_address(works, database)
    if "://" in record and not record.startswith("sqlite:"):
        return record
    path = Path(record.removeprefix("sqlite:///"))
    return str(path.with_name(path.name.replace("record", "people", 1)))


def faults_of_filters(about: str, kind: str) -> list[str]:
    """What is wrong with how entries of the record are asked for; what is empty is not asked.

    Parameters
    ----------
    about : code of a thing, ``vehicle:1043``.
    kind : name of a kind of event.
    """
    from pacewright.base.faults import NameHint
    from pacewright.events.registry import KINDS
    from pacewright.events.scan import parts_of_code

    faults = []
    if about and parts_of_code(about) is None:
        faults.append(
            f"about: '{about[:90]}' found. A thing is named by its code: what it is, a colon, its "
            "number or serial. Write vehicle:1043, body:B-11, motor:M-7 or place:paint."
        )
    if kind and kind not in KINDS:
        faults.append(
            f"kind: '{kind[:40]}' found. It is a kind of event, as `pacewright book --kinds` and "
            f"/api/kinds list them. Choose one.{NameHint(KINDS)(kind)}"
        )
    return faults


def has_record(works: Path, database: str = "") -> bool:
    """True when the works has a record with at least one event.

    Raises
    ------
    CallError : there is one that cannot be opened.
    """
    address = record_address(works, database)
    if "://" not in address and not Path(address).exists():
        return False
    from pacewright.ledger.store import holds_events

    return holds_events(address)


def open_record(
    works: Path,
    database: str = "",
    door: "Door | None" = None,
    *,
    create: bool = True,
    read_only: bool = False,
    manner: "Manner | None" = None,
) -> "Ledger":
    """Open the record of a works.

    Parameters
    ----------
    database : address of the database; empty: see ``record_address``.
    door : further rules an event must pass.
    create : an empty record is made where there is none.
    read_only : nothing is ever written.
    manner : clock, patience and the like; None: as usual.

    Raises
    ------
    CallError : it cannot be opened; says why and what to do.
    """
    if not works.exists():
        raise CallError(f"{works}: no such works. A record belongs to a works. Check the path.")
    from pacewright.ledger.entry import Manner
    from pacewright.ledger.store import Ledger

    return Ledger.open(
        record_address(works, database),
        door,
        create=create,
        read_only=read_only,
        manner=manner or Manner(),
    )


def verify_record(
    works: Path, database: str = "", noted: str = "", progress: Progress = silent
) -> "Verified":
    """Go through the record of a works from its first event to its last.

    Parameters
    ----------
    noted : ``PLACE:DIGEST`` of a head noted earlier, through which the record must still go.

    Raises
    ------
    CallError : there is no record, or it cannot be read at all.
    """
    head = read_head(noted) if noted else None
    with open_record(works, database, create=False, read_only=True) as ledger:
        return ledger.verify(progress, head)


def read_head(noted: str) -> "Head":
    """A head as it was noted, ``PLACE:DIGEST``; the digest may be cut short.

    Raises
    ------
    CallError : it is none.
    """
    from pacewright.ledger.entry import Head

    place, _, digest = noted.partition(":")
    if not place.isdigit() or len(digest) < 8 or set(digest.lower()) - set("0123456789abcdef"):
        raise CallError(
            f"--head {noted}: a head is PLACE:DIGEST, the digest of at least 8 characters. "
            "Give it as record verify said it."
        )
    return Head(int(place), digest.lower(), None)


def drop_snapshots(works: Path, database: str = "") -> None:
    """Take the snapshots of a record away; nothing is lost, the next opening folds anew.

    Raises
    ------
    CallError : there is no record, or it cannot be written.
    """
    with open_record(works, database, create=False) as ledger:
        ledger.drop_snapshots()


def backup_record(
    works: Path, path: Path, database: str = "", progress: Progress = silent
) -> "Verified":
    """Copy the record of a works to a file while it is in use; only a sound copy is kept.

    Raises
    ------
    CallError : there is such a file, or it cannot be written, or the record is not sound.
    """
    from pacewright.ledger.backup import backup

    return backup(record_address(works, database), path, progress)


def restore_record(
    works: Path, path: Path, database: str = "", progress: Progress = silent
) -> "Verified":
    """Put a backup where the works has no record yet.

    Raises
    ------
    CallError : there is a record, or the backup is not sound.
    """
    from pacewright.ledger.backup import restore

    return restore(path, record_address(works, database), progress)
