"""The programme drawn over its weeks, and its tables."""

from collections.abc import Callable, Sequence

from pacewright.control.agreed import Agreed
from pacewright.office.sheets.programme_paper import label_of
from pacewright.plans.programme import Call
from pacewright.reports.drawings.heat_map import heat_map
from pacewright.reports.drawings.week_bars import week_bars
from pacewright.reports.drawings.week_line import week_line
from pacewright.reports.drawings.weeks import WeekAxis
from pacewright.reports.sheet import Part
from pacewright.reports.table import Table, day, number, share, table, text, whole


def drawn_parts(now: Agreed) -> tuple[Part, ...]:
    """Weeks, inside and depots as drawings with their tables."""
    weeks, counts = now.plan.programme.weeks, now.counts
    labels = [one.label for one in weeks]
    types = [one.type_id for one in now.works.vehicle_types]
    axis = WeekAxis(
        tuple(one.monday for one in weeks),
        tuple(one.index for one in weeks if not one.working_days),
        _zones(now),
    )
    by_type = [{t: counts.by_type[t, one.index] for t in types} for one in weeks]
    names = [(one.depot_id, one.name) for one in now.works.depots]
    cells = {
        (one.depot_id, one.week): (counts.away[one.depot_id, one.week], one.limit)
        for one in now.plan.programme.depot_weeks
    }
    return (
        Part("weeks", "Week by week", "Vehicles called in by week and type, each type with its own "
             "pattern from below; strokes: what the pace can take. Booked call-ins stand on the "
             "day booked. Firm, planned and outline as works.toml sets them.", _weeks(now, types),
             week_bars(axis, types, by_type, [one.able for one in weeks], labels),
             links={"week": "/programme?week={}"}, folded=True, empty="The plan has no weeks."),
        Part("inside", "Vehicles inside", "At the end of each week: called in and their turn time "
             "not over.", drawing=week_line(axis, [counts.inside[one.index] for one in weeks],
             ("Vehicles inside at the end of each week", "inside at|week's end"),
             now.works.settings.plan.inside_limit)),
        Part("depots", "Away from each depot", "Most vehicles away at once, in whole weeks; a "
             "stroke: at the limit, a cross: over it.", _depots(now),
             heat_map(axis, names, cells, labels), links={"depot_id": "/programme?depot={}"},
             folded=True, empty="No depots."),
    )  # fmt: skip


def _zones(now: Agreed) -> tuple[tuple[str, int, int], ...]:
    found: dict[str, tuple[int, int]] = {}
    for one in now.plan.programme.weeks:
        first, _ = found.get(one.zone.value, (one.index, 0))
        found[one.zone.value] = (first, one.index + 1)
    return tuple((name, first, after) for name, (first, after) in found.items())


def _weeks(now: Agreed, types: Sequence[str]) -> Table:
    counts = now.counts

    def of_type(type_id: str) -> Callable[..., int]:
        return lambda one: counts.by_type[type_id, one.index]

    return table(
        ("programme_weeks", "Programme by week", "Vehicles called in each week, as agreed."),
        (text("week", "ISO 8601 week", "label"), day("monday", "its Monday"),
         text("zone", "firm, planned or outline"),
         whole("working_days", "days worked in it", "days"),
         whole("able", "vehicles the pace can take", "vehicles"),
         whole("called", "vehicles called in", "vehicles", lambda one: counts.called[one.index]),
         *(whole(f"called_{t}", f"of them type {t}", "vehicles", of_type(t)) for t in types),
         whole("inside_end", "vehicles inside at its end", "vehicles",
               lambda one: counts.inside[one.index])),
        now.plan.programme.weeks,
    )  # fmt: skip


def _depots(now: Agreed) -> Table:
    labels = {one.index: one.label for one in now.plan.programme.weeks}
    return table(
        ("depot_weeks", "Depot absences", "Most vehicles away at once in each week, as agreed."),
        (text("depot_id", "depot"), text("week", "ISO 8601 week", lambda one: labels[one.week]),
         whole("away", "most vehicles away at once", "vehicles",
               lambda one: now.counts.away[one.depot_id, one.week]),
         whole("limit", "most it can spare; blank: no limit", "vehicles")),
        now.plan.programme.depot_weeks,
    )  # fmt: skip


def awaited_table(now: Agreed) -> Table:
    """Vehicles called in and not come as rows."""
    return table(
        ("awaited", "Called in and not come", "One row a vehicle, in order of the day booked."),
        (text("vehicle_id", "vehicle"), text("type_id", "its type"), text("depot_id", "its depot"),
         day("booked_day", "day its depot was told"),
         day("planned_day", "day on which the plan has it come; blank: none"),
         whole("late_days", "days since the day its depot was told; 0: it lies ahead", "days"),
         day("limit", "last day it may run; blank: cannot be told")),
        now.awaited,
    )  # fmt: skip


def call_table(now: Agreed, calls: Sequence[Call]) -> Table:
    """Call-ins as rows."""
    return table(
        ("calls", "Call-ins", "One row a call-in, in order of arrival."),
        (text("week", "ISO 8601 week", label_of),
         day("day", "working day of arrival"),
         text("vehicle_id", "vehicle"), text("type_id", "its type"), text("depot_id", "its depot"),
         whole("visit", "1 its next visit, 2 the one after", "visit"),
         text("zone", "firm, planned or outline"),
         day("called_for", "day its depot was told; blank: not called in yet"),
         day("opens", "first day it may come"), day("due", "day it is due"),
         day("limit", "last day it may run"), text("due_by", "time, distance or licence"),
         number("spare_days", "days left to the limit; negative: past it", "days"),
         number("life_given_days", "permitted life given away", "days"),
         share("chance_past_limit", "chance that the true limit falls before the arrival"),
         text("note", "what the planner must know of it")),
        calls,
    )  # fmt: skip
