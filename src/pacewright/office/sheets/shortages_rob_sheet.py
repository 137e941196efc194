"""The page on robbing: who could give a unit, and what taking it would cost, before two approve."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from pacewright.office.desk import Desk
from pacewright.office.sheets.shortages_rob import (
    RobCase,
    as_waits,
    day_for_robbing,
    donors,
    rob_case,
    robbed_before,
)
from pacewright.office.sheets.shortages_rob_price import RUNS, cost_job, price_of
from pacewright.office.sheets.today_made import DayPaper
from pacewright.plans.robbing import RobCost, RobSide
from pacewright.reports.address import value
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.table import Table, day, number, share, table, text
from pacewright.reports.written import number as written

QUESTION = "Should one vehicle give a unit to another, and what would it cost both?"
CAUTION = (
    "A lifted vehicle is supported before anything is taken off; no two jobs where one needs it "
    "moved. Air, springs and high voltage: local rules.",
    "A must-change unit that has run is not robbed for another vehicle. A safety hold is not "
    "robbed round.",
)
_ASKED = (
    "Choose a shortage on the page Shortages, or give 'for' (a kind and what it is short for, as "
    "motor/vehicle:101), or 'unit' and 'to' by their codes."
)


@dataclass(frozen=True)
class RobState:
    """What the page shows.

    Parameters
    ----------
    cost : None: not asked, or still being worked out.
    pending : it is being worked out.
    """

    case: RobCase
    cost: RobCost | None
    pending: bool


def rob_state(desk: Desk, paper: DayPaper, asked: Mapping[str, str]) -> RobState:
    """What is asked for, and its price when that is there.

    Raises
    ------
    NotFoundError : the record does not know unit or vehicle.
    NoPlanError : the works cannot be run through.
    """
    case = rob_case(paper, as_waits(desk, asked))
    if not case.unit:
        return RobState(case, None, False)
    cost = price_of(cost_job(desk, paper, case))
    return RobState(case, cost, cost is None)


def rob_sheet(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """The page.

    Raises
    ------
    As ``rob_state``.
    """
    paper = day_for_robbing(desk, as_waits(desk, asked))
    state = rob_state(desk, paper, asked)
    return Sheet(
        key="rob",
        title="Robbing",
        question=QUESTION,
        answer=_answer(paper, state),
        figures=_figures(state.cost),
        parts=tuple(_parts(paper, state)),
        caution=tuple(dict.fromkeys((*CAUTION, *(state.cost.cautions if state.cost else ())))),
        up_to=paper.place,
        basis=paper.basis,
        awaited=state.pending,
    )


def _answer(paper: DayPaper, state: RobState) -> tuple[str, ...]:
    case, cost = state.case, state.cost
    if not case.kind:
        return ("Nothing is chosen.", _ASKED)
    if not case.unit:
        found = donors(paper, case)
        if not found:
            return (f"No other vehicle inside has a serviceable {case.kind} to give.",)
        return (f"{case.kind} for {case.to}: choose the unit that would be taken.",)
    what = f"{case.unit} off {case.off or 'nothing'} for {case.to}"
    if state.pending:
        return (f"{what}: the price is being worked out, {RUNS} pairs of runs. Show this page "
                "again in a moment.",)  # fmt: skip
    assert cost is not None
    if cost.refused:
        return (f"{what} may not be done:", *cost.refused)
    worse = "costs" if cost.vehicle_days > 0 else "gains"
    return (
        f"{what}: in all it {worse} {written(abs(cost.vehicle_days))} vehicle-days and takes "
        f"{written(cost.hours)} working hours on the two vehicles.",
        f"Priced on the record as of {cost.now:%Y-%m-%d %H:%M}. Nothing is booked until two "
        "persons approve.",
    )


def _figures(cost: RobCost | None) -> tuple[Figure, ...]:
    if cost is None or cost.robbed is None or cost.helped is None:
        return ()
    how = (
        f"Mean over {cost.runs} pairs of runs with and without it, chance shared; the interval "
        "holds the true mean in 95 of 100 such trials."
    )
    return (
        Figure(f"Vehicle {cost.robbed.vehicle_id}, robbed", _later(cost.robbed),
               "working days later", how + " It waits for another unit; then the work left "
               "where it stands goes on, and fitting is added. What was tested without it is "
               "tested again."),
        Figure(f"Vehicle {cost.helped.vehicle_id}, helped", _later(cost.helped),
               "working days later", how + " Below nought: sooner."),
        Figure("All others together", f"{cost.others_days:+.1f}", "vehicle-days", how),
        Figure("Work", written(cost.hours), "working hours",
               "Taking off and fitting again on both vehicles: rob_hours of the kind, or "
               "plan.rob_hours, on each."),
    )  # fmt: skip


def _later(side: RobSide) -> str:
    return f"{side.days_later:+.1f} ± {side.half_width:.1f}"


def _parts(paper: DayPaper, state: RobState) -> list[Part]:
    case, cost = state.case, state.cost
    parts = []
    if cost is not None and not cost.refused:
        parts.append(
            Part("sides", "The two vehicles, without and with it",
                 "Release expected by the runs, and the share of runs in which the current promise "
                 "is kept.", _sides(cost), links={"vehicle_id": "/vehicles/{}"})
        )  # fmt: skip
    if case.kind:
        to = value(case.to)
        parts.append(
            Part("donors", f"Who could give a {case.kind}",
                 "Serviceable units of the kind on vehicles inside, or issued for them, the latest "
                 "promise first. Whether it may be taken is judged when it is chosen.",
                 _donor_table(paper, case),
                 links={"unit": f"/shortages/rob?to={to}&unit={{}}", "vehicle_id": "/vehicles/{}"},
                 empty="None: no other vehicle inside has one that is serviceable.")
        )  # fmt: skip
    parts.append(
        Part("register", "What was robbed before", "Every robbing of the record, the latest first; "
             "made good: the day the robbed one got a unit of the kind again.", _register(paper),
             links={"robbed_id": "/vehicles/{}", "helped_id": "/vehicles/{}"},
             empty="Nothing was ever robbed, by the record.")
    )  # fmt: skip
    return parts


def _sides(cost: RobCost) -> Table:
    return table(
        ("sides", "Robbed and helped", "One row a vehicle."),
        (text("vehicle_id", "vehicle"),
         text("part", "robbed or helped", lambda s: "robbed" if s is cost.robbed else "helped"),
         day("promise", "current promise"),
         day("before", "release expected without it; blank: not in most runs",
             lambda s: _date(s.before)),
         day("after", "with it", lambda s: _date(s.after)),
         number("days_later", "mean difference; below nought: sooner", "working days"),
         number("half_width", "half width of its interval of 95 %", "working days"),
         share("keeps_before", "chance that the promise is kept, without it"),
         share("keeps_after", "with it"), number("hours", "work on it", "working hours")),
        [cost.robbed, cost.helped],
    )  # fmt: skip


def _date(moment: datetime | None) -> date | None:
    return moment.date() if moment else None


def _donor_table(paper: DayPaper, case: RobCase) -> Table:
    return table(
        ("donors", "Units on other vehicles", "One row a unit."),
        (text("unit", "unit, by its code"), text("vehicle_id", "vehicle that would be robbed"),
         text("off", "what it is on, or issued for"), text("state", "fitted or issued"),
         text("stage_id", "stage where that stands"),
         day("promise", "current promise of that vehicle; blank: none")),
        donors(paper, case),
    )  # fmt: skip


def _register(paper: DayPaper) -> Table:
    return table(
        ("register", "Robbings", "One row a robbing."),
        (day("day", "when", lambda r: r.at.date()), text("unit", "what"), text("off", "off what"),
         text("to", "for what"), text("robbed_id", "vehicle robbed"),
         text("helped_id", "vehicle helped"), text("approved_by", "first approval"),
         text("second_approval", "second"), text("reason", "why"),
         number("hours", "work by the settings", "working hours"),
         day("made_good", "day on which the robbed one got one again; blank: not yet"),
         number("owed_days", "how long it was, or is, without", "working days")),
        robbed_before(paper),
    )  # fmt: skip
