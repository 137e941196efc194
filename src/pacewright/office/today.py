"""The day of a works from its record: what is true now, what stands, what to do."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pacewright.base.progress import Progress, silent
from pacewright.office.errors import CallError

if TYPE_CHECKING:
    from pacewright.control.ahead import Ahead
    from pacewright.control.day import Given, Today
    from pacewright.control.shortages import Shortage
    from pacewright.events.standing import Standing
    from pacewright.ledger.store import Ledger
    from pacewright.works import Works


@dataclass(frozen=True, slots=True)
class Asked:
    """How a day is asked for.

    Parameters
    ----------
    database : address of the record; empty: that of the works.
    moment : works time of the day; None: the last the record tells of.
    days : working days ahead for which shortages are listed.
    with_plan : True: the plan is made anew first, for pace, waits and floats needed.
    """

    database: str = ""
    moment: datetime | None = None
    days: int = 10
    with_plan: bool = False


def today(
    path: Path, asked: Asked | None = None, shop_id: str = "", progress: Progress = silent
) -> "Today":
    """The day of a works, and what changed since a day before.

    Parameters
    ----------
    path : works folder or workbook, with a record.
    shop_id : shop whose sheet is wanted, for the check that there is such; empty: all.

    Raises
    ------
    WorksFaultyError : with every fault found in the files.
    CallError : there is no record or no such shop, the record is empty or cannot be opened.
    NoPlanError : a plan was asked for and none can be made.
    """
    from pacewright.control import day

    asked = asked or Asked()
    with _opened(path, asked) as (works, record):
        _check_shop(works, shop_id)
        progress("reading the record", 0.0)
        standing, now = _standing(record, asked)
        given = _given(works, standing, now, asked, progress)
        before = now - timedelta(days=1)
        progress("the day before", 0.0)
        old = record.standing_at(before)
        progress("the day", 0.0)
        return day.today(works, standing, now, given, (old, before) if old.events else None)


def shortage_list(
    path: Path, asked: Asked | None = None, progress: Progress = silent
) -> "tuple[Ahead, tuple[Shortage, ...]]":
    """The shortage list of a works, and what lies ahead, for its clock.

    Raises
    ------
    As ``today``.
    """
    from pacewright.control import day

    asked = asked or Asked()
    with _opened(path, asked) as (works, record):
        progress("reading the record", 0.0)
        standing, now = _standing(record, asked)
        given = _given(works, standing, now, asked, progress)
        return day.shortage_list(works, standing, now, given)


def day_data(one: "Today", shop_id: str = "") -> dict[str, Any]:
    """The day as plain values for JSON: the answer, and every table whole."""
    from pacewright.reports.sheet import sheet_data
    from pacewright.reports.today import today_sheet

    return {"now": one.now.isoformat(), **sheet_data(today_sheet(one, shop_id))}


def write_today(one: "Today", out: Path, shop_id: str = "") -> None:
    """Write ``today.html`` and ``tables/*.csv`` into ``out``, whole or not at all.

    Raises
    ------
    CallError : the folder cannot be written; what stood there still stands.
    """
    from pacewright.files.whole import write_whole
    from pacewright.reports.csvfile import csv_bytes
    from pacewright.reports.today_page import today_page
    from pacewright.reports.today_tables import today_tables

    files = {"today.html": today_page(one, shop_id).encode()}
    files |= {f"tables/{each.name}.csv": csv_bytes(each) for each in today_tables(one, shop_id)}
    try:
        write_whole(out, files)
    except OSError as error:
        raise CallError(f"{out}: {error}. Nothing was written; choose another folder.") from error


def _check_shop(works: "Works", shop_id: str) -> None:
    shops = [one.shop_id for one in works.shops]
    if shop_id and shop_id not in shops:
        raise CallError(
            f"--shop {shop_id}: no such shop. A sheet is that of a shop of shops.csv. Write one "
            f"of: {', '.join(shops)}."
        )


@contextmanager
def _opened(path: Path, asked: Asked) -> "Iterator[tuple[Works, Ledger]]":
    from pacewright.office.folder import open_works
    from pacewright.office.record import has_record, open_record

    works, _ = open_works(path)
    if not has_record(path, asked.database):
        raise CallError(
            f"{path}: no record, or an empty one. The day of a works is read from its record. "
            "Book or import what happened first, or name its --database."
        )
    with open_record(path, asked.database, create=False, read_only=True) as record:
        yield works, record


def _standing(record: "Ledger", asked: Asked) -> "tuple[Standing, datetime]":
    from pacewright.control.as_recorded import last_moment

    if asked.moment is not None:
        return record.standing_at(asked.moment), asked.moment
    standing = record.standing()
    now = last_moment(standing)
    if now is None:
        raise CallError(
            "The record tells of no vehicle, piece or unit yet. A day needs at least one. Book or "
            "import what happened first."
        )
    return standing, now


def _given(
    works: "Works", standing: "Standing", now: datetime, asked: Asked, progress: Progress
) -> "Given":
    from pacewright.control.clock import clock_of
    from pacewright.control.day import Given
    from pacewright.control.turns_seen import turns_seen

    plan = None
    if asked.with_plan:
        from pacewright.control.as_recorded import as_recorded
        from pacewright.office.planning import make_plan

        plan = make_plan(as_recorded(works, standing, now).works, (), progress)
    turns = turns_seen(standing, clock_of(works, now), now)
    return Given(plan, turns, asked.days)
