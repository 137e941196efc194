"""The section on call-in: programme by week, inside, depots, running totals, the list itself."""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from pacewright.plans.plan import Plan
from pacewright.plans.programme import Zone
from pacewright.reports.call_tables import call_tables, programme_table
from pacewright.reports.drawings.corridor import corridor
from pacewright.reports.drawings.heat_map import heat_map
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.drawings.week_bars import week_bars
from pacewright.reports.drawings.week_line import week_line
from pacewright.reports.drawings.weeks import WeekAxis
from pacewright.reports.html_table import html_table
from pacewright.reports.table import Table, table, text, whole
from pacewright.reports.written import day, number, some
from pacewright.works import Works

MOST_CALLS = 3000
"""Above so many call-ins the page lists the firm zone only and points to the file."""

MOST_ROWS = 8000
"""Rows of the list in any case."""

_SHOWN = ("day", "week", "order", "vehicle_id", "type_id", "depot_id", "due", "limit", "due_by",
          "spare_days", "life_given_days", "chance_past_limit", "zone", "note")  # fmt: skip
_HEADS = {
    "day": "arrives",
    "spare_days": "spare days",
    "life_given_days": "days given away",
    "chance_past_limit": "chance past limit",
}


@dataclass(frozen=True, slots=True)
class CallSection:
    """What the template of the section needs."""

    types: tuple[tuple[str, str], ...]
    bars: Drawing
    inside: Drawing
    totals: Drawing
    depots: Drawing
    weeks_table: Drawing
    depots_table: Drawing
    fleet_table: Drawing
    unplaced_table: Drawing
    reliefs_table: Drawing
    list_table: Drawing
    list_note: str
    forced: str


def call_section(plan: Plan, works: Works) -> CallSection:
    """The section of one plan."""
    weeks = plan.programme.weeks
    axis = WeekAxis(
        tuple(w.monday for w in weeks),
        tuple(w.index for w in weeks if not w.working_days),
        _zones(plan),
    )
    labels = [w.label for w in weeks]
    types = _by_size(plan)
    type_names = {t.type_id: t.name for t in works.vehicle_types}
    tables = {one.name: one for one in call_tables(plan)}
    shown, note = _list(plan)
    names = [(d.depot_id, d.name) for d in works.depots]
    cells = {(d.depot_id, d.week): (d.away, d.limit) for d in plan.programme.depot_weeks}
    return CallSection(
        types=tuple((t, type_names.get(t, t)) for t in types),
        bars=week_bars(axis, types, [w.called_by_type for w in weeks],
                       [w.able for w in weeks], labels),
        inside=week_line(axis, [w.inside_end for w in weeks],
                         ("Vehicles inside at the end of each week", "inside at|week's end"),
                         works.settings.plan.inside_limit),
        totals=_totals(axis, plan),
        depots=heat_map(axis, names, cells, labels),
        weeks_table=html_table(tables["programme_weeks"]),
        depots_table=html_table(_depot_table(plan, works)),
        fleet_table=html_table(_fleet_table(plan)),
        unplaced_table=html_table(tables["unplaced"]),
        reliefs_table=html_table(tables["reliefs"]),
        list_table=html_table(shown, _SHOWN, _HEADS, ("zone", "type_id", "depot_id", "due_by")),
        list_note=note,
        forced=_forced(plan),
    )  # fmt: skip


def _by_size(plan: Plan) -> tuple[str, ...]:
    counts: dict[str, int] = defaultdict(int)
    for week in plan.programme.weeks:
        for type_id, count in week.called_by_type.items():
            counts[type_id] += count
    return tuple(sorted(counts, key=lambda t: (-counts[t], t)))


def _zones(plan: Plan) -> tuple[tuple[str, int, int], ...]:
    found: dict[str, tuple[int, int]] = {}
    for week in plan.programme.weeks:
        first, _ = found.get(week.zone.value, (week.index, 0))
        found[week.zone.value] = (first, week.index + 1)
    return tuple((name, first, after) for name, (first, after) in found.items())


def _list(plan: Plan) -> tuple[Table, str]:
    calls = plan.programme.calls
    if len(calls) <= MOST_CALLS:
        return programme_table(plan), f"All {len(calls):,} call-ins."
    firm = tuple(c for c in calls if c.zone is Zone.FIRM)[:MOST_ROWS]
    fewer = replace(plan, programme=replace(plan.programme, calls=firm))
    return programme_table(fewer), (
        f"{len(firm):,} of {len(calls):,} call-ins: those of the firm zone. All of them stand in"
        " tables/programme.csv and in plan.xlsx."
    )


def _totals(axis: WeekAxis, plan: Plan) -> Drawing:
    ends = [monday + timedelta(days=6) for monday in axis.mondays]
    windows = [w for w in plan.windows if w.opens and w.due and w.limit]
    least = plan.programme.least_pace
    return corridor(
        axis,
        (_running((w.opens for w in windows), ends), _running((w.limit for w in windows), ends)),
        (
            _running((w.due for w in windows), ends),
            _running((c.day for c in plan.programme.calls), ends),
        ),
        (axis.of(least.first), axis.of(least.last), _forced(plan)),
    )


def _running(days: Iterable[date | None], ends: list[date]) -> list[int]:
    count = [0] * (len(ends) + 1)
    for one in days:
        if one is not None:
            count[bisect_left(ends, one)] += 1
    total, running = 0, []
    for this in count[:-1]:
        total += this
        running.append(total)
    return running


def _forced(plan: Plan) -> str:
    least = plan.programme.least_pace
    return (
        f"{some(least.vehicles, 'vehicle')} in {least.working_days:,} working days,"
        f" {day(least.first)} to {day(least.last)}, force {number(least.vehicles_a_week, 2)} a week"
    )


def _depot_table(plan: Plan, works: Works) -> Table:
    names = {d.depot_id: d.name for d in works.depots}
    rows: dict[str, list[tuple[int, int | None]]] = defaultdict(list)
    for one in plan.programme.depot_weeks:
        rows[one.depot_id].append((one.away, one.limit))
    return table(
        ("depots", "Depot absences", "Most away at once, over all weeks of the horizon."),
        (text("depot", "depot", lambda r: f"{names.get(r[0], r[0])} ({r[0]})"),
         whole("limit", "most it can spare at first", "vehicles", lambda r: r[1][0][1]),
         whole("most_away", "most away in any week", "vehicles",
               lambda r: max(away for away, _ in r[1])),
         whole("weeks_at_limit", "weeks at the limit", "weeks",
               lambda r: sum(away == limit for away, limit in r[1])),
         whole("weeks_over", "weeks over the limit", "weeks",
               lambda r: sum(limit is not None and away > limit for away, limit in r[1]))),
        rows.items(),
    )  # fmt: skip


def _fleet_table(plan: Plan) -> Table:
    counts: dict[tuple[str, str], int] = defaultdict(int)
    for window in plan.windows:
        counts[window.type_id, window.standing.value] += 1
    types = sorted({t for t, _ in counts})
    found = sorted({s for _, s in counts})

    def count(standing: str) -> Callable[[str], int]:
        return lambda type_id: counts[type_id, standing]

    return table(
        ("fleet", "What the windows say", "Visits by type and standing."),
        (text("type", "vehicle type", lambda t: t),
         *(whole(s, f"visits that are {s}", "visits", count(s)) for s in found)),
        types,
    )  # fmt: skip
