"""The life of one unit over its days: on which vehicle, in repair, in store, given out."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from pacewright.reports.drawings.date_axis import axis_of
from pacewright.reports.drawings.svg import Drawing, drawing, group, line, path, rect, words
from pacewright.reports.written import day

LEFT, TOP, WIDE, TALL = 118.0, 46.0, 780.0, 34.0
LOOKS = {
    "on": "lifeon",
    "serviceable": "lifestore",
    "issued": "lifeissued",
    "unserviceable": "lifeoff",
    "quarantine": "lifeaside",
    "scrapped": "lifegone",
}
"""State -> class; each state has a row of its own, so that no colour is needed."""
NAMES = {state: state for state in LOOKS} | {"on": "on a vehicle", "issued": "given out"}
"""State -> as people read it."""


@dataclass(frozen=True, slots=True)
class Spell:
    """A stretch of a life.

    Parameters
    ----------
    state : key of ``LOOKS``.
    label : what it was on, or where.
    since, until : None: since before the record; still.
    """

    state: str
    label: str
    since: datetime | None
    until: datetime | None


def life_line(spells: Sequence[Spell], now: datetime) -> Drawing:
    """The spells over one line of dates, a row a state."""
    told = [moment for one in spells for moment in (one.since, one.until)]
    axis = axis_of(told, now, (LEFT, LEFT + WIDE))
    states = [state for state in LOOKS if any(one.state == state for one in spells)]
    base = TOP + TALL * len(states)
    rows = {state: TOP + TALL * place for place, state in enumerate(states)}
    parts = []
    for state, top in rows.items():
        parts.append(words(LEFT - 10, top + TALL / 2 + 4, NAMES[state], "rowname end"))
        parts.append(line((LEFT, top + TALL), (LEFT + WIDE, top + TALL), "track"))
    for one in spells:
        start = axis.x(one.since) if one.since else LEFT
        end = axis.x(one.until or now)
        parts.append(_spell(one, start, end, rows[one.state]))
    said = f"{len(spells)} stretches, {sum(one.state == 'on' for one in spells)} on a vehicle."
    return drawing(
        "lifeline",
        (LEFT + WIDE + 24, base + 20),
        ("Its life as far as the record tells", said),
        axis.marks(TOP, base),
        *parts,
        axis.now(now, TOP, base),
    )


def _spell(one: Spell, start: float, end: float, top: float) -> str:
    wide = max(3.0, end - start)
    says = f"{NAMES[one.state]}, {one.label}: {_day(one.since)} to {_day(one.until)}"
    parts = [rect(start, top + 7, (wide, TALL - 14), LOOKS[one.state], says)]
    if one.since is None:
        parts.append(path(f"M{start - 7} {top + TALL / 2}l7 -6v12z", "pointer"))
    if wide > 8 * len(one.label) + 6:
        look = "tick strong onlife" if one.state == "on" else "tick strong"
        parts.append(words(start + 5, top + TALL / 2 + 4, one.label, look))
    return group("spell", *parts)


def _day(moment: datetime | None) -> str:
    return day(moment.date()) if moment else "-"
