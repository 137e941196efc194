"""Every sort of paper there is: one list from which command, downloads and docs are made."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from pacewright.base.faults import CallError
from pacewright.reports.papers.charts import load_chart, programme_chart
from pacewright.reports.papers.day_sheet import day_sheets
from pacewright.reports.papers.depot_letter import depot_letters
from pacewright.reports.papers.docket import dockets
from pacewright.reports.papers.flow_sheet import flow_sheet
from pacewright.reports.papers.ground import Ground
from pacewright.reports.papers.inspection_form import inspection_form
from pacewright.reports.papers.job_cards import job_cards
from pacewright.reports.papers.kit_list import kit_list
from pacewright.reports.papers.press import Paper
from pacewright.reports.papers.shortage_list import shortage_list
from pacewright.reports.papers.unit_labels import unit_labels
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
    needs : of the picks, those that cannot be left out.
    of_flow : it needs the flow of the day that is asked for.
    """

    key: str
    title: str
    about: str
    picks: Mapping[str, str]
    make: Callable[[Ground, Asked], Paper]
    from_plan: bool = False
    usual_days: int = 10
    needs: tuple[str, ...] = ()
    of_flow: bool = False

    def days(self, asked: Asked) -> int:
        """Working days ahead that were asked for.

        Raises
        ------
        CallError : something was asked that this sort does not know, something it needs was not,
            or no number of days.
        """
        wrong = [name for name in asked if name not in self.picks and asked[name]]
        if wrong:
            raise CallError(
                f"{self.key}: {', '.join(wrong)} was asked. This paper is picked by "
                f"{', '.join(self.picks) or 'nothing'}. Leave the others out."
            )
        missing = [name for name in self.needs if not asked.get(name)]
        if missing:
            raise CallError(
                f"{self.key}: {', '.join(missing)} is left out. This paper is of one: "
                f"{', '.join(self.picks[name] for name in missing)}. Say which."
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
    Sort(
        "inspection-form",
        "Strip inspection form",
        "Every item of a vehicle that inspection must judge, with limits; must-change is fixed.",
        _VEHICLE,
        lambda ground, asked: inspection_form(ground, asked["vehicle"]),
        needs=("vehicle",),
    ),
    Sort(
        "job-cards",
        "Job cards",
        "What one trade does on one piece at one stage, or on one unit; a card each, A5.",
        {
            "vehicle": "all that is ahead of this vehicle; left out: what begins within the days",
            "shop": "only this shop; its units to turn out have cards too",
            "trade": "only this trade",
            "unit": "code of one unit, as motor:M-7",
            "days": "working days ahead [1]",
        },
        job_cards,
        usual_days=1,
    ),
    Sort(
        "unit-labels",
        "Unit labels",
        "Labels to hang on units off vehicles, A7, eight a sheet; by the condition recorded.",
        {
            "unit": "code of one unit, as motor:M-7",
            "kind": "only this unit kind",
            "shop": "only kinds that this shop makes good",
            "condition": "serviceable, unserviceable, quarantine or scrapped",
        },
        unit_labels,
    ),
    Sort(
        "docket",
        "Movement dockets",
        "From where to where a piece or unit goes, to be signed by giver and taker, A5.",
        {
            "thing": "code of a piece or unit, as body:B-11; left out: every move that can be made",
            "to": "stage, shop or place it goes to; left out: to write in",
            "shop": "only moves into or out of this shop",
        },
        dockets,
    ),
    Sort(
        "kit-list",
        "Kit list",
        "Units to lay out for the rebuild of a vehicle, by stage, with what is short.",
        _VEHICLE | {"days": "working days looked ahead for shortages [10]"},
        lambda ground, asked: kit_list(ground, asked["vehicle"]),
        needs=("vehicle",),
    ),
    Sort(
        "shortage-list",
        "Shortage list",
        "Which vehicle will stand for want of which unit, the dearest first, with room to act.",
        {
            "shop": "only what this shop must turn out",
            "vehicle": "only what this vehicle waits for",
            "days": "working days looked ahead [10]",
        },
        shortage_list,
    ),
    Sort(
        "day-sheet",
        "Shop day sheet",
        "What a shop turns out so that nothing stands and nothing piles up.",
        {"shop": "shop; left out: every shop", "days": "working days of the span [5]"},
        lambda ground, asked: day_sheets(ground, asked.get("shop", "")),
        usual_days=5,
    ),
    Sort(
        "flow-sheet",
        "Flow sheet",
        "The flow picture of one day, past, now or forecast: where it stands, where it piles up.",
        {
            "day": "day, as 2026-03-02: past, or up to ten working days ahead; left out: now",
            "size": "a3 or a4, both across [a3]",
        },
        lambda ground, asked: flow_sheet(ground, asked.get("size", "")),
        of_flow=True,
    ),
    Sort(
        "depot-letter",
        "Programme letter to a depot",
        "Which vehicles of a depot are called in on which day, and what is promised of the others.",
        {"depot": "depot; left out: every depot", "days": "working days looked ahead [20]"},
        lambda ground, asked: depot_letters(ground, asked.get("depot", "")),
        from_plan=True,
        usual_days=20,
    ),
    Sort(
        "programme-chart",
        "Programme chart",
        "The call-in programme as drawings: by week and type, inside, running totals, depots.",
        {},
        lambda ground, asked: programme_chart(ground),
        from_plan=True,
    ),
    Sort(
        "load-chart",
        "Load chart",
        "Every shop, stage, trade and plant against the pace.",
        {},
        lambda ground, asked: load_chart(ground),
        from_plan=True,
    ),
)

SORTS: dict[str, Sort] = {one.key: one for one in _ALL}
"""Key -> sort of paper."""
