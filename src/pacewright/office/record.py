"""Where the record of a works is, and opening it."""

import os
from pathlib import Path
from typing import TYPE_CHECKING

from pacewright.office.errors import CallError

if TYPE_CHECKING:
    from pacewright.ledger.entry import Door, Manner
    from pacewright.ledger.store import Ledger

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
