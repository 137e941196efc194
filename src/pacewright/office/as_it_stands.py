"""The works and where everything stands by its record, at one moment."""

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from pacewright.office.errors import CallError

if TYPE_CHECKING:
    from pacewright.events.standing import Standing
    from pacewright.works import Works


class AsItStands(NamedTuple):
    """The works as its folder tells it, the standing, and the moment it belongs to."""

    works: "Works"
    standing: "Standing"
    now: datetime


def as_it_stands(
    path: Path, what_for: str, database: str = "", moment: datetime | None = None
) -> AsItStands:
    """Read a works and its record.

    Parameters
    ----------
    path : works folder or workbook.
    what_for : what is asked of the record, a clause for the message when there is none.
    database : address of the record; empty: that of the works.
    moment : works time; None: the last the record tells of.

    Raises
    ------
    WorksFaultyError : with every fault found in the files.
    CallError : there is no record, it is empty, or it cannot be opened.
    """
    from pacewright.control.as_recorded import last_moment
    from pacewright.office.folder import open_works
    from pacewright.office.record import has_record, open_record

    works, _ = open_works(path)
    if not has_record(path, database):
        raise CallError(
            f"{path}: no record, or an empty one. {what_for} Book or import what happened first, "
            "or name its --database."
        )
    with open_record(path, database, create=False, read_only=True) as record:
        standing = record.standing_at(moment) if moment else record.standing()
    now = moment or last_moment(standing)
    if now is None:
        raise CallError("The record tells of no vehicle yet. Book or import arrivals first.")
    return AsItStands(works, standing, now)
