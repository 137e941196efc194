"""Vehicles: all that are inside, at the gate and called; where each is and when it is due out."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime

from pacewright.events.standing import Phase, VehicleStanding
from pacewright.office.desk import Desk
from pacewright.office.sheets.asked import choice_asked
from pacewright.office.sheets.today_made import DayPaper
from pacewright.office.sheets.today_paper import day_paper
from pacewright.office.sheets.vehicles_forecast import Forecast, forecast_of
from pacewright.office.sheets.vehicles_rows import GOING_ON, VehicleRow, VehicleRows
from pacewright.reports.drawings.promise_rows import PromiseRow, promise_rows
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.promise_tables import threat_words
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.table import Table, day, moment, share, table, text, whole, yes_no
from pacewright.reports.written import listed, number, some

MOST_DRAWN = 60
"""Vehicles in the drawing: the first to be due; the table has all."""

HERE, ALL = "here", "all"
PHASES = (HERE, *(one.value for one in Phase), ALL)
"""Choices of the filter; ``here``: inside, at the gate or called."""
STATES = ("", "held", "late", "no promise")
"""Choices of the filter; empty: any."""

FORECAST_HOW = (
    "Forecast: the works run on from its record, many times, with chance in times, inspection and "
    "returns of units; the range holds 90 % of the runs. By the schedule: the days ahead with "
    "positions, people and missing units, all times at their means. The first promise of a visit "
    "is kept for ever; the current one is what was told last. The day to promise is kept as often "
    "as promise_target of the settings asks. A person promises, never the tool."
)


def vehicles(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """Every vehicle of a phase, with filters.

    Raises
    ------
    ValueError : a filter is wrong.
    """
    paper = day_paper(desk)
    forecast = forecast_of(desk, paper)
    going_on = list(VehicleRows(paper, forecast).going_on())
    rows = _chosen(paper, forecast, asked)
    return Sheet(
        key="vehicles",
        title="Vehicles",
        question="Where is each vehicle, what holds it, and will it be out when promised?",
        answer=_answer(going_on, rows, asked),
        figures=_figures(going_on, forecast),
        parts=(
            Part("vehicles", "Vehicles",
                 "Where: stage and position of the vehicle, or of the assembly that carries its "
                 "number while it is in pieces. Stages: passed of those on its own way. "
                 + FORECAST_HOW, vehicles_table(rows),
                 links={"vehicle_id": "/vehicles/{}"},
                 columns=("vehicle_id", "type_id", "phase", "where", "since", "way", "state",
                          "waits_for", "opens_on", "first_promise", "promise", "scheduled",
                          "expected", "to_promise", "keeps_share"),
                 empty="No vehicle fits what was asked. Vehicles come here when they are called, "
                       "or arrive."),
            Part("promises", "Promises and forecasts",
                 FORECAST_HOW + f" At most {MOST_DRAWN} vehicles, the first due first; the table "
                 "above says the same of all.", drawing=_drawing(paper, rows)),
        )[: 2 if _drawable(rows) else 1],
        up_to=paper.place,
        basis=(*paper.basis, forecast.said),
    )  # fmt: skip


def _chosen(paper: DayPaper, forecast: Forecast, asked: Mapping[str, str]) -> list[VehicleRow]:
    phase, state = choice_asked(asked, "phase", PHASES), choice_asked(asked, "state", STATES)
    type_id = choice_asked(asked, "type", ("", *(one.type_id for one in paper.works.vehicle_types)))
    find = asked.get("find", "").strip().casefold()
    known = [
        one
        for one in _known(paper, phase)
        if type_id in ("", one.type_id) and find in one.vehicle_id.casefold()
    ]
    rows = [one for one in VehicleRows(paper, forecast).of(known) if _is(one, state)]
    return sorted(rows, key=_order)


def _known(paper: DayPaper, phase: str) -> list[VehicleStanding]:
    told = paper.standing.vehicles
    if phase == HERE:
        return [one for one in told.values() if one.phase in GOING_ON]
    found = [one for one in told.values() if phase in (ALL, one.phase.value)]
    if phase in (ALL, Phase.IN_SERVICE.value):
        found += [
            VehicleStanding(one.vehicle_id, one.type_id, one.depot_id)
            for one in paper.works.vehicles
            if one.vehicle_id not in told and one.state != "withdrawn"
        ]
    return found


def _is(row: VehicleRow, state: str) -> bool:
    if state == "held":
        return row.held
    if state == "late":
        return bool(row.late)
    return row.known.promise is None if state == "no promise" else True


def _order(row: VehicleRow) -> tuple[int, date, str]:
    phase = row.known.phase
    place = GOING_ON.index(phase) if phase in GOING_ON else len(GOING_ON)
    return place, row.known.promise or row.known.due_in or date.max, row.vehicle_id


def vehicles_table(rows: Sequence[VehicleRow]) -> Table:
    """Vehicles as rows."""
    return table(
        ("vehicles", "Vehicles", "Inside, at the gate, called; earliest promise first."),
        (text("vehicle_id", "vehicle", "vehicle_id"), text("type_id", "its type", "known.type_id"),
         text("depot_id", "its depot", "known.depot_id"),
         text("phase", "how far it is", "known.phase"),
         text("where", "where it, or the assembly with its number, stands"),
         text("stage_id", "stage where that is"),
         moment("since", "since when"),
         text("way", "stages of its way it has passed / all",
              lambda r: f"{r.passed}/{r.stages}" if r.stages else ""),
         whole("stages_passed", "stages of its way it has passed", "stages", "passed"),
         whole("stages", "stages of its own way in all", "stages"),
         text("state", "what is done with it, or what cause holds it"),
         text("waits_for", "what it waits for: unit kind, stage, trade or assembly"),
         text("opens", "what ends the wait"),
         day("opens_on", "day that is expected; blank: not known"),
         day("arrived", "day it came", lambda r: r.known.arrived_at and r.known.arrived_at.date()),
         day("due_in", "day it is called for", "known.due_in"),
         day("first_promise", "first promise of this visit", "known.first_promise"),
         day("promise", "current promise", "known.promise"),
         day("scheduled", "ready by the schedule; blank: no date"),
         day("expected", "release by the forecast, mean of the runs", _ahead("expected")),
         day("earliest", "begin of the forecast's range of 90 %", _ahead("earliest")),
         day("latest", "end of that range; blank: beyond the time run through", _ahead("latest")),
         day("to_promise", "day kept in the share promise_target of the runs: what to promise",
             lambda r: r.forecast.to_promise if r.forecast else None),
         share("keeps_share", "runs in which the current promise is kept",
               lambda r: r.forecast.keeps_share if r.forecast else None),
         text("threat", "what makes it late in the runs in which it is",
              lambda r: threat_words(r.forecast) if r.forecast else ""),
         yes_no("late", "yes: expected after the current promise; blank: no promise or no date")),
        rows,
    )  # fmt: skip


def _ahead(name: str) -> Callable[[VehicleRow], date | None]:
    """The day of one moment of a row's forecast."""

    def take(row: VehicleRow) -> date | None:
        moment: datetime | None = getattr(row.forecast, name, None)
        return moment.date() if moment is not None else None

    return take


def _answer(
    going_on: Sequence[VehicleRow], rows: Sequence[VehicleRow], asked: Mapping[str, str]
) -> tuple[str, ...]:
    count = {phase: sum(row.known.phase is phase for row in going_on) for phase in GOING_ON}
    said = [
        f"{some(count[Phase.INSIDE], 'vehicle')} inside, {count[Phase.AT_GATE]} at the gate, "
        f"{count[Phase.CALLED]} called."
    ]
    held = [row.vehicle_id for row in going_on if row.held]
    late = [row.vehicle_id for row in going_on if row.late]
    said.append(f"Held: {listed(held)}." if held else "None is held.")
    said.append(
        f"Expected after the current promise: {listed(late)}."
        if late
        else "None is expected after its promise."
    )
    chosen = [
        f"{name} {asked[name]}" for name in ("phase", "type", "state", "find") if asked.get(name)
    ]
    if chosen:
        said.append(f"Shown: {', '.join(chosen)}: {some(len(rows), 'vehicle')}.")
    return tuple(said)


def _figures(rows: Sequence[VehicleRow], forecast: Forecast) -> tuple[Figure, ...]:
    inside = [row for row in rows if row.known.phase is Phase.INSIDE]
    promised = [row for row in inside if row.known.promise is not None]
    held, late = sum(row.held for row in inside), sum(bool(row.late) for row in promised)
    keeps = [row.forecast.keeps_share for row in promised
             if row.forecast is not None and row.forecast.keeps_share is not None]  # fmt: skip
    return (
        Figure("Inside", number(len(inside), 0), "vehicles",
               "Let in and not released, by the record."),
        Figure("Held", number(held, 0), "vehicles",
               "The vehicle, or the assembly that carries its number, can neither go on nor be "
               "worked on; what it waits for stands in the table."),
        Figure("Late", number(late, 0), f"of {some(len(promised), 'promised vehicle')}",
               "Expected after the current promise: by the forecast, or by the schedule where "
               "there is no forecast."),
        Figure("Promises kept", number(sum(keeps), 1) if keeps else "-",
               f"expected, of {len(keeps)}" if keeps else "no forecast",
               "Sum of the chances of keeping each current promise, by the forecast. "
               + forecast.said),
    )  # fmt: skip


def _drawable(rows: Sequence[VehicleRow]) -> list[VehicleRow]:
    return [row for row in rows if row.known.promise or row.expected][:MOST_DRAWN]


def _drawing(paper: DayPaper, rows: Sequence[VehicleRow]) -> Drawing | None:
    drawn = _drawable(rows)
    if not drawn:
        return None
    said = ("Promises and forecasts", "First and current promise beside the forecast's range.")
    return promise_rows("promiserows", said, paper.today.now, [promise_row(row) for row in drawn])


def promise_row(row: VehicleRow) -> PromiseRow:
    """The vehicle as a row of the drawing."""
    one = row.forecast
    return PromiseRow(
        row.vehicle_id,
        row.known.first_promise,
        row.known.promise,
        one.expected if one else None,
        one.earliest if one else None,
        one.latest if one else None,
        row.scheduled,
    )
