"""Tables of the fleet and its call-in: programme, weeks, depots, due windows."""

from typing import Any

from pacewright.plans.plan import Plan
from pacewright.reports.table import Table, day, number, share, table, text, whole

_VEHICLE = (
    text("vehicle_id", "vehicle number"),
    text("type_id", "its type"),
    text("depot_id", "its depot"),
)


def call_tables(plan: Plan) -> tuple[Table, ...]:
    """Every table that comes from due windows and programme."""
    programme = plan.programme
    return (
        programme_table(plan),
        weeks_table(plan),
        _depot_weeks(plan),
        table(
            ("unplaced", "Vehicles without a place", "What the programme could not fit, and why."),
            (*_VEHICLE, day("due", "day it is due"), day("limit", "last day it may run"),
             text("reason", "why it found no place"), text("remedy", "what would give it one")),
            programme.unplaced,
        ),
        table(
            ("reliefs", "Least easing of a rule", "What would have to give for all to fit."),
            (text("kind", "rule eased: pace, depot, type or inside"),
             text("where", "depot or type meant; blank: the whole works"),
             day("first", "first day it is needed"), day("last", "last day it is needed"),
             number("amount", "how much, in the unit of the next column", "see unit"),
             text("unit", "unit of the amount"),
             whole("vehicles", "vehicles it makes fit", "vehicles"),
             text("sentence", "the same in words")),
            programme.reliefs,
        ),
        _windows(plan),
    )  # fmt: skip


def programme_table(plan: Plan) -> Table:
    """Who comes in when, in order of arrival."""
    unit = f"{plan.distance_unit} a day"
    rate = {(w.vehicle_id, w.visit): w.distance_a_day for w in plan.windows}
    label = {week.index: week.label for week in plan.programme.weeks}
    return table(
        ("programme", "Call-in programme", "One row a call-in, in order of arrival."),
        (text("week", "ISO 8601 week", lambda c: label.get(c.week, "")),
         day("day", "working day of arrival"),
         whole("order", "place in the week's order of arrival", "place"),
         *_VEHICLE,
         whole("visit", "1 its next visit, 2 the one after", "visit"),
         text("zone", "firm, planned or outline"),
         day("opens", "first day it may come"), day("due", "day it is due"),
         day("limit", "last day it may run"),
         day("latest", "limit less the guard kept for forecast error"),
         text("due_by", "what makes it due: time, distance or licence"),
         whole("life_given_days", "permitted life given away by coming early", "days"),
         whole("spare_days", "days left to the limit; negative: past it", "days"),
         share("chance_past_limit", "chance that the true limit falls before the arrival"),
         number("distance_a_day", "usual distance of the vehicle", unit,
                lambda c: rate.get((c.vehicle_id, c.visit))),
         day("called_for", "day its depot was told; blank: not called in yet"),
         text("note", "what the planner must know of it")),
        plan.programme.calls,
    )  # fmt: skip


def weeks_table(plan: Plan) -> Table:
    """The programme week by week."""
    types = sorted({t for week in plan.programme.weeks for t in week.called_by_type})
    return table(
        ("programme_weeks", "Programme by week", "Vehicles called in each week, by type."),
        (text("week", "ISO 8601 week", "label"), day("monday", "its Monday"),
         text("zone", "firm, planned or outline"),
         whole("working_days", "days worked in it", "days"),
         whole("able", "vehicles the pace can take", "vehicles"),
         whole("called", "vehicles called in", "vehicles"),
         *(whole(f"called_{t}", f"of them type {t}", "vehicles", _of_type(t)) for t in types),
         whole("inside_end", "vehicles inside at its end", "vehicles")),
        plan.programme.weeks,
    )  # fmt: skip


def _of_type(type_id: str) -> Any:
    return lambda week: week.called_by_type.get(type_id, 0)


def _depot_weeks(plan: Plan) -> Table:
    label = {week.index: week.label for week in plan.programme.weeks}
    return table(
        ("depot_weeks", "Depot absences", "Most vehicles of a depot away at once in each week."),
        (text("depot_id", "depot"), text("week", "ISO 8601 week", lambda d: label.get(d.week, "")),
         whole("away", "most vehicles away at once", "vehicles"),
         whole("limit", "most it can spare; blank: no limit", "vehicles")),
        plan.programme.depot_weeks,
    )  # fmt: skip


def _windows(plan: Plan) -> Table:
    return table(
        ("due_windows", "Due windows", "When each vehicle may, should and must come in."),
        (*_VEHICLE,
         whole("visit", "1 its next visit, 2 the one after", "visit"),
         text("standing", "due, overdue, later, inside, withdrawn or unknown"),
         day("opens", "first day it may come"), day("due", "day it is due"),
         day("limit", "last day it may run"),
         day("latest", "limit less the guard kept for forecast error"),
         text("due_by", "what makes it due: time, distance or licence"),
         number("sd_days", "standard deviation of the due day as forecast today", "days"),
         number("firm_sd_days", "what remains of it when the call-in becomes firm", "days"),
         number("distance_a_day", "usual distance", f"{plan.distance_unit} a day"),
         whole("readings", "odometer readings the distance rests on", "readings"),
         text("note", "what the planner must know of it")),
        plan.windows,
    )  # fmt: skip
