"""One thing that needs a decision, and the order in which such things are shown."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

YEAR_WEEKS = 52.18
"""Weeks of a year, shutdowns included; the week rates of the plan are of full weeks."""


class Urgency(StrEnum):
    """What follows when nothing is decided, gravest first."""

    STAND = "vehicles must stand"
    """a vehicle reaches its limit before it is called in and may not run"""
    HELD_UP = "vehicles held up"
    """vehicles inside wait for people, positions, plant or units"""
    WATCH = "not known or near a limit"
    """nothing waits yet; a fact is missing or an edge is close"""
    IDLE = "runs ahead"
    """people, places or plant able to do much more than the pace asks"""


WEIGHED_IN = {
    Urgency.STAND: "vehicle-days",
    Urgency.HELD_UP: "vehicle working days a year",
    Urgency.WATCH: "vehicles",
    Urgency.IDLE: "vehicles a week over the pace",
}
"""The one unit in which all decisions of an urgency are weighed, so that they can be ranked."""


@dataclass(frozen=True, slots=True)
class Decision:
    """One decision to take.

    Parameters
    ----------
    urgency : what follows when nothing is decided; ranks first.
    kind : what sort of thing is short: vehicle, relief, stage, trade, plant, unit kind, ...
    what : what was found, in one line.
    where : place, depot, type, unit kind or vehicles meant.
    why : the figures behind it, and the rule.
    remedy : what would mend it.
    weight : how much hangs on it, in the unit of its urgency; ranks second.
    basis : how the weight was reckoned.
    rank : place in the list, from 1; 0 while unranked.
    place_id : stage, unit kind, or shop and trade meant; blank where it is none of these.
    """

    urgency: Urgency
    kind: str
    what: str
    where: str
    why: str
    remedy: str
    weight: float
    basis: str
    rank: int = 0
    place_id: str = ""

    @property
    def weight_unit(self) -> str:
        """Unit of the weight."""
        return WEIGHED_IN[self.urgency]


def ranked(found: Iterable[Decision]) -> tuple[Decision, ...]:
    """Gravest first, heaviest first; equals by name, so that the order never wavers."""
    order = list(Urgency)
    rows = sorted(found, key=lambda d: (order.index(d.urgency), -d.weight, d.kind, d.where, d.what))
    return tuple(replace(row, rank=place) for place, row in enumerate(rows, 1))
