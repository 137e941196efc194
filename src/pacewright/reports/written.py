"""How dates, numbers and shares are written on the page: for people, not for files."""

import re
from datetime import date, datetime
from math import isfinite, isnan

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
NONE = "-"
"""What stands where there is nothing to say."""


def day(value: date | None) -> str:
    """A date as ``9 Nov 2026``."""
    return f"{value.day} {MONTHS[value.month - 1]} {value.year}" if value else NONE


def moment(value: datetime | None) -> str:
    """A moment as ``9 Nov 2026 07:45``."""
    return f"{day(value)} {value:%H:%M}" if value else NONE


_ISO = re.compile(
    r"(?<![\w./:-])(?<!\bas )(?<!written )"
    r"(\d{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12]\d|3[01]))(?:[T ](\d\d:\d\d)(?::\d\d)?)?"
    r"(?:Z| UTC\b)?(?![\w/-])"
)


def local(sentence: str) -> str:
    """A sentence with its days and moments as people write them; an example to follow stays.

    Sentences that also go into files and answers of programs tell days in ISO 8601; on the screen
    they are read by people. What says how a day is to be typed ("as 2026-03-02") is left alone.

    Examples
    --------
    >>> local("Held since 2026-03-02 07:30. Plan of 2026-03-02.")
    'Held since 2 Mar 2026 07:30. Plan of 2 Mar 2026.'
    >>> local("A date is written 2026-03-02. docket 2026-03-02/4")
    'A date is written 2026-03-02. docket 2026-03-02/4'
    """
    return _ISO.sub(_people_write, sentence) if "-" in sentence else sentence


def _people_write(found: re.Match[str]) -> str:
    try:
        read = day(date.fromisoformat(found[1]))
    except ValueError:
        return found[0]
    zone = " UTC" if found[0].endswith(("Z", "UTC")) else ""
    return read + (f" {found[2]}" if found[2] else "") + zone


def number(value: float | None, digits: int = 1) -> str:
    """A number with thousands marks and at most ``digits`` decimals, no trailing zeros lost.

    Examples
    --------
    >>> number(12480.26), number(3.0, 2), number(float("inf"))
    ('12,480.3', '3.00', 'no limit')
    """
    if value is None or isnan(value):
        return NONE
    if not isfinite(value):
        return "no limit"
    # Adding zero turns a rounded -0.0 into 0.0, which a reader would take for a fault.
    return f"{round(value, digits) + 0.0:,.{digits}f}"


def rate(value: float | None) -> str:
    """Vehicles a week: small paces need a second decimal.

    Examples
    --------
    >>> rate(11.66), rate(0.684)
    ('11.7', '0.68')
    """
    return number(value, 1 if value is None or abs(value) >= 10 else 2)


def share(value: float | None, digits: int = 0) -> str:
    """A share as per cent; what is not quite all is never shown as ``100 %``.

    Examples
    --------
    >>> share(0.5), share(0.9996), share(0.0004), share(1.0)
    ('50 %', '>99 %', '<1 %', '100 %')
    """
    if value is None or isnan(value):
        return NONE
    step = 10.0**-digits
    shown = round(value * 100, digits)
    if value < 1 and shown >= 100:
        return f">{100 - step:.{digits}f} %"
    if value > 0 and shown <= 0:
        return f"<{step:.{digits}f} %"
    return f"{shown + 0.0:.{digits}f} %"


def some(count: int, one: str, many: str = "") -> str:
    """``1 vehicle``, ``3 vehicles``, ``12,480 vehicles``."""
    return f"{count:,} {one if count == 1 else many or one + 's'}"


def listed(items: list[str], most: int = 6) -> str:
    """The first of many: ``4012, 4077 and 9 more``."""
    if len(items) > most:
        return f"{', '.join(items[:most])} and {len(items) - most:,} more"
    return " and ".join([", ".join(items[:-1]), items[-1]] if len(items) > 1 else items)


def sentence(words: str) -> str:
    """The words with a capital and a full stop; empty stays empty."""
    words = words.strip()
    if not words:
        return ""
    return words[0].upper() + words[1:] + ("" if words.endswith((".", "!", "?")) else ".")


def why_and_remedy(reason: str, otherwise: str) -> tuple[str, str]:
    """A reason split before its last sentence, which says what to do; one sentence says only why.

    Examples
    --------
    >>> why_and_remedy("Able 10.8, pace 11.7. Add 2.", "Add some.")
    ('Able 10.8, pace 11.7.', 'Add 2.')
    >>> why_and_remedy("Able 10.8", "Add some.")
    ('Able 10.8.', 'Add some.')
    """
    parts = re.split(r"(?<=[.!?])\s+(?=[A-Z0-9])", sentence(reason))
    return (" ".join(parts[:-1]), parts[-1]) if len(parts) > 1 else (parts[0], otherwise)
