"""Moments and days as a user writes them in a call."""

from datetime import date, datetime
from typing import Annotated

import typer

MOMENT = "2026-03-02T07:30"
DAY = "2026-03-02"


def works_moment(written: str | datetime) -> datetime:
    """A moment of the works clock, as written; a day alone is its first minute.

    Raises
    ------
    typer.BadParameter : it is no moment, or one of another clock.
    """
    try:
        moment = datetime.fromisoformat(str(written))
    except ValueError:
        moment = None
    if moment is None or moment.tzinfo is not None:
        raise typer.BadParameter(
            f"'{written}' found. A moment of the works clock is wanted. Write it as {MOMENT}."
        )
    return moment


def day(written: str | date) -> date:
    """A day, as written.

    Raises
    ------
    typer.BadParameter : it is no day.
    """
    try:
        return date.fromisoformat(str(written))
    except ValueError:
        raise typer.BadParameter(
            f"'{written}' found. A day is wanted. Write it as {DAY}."
        ) from None


At = Annotated[
    datetime | None,
    typer.Option(
        "--at",
        parser=works_moment,
        metavar=MOMENT,
        help="works time asked about; left out: the last the record tells of",
    ),
]
