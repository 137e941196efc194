"""Every sort of paper there is: one list from which command, downloads and docs are made."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from pacewright.base.faults import CallError
from pacewright.reports.papers.ground import Ground
from pacewright.reports.papers.press import Paper
from pacewright.reports.papers.vehicle_card import vehicle_card, vehicle_cards

MOST_DAYS = 60
Asked = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Sort:
    """One sort of paper.

    Parameters
    ----------
    key : stable name, as in commands and addresses. ``title`` : as people read it.
    about : what it is for, a sentence.
    picks : what may be asked, by name, in words.
    make : from the ground and what was asked.
    from_plan : it needs the plan and can do without a record.
    usual_days : working days looked ahead unless told.
    """

    key: str
    title: str
    about: str
    picks: Mapping[str, str]
    make: Callable[[Ground, Asked], Paper]
    from_plan: bool = False
    usual_days: int = 10

    def days(self, asked: Asked) -> int:
        """Working days ahead that were asked for.

        Raises
        ------
        CallError : something was asked that this sort does not know, or no number of days.
        """
        wrong = [name for name in asked if name not in self.picks and asked[name]]
        if wrong:
            raise CallError(
                f"{self.key}: {', '.join(wrong)} was asked. This paper is picked by "
                f"{', '.join(self.picks) or 'nothing'}. Leave the others out."
            )
        said = asked.get("days", "").strip()
        if not said:
            return self.usual_days
        if not said.isascii() or not said.isdigit() or not 1 <= int(said[:9]) <= MOST_DAYS:
            raise CallError(
                f"{self.key}, days: {said[:40]!r} found. A whole number from 1 to {MOST_DAYS} is "
                "wanted. Correct it."
            )
        return int(said)


def _vehicle(ground: Ground, asked: Asked) -> Paper:
    vehicle_id = asked.get("vehicle", "")
    return vehicle_card(ground, vehicle_id) if vehicle_id else vehicle_cards(ground)


_VEHICLE = {"vehicle": "vehicle number"}
_OR_ALL = {"vehicle": "vehicle number; left out: every vehicle inside"}

_ALL = (
    Sort(
        "vehicle-card",
        "Vehicle card",
        "Goes with a vehicle: who it is, its promise, its route to sign off, what it carries.",
        _OR_ALL,
        _vehicle,
    ),
)

SORTS: dict[str, Sort] = {one.key: one for one in _ALL}
"""Key -> sort of paper."""
