"""What was asked of a sheet, read from text; a wrong choice says what is wanted."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time


def whole_asked(asked: Mapping[str, str], name: str, usual: int, least: int, most: int) -> int:
    """A whole number.

    Raises
    ------
    ValueError : it is none, or out of range.
    """
    said = asked.get(name, "").strip()
    if not said:
        return usual
    if not said.isascii() or not said.isdigit() or not least <= int(said[:12]) <= most:
        raise ValueError(
            f"{name}: {said[:40]!r} found. A whole number from {least:,} to {most:,} is wanted. "
            "Correct it."
        )
    return int(said)


def day_asked(asked: Mapping[str, str], name: str) -> date | None:
    """A day; None: not asked.

    Raises
    ------
    ValueError : it is no day.
    """
    said = asked.get(name, "").strip()
    if not said:
        return None
    try:
        return date.fromisoformat(said)
    except ValueError:
        raise ValueError(
            f"{name}: {said[:40]!r} found. A date such as 2026-03-02 is wanted. Correct it."
        ) from None


def morning_of(day: date | None) -> datetime | None:
    """The first moment of a day."""
    return None if day is None else datetime.combine(day, time())


def choice_asked(asked: Mapping[str, str], name: str, choices: Sequence[str]) -> str:
    """One of some choices; the first when nothing was asked.

    Raises
    ------
    ValueError : it is none of them.
    """
    said = asked.get(name, "").strip() or choices[0]
    if said not in choices:
        raise ValueError(
            f"{name}: {said[:40]!r} found. One of {', '.join(filter(None, choices))} is wanted. "
            "Choose one."
        )
    return said
