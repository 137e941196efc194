"""The call-in programme: who comes in when, as agreed, week by week and depot by depot."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pacewright.control.agreed import Agreed
from pacewright.office.desk import Desk
from pacewright.office.sheets.asked import whole_asked
from pacewright.office.sheets.programme_paper import agreed_paper, being_made, label_of
from pacewright.office.sheets.programme_tables import awaited_table, call_table, drawn_parts
from pacewright.plans.programme import Call, Zone
from pacewright.reports.call_tables import call_tables
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.written import day as written_day
from pacewright.reports.written import listed, rate, some
from pacewright.reports.written import number as written

MOST_ROWS = 400
"""Call-ins on one page; ``first`` leads on to more. Files of the plan hold all."""

ALL = "all"
QUESTION = "Who comes in when, and is every vehicle inside its limit?"
CAUTION = (
    "No vehicle runs past its limit. One that is past it stands until it is brought in; how it may "
    "be brought is for local rules.",
    "An odometer that is not known is not known; it is never taken for not due.",
)


@dataclass(frozen=True, slots=True)
class Chosen:
    """What of the programme is listed; empty: everything."""

    zone: str
    type_id: str
    depot_id: str
    week: str
    vehicle: str
    first: int

    def fits(self, now: Agreed, call: Call) -> bool:
        """Whether a call-in is listed."""
        return (
            self.zone in (ALL, call.zone.value)
            and self.type_id in ("", call.type_id)
            and self.depot_id in ("", call.depot_id)
            and self.week in ("", label_of(call))
            and self.vehicle in call.vehicle_id
        )


def chosen_of(now: Agreed, asked: Mapping[str, str]) -> Chosen:
    """What was asked for.

    Raises
    ------
    ValueError : a choice there is not; it names those there are.
    """

    def one(name: str, choices: Sequence[str], usual: str = "") -> str:
        said = asked.get(name, "").strip() or usual
        if said and said not in choices:
            raise ValueError(
                f"{name}: {said[:40]!r} found. It is one of {', '.join(choices[:30])}. Choose one."
            )
        return said

    week = one("week", [each.label for each in now.plan.programme.weeks])
    vehicle = asked.get("vehicle", "").strip()
    zones = [ALL, *(zone.value for zone in Zone)]
    return Chosen(
        one("zone", zones, ALL if week or vehicle else Zone.FIRM.value),
        one("type", [each.type_id for each in now.works.vehicle_types]),
        one("depot", [each.depot_id for each in now.works.depots]),
        week,
        vehicle,
        whole_asked(asked, "first", 1, 1, 10**7),
    )


def programme(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """The programme as agreed.

    Raises
    ------
    NoPlanError : no programme can be made; it says why.
    ValueError : a filter is wrong.
    """
    now = agreed_paper(desk)
    if now is None:
        return being_made("programme", "Programme", QUESTION)
    chosen = chosen_of(now, asked)
    return Sheet(
        key="programme",
        title="Programme",
        question=QUESTION,
        answer=_answer(now),
        figures=_figures(now),
        parts=(*_drawn(desk, now), *_listed(now, chosen)),
        caution=CAUTION,
        basis=(
            f"Plan of {now.plan.today}, inputs {now.plan.inputs_hash}, with every call-in booked "
            "until now set over it.",
        ),
    )


def _drawn(desk: Desk, now: Agreed) -> tuple[Part, ...]:
    mark = (now.plan.inputs_hash, now.awaited)
    return desk.paper("programme drawn", lambda: drawn_parts(now), mark)


def _answer(now: Agreed) -> tuple[str, ...]:
    paper, late = now.plan.programme, [c for c in now.calls if c.spare_days < 0]
    firm = [one for one in paper.weeks if one.zone is Zone.FIRM]
    said = [
        f"{some(len(now.calls), 'call-in')} in {some(len(paper.weeks), 'week')}; "
        f"{some(sum(c.zone is Zone.FIRM for c in now.calls), 'of them is', 'of them are')} firm, "
        f"up to the week of {written_day(firm[-1].monday)}."
        if firm
        else f"{some(len(now.calls), 'call-in')} in {some(len(paper.weeks), 'week')}.",
        f"{some(len(late), 'vehicle')} would come past the limit and must stand until then."
        if late
        else "Every vehicle called comes inside its limit.",
    ]
    if paper.unplaced:
        said.append(f"{some(len(paper.unplaced), 'visit')} found no place; see below.")
    if now.awaited:
        said.append(
            f"{some(len(now.awaited), 'vehicle is', 'vehicles are')} called in and not come; the "
            "plan keeps the day each depot was told."
        )
        if overdue := [one.vehicle_id for one in now.awaited if one.late_days]:
            said.append(
                f"{some(len(overdue), 'of them is', 'of them are')} overdue, the day has passed: "
                f"{listed(overdue)}. Ask the depot; then book a new day, or call it off. Until "
                "then the plan has it come on its first working day."
            )
    return tuple(said)


def _figures(now: Agreed) -> tuple[Figure, ...]:
    paper, week_days = now.plan.programme, now.works.week_days
    given = sum(one.life_given_days for one in now.calls) / max(1, len(now.calls))
    return (
        Figure("Pace", rate(paper.pace_a_day * week_days), "vehicles a week",
               "The last pace step of works.toml inside the horizon, or the least that fits."),
        Figure("Least pace", rate(paper.least_pace.vehicles_a_week), "vehicles a week",
               f"Exact: {some(paper.least_pace.vehicles, 'vehicle')} have their whole window "
               f"between {written_day(paper.least_pace.first)} and "
               f"{written_day(paper.least_pace.last)}."),
        Figure("Life given away", written(given), "days a call-in",
               "Days before the due day, on the mean of all call-ins; coming late counts none."),
        Figure("Called in, not come", str(len(now.awaited)), "vehicles",
               "By the record: called and neither at the gate nor called off."),
    )  # fmt: skip


def _listed(now: Agreed, chosen: Chosen) -> tuple[Part, ...]:
    fitting = [one for one in now.calls if chosen.fits(now, one)]
    shown = fitting[chosen.first - 1 : chosen.first - 1 + MOST_ROWS]
    tables = {one.name: one for one in call_tables(now.plan)}
    last = chosen.first - 1 + len(shown)
    how = (
        f"Rows {chosen.first} to {last} of {len(fitting)} that fit what was asked. A vehicle leads "
        "to the page on which it is moved to another day, with the consequence shown first."
    )
    return (
        Part("awaited", "Called in and not come", "By the record, beside the day on which the plan "
             "has it come. They are the same, but for a vehicle booked after the plan was made, "
             "one told a day that is not worked, and one overdue, which comes next.",
             awaited_table(now),
             links={"vehicle_id": "/programme/{}"},
             empty="No vehicle is called in: nothing is agreed with any depot yet."),
        Part("calls", "Call-ins", how, call_table(now, shown),
             links={"vehicle_id": "/programme/{}", "week": "/programme?week={}"},
             empty="No call-in fits what was asked."),
        Part("unplaced", "Visits without a place", "What the programme could not fit, and what "
             "would give it a place.", tables["unplaced"], links={"vehicle_id": "/programme/{}"},
             empty="Every visit found a place."),
        Part("reliefs", "Least easing that makes all fit", "Each row eases one rule by the least "
             "that is needed.", tables["reliefs"],
             empty="Nothing needs easing: every vehicle fits."),
    )  # fmt: skip
