"""Parts: the float of every unit kind as it stands, how long it lasts, who will stand for it."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import isfinite

from pacewright.control.cover import Cover, FloatCover
from pacewright.control.pool import Pool
from pacewright.office.desk import Desk
from pacewright.office.sheets.asked import choice_asked
from pacewright.office.sheets.today_made import DayPaper
from pacewright.office.sheets.today_paper import day_paper
from pacewright.plans.floatlist import FloatLine
from pacewright.reports.drawings.beside_bars import BesideRow, BesideWords, beside_bars
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.table import Table, day, number, share, table, text, whole
from pacewright.reports.today import CAUTION
from pacewright.reports.written import listed, some
from pacewright.reports.written import number as written
from pacewright.reports.written import share as written_share

MOST_DRAWN = 30
"""Kinds in the drawing, the first to run out first; the table has all."""
MOST_DAYS = 60.0
"""Cover drawn no further than this."""

STATES = ("", "short", "runs out", "tight", "overdue")
"""Choices of the filter; empty: any."""

HOW = (
    "Serviceable: ready, and given out for nothing. Issued: ready, and given out for one vehicle. "
    "Unserviceable: waiting for repair or in it; overdue of those: longer than all but one turn in "
    "ten thousand. Quarantine: set aside. The conditions are never summed. Cover: serviceable over "
    "demand a day, how long it lasts if none came back. Runs out: the first day on which, with the "
    "returns expected, more is wanted than is there. Chance: to run out within ten working days. "
    "Needed and ready: from the float list of the plan; ready is the chance that a unit is there "
    "on the day with the float held."
)
_PRESSING = (Cover.OUT, Cover.RUNS_OUT, Cover.TIGHT)

LINKS = {
    "unit_kind_id": "/parts/{}",
    "shop_id": "/shops/{}",
    "vehicle_id": "/vehicles/{}",
    "serial": "/serial?code={}",
    "carrier": "/scan?code={}",
    "place": "/record/{}",
    "owner": "/shops/{}",
}


@dataclass(frozen=True, slots=True)
class KindRow:
    """One unit kind at a glance.

    Parameters
    ----------
    short : vehicles that will stand for want of it, within the days looked ahead.
    line : of the plan; None: there is no plan.
    """

    cover: FloatCover
    pool: Pool
    short: int
    runs_out: date | None
    line: FloatLine | None

    @property
    def overdue(self) -> int:
        """Units in repair longer than the law of the kind speaks of."""
        return sum(one.overdue for one in self.pool.coming)


def kind_rows(paper: DayPaper) -> list[KindRow]:
    """Every unit kind, the first to run out first."""
    one = paper.today
    stands = {(row.unit_kind_id, row.vehicle_id or row.piece) for row in one.short}
    short = Counter(kind_id for kind_id, _ in stands)
    lines = {row.unit_kind_id: row for row in paper.plan.floats.lines} if paper.plan else {}
    return [
        KindRow(
            row,
            one.pool[row.unit_kind_id],
            short[row.unit_kind_id],
            one.seen.clock.date_of(row.runs_out_day) if row.runs_out_day is not None else None,
            lines.get(row.unit_kind_id),
        )
        for row in one.cover
    ]


def parts(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """Every unit kind, with filters.

    Raises
    ------
    ValueError : a filter is wrong.
    """
    paper = day_paper(desk)
    every = kind_rows(paper)
    rows = _chosen(paper, every, asked)
    return Sheet(
        key="parts",
        title="Parts",
        question="Is the float of every unit kind enough, and which runs out first?",
        answer=_answer(every, rows, asked),
        figures=_figures(paper, every),
        parts=(
            Part("kinds", "Unit kinds", HOW, kinds_table(rows), links=LINKS,
                 columns=("unit_kind_id", "name", "shop_id", "state", "vehicles_short",
                          "serviceable", "issued", "unserviceable", "overdue", "quarantine",
                          "cover_days", "runs_out", "chance_out", "needed", "ready_held"),
                 empty="No unit kind fits what was asked."),
            Part("cover", "Cover beside the turn time",
                 "Bar: working days the serviceable units last if none came back. Mark: mean turn "
                 "time, by which the next units removed are back. A kind lives on its returns "
                 f"where the bar is shorter than the mark. Cut at {MOST_DAYS:.0f} days; the "
                 f"{MOST_DRAWN} first to run out, those without demand left out.",
                 drawing=_drawing(rows)),
        )[: 2 if _drawn(rows) else 1],
        caution=CAUTION[3:],
        up_to=paper.place,
        basis=(*paper.basis, f"Demand: {paper.today.asked.source}."),
    )  # fmt: skip


def _chosen(paper: DayPaper, rows: Sequence[KindRow], asked: Mapping[str, str]) -> list[KindRow]:
    shop_id = choice_asked(asked, "shop", ("", *(one.shop_id for one in paper.works.shops)))
    state, find = choice_asked(asked, "state", STATES), asked.get("find", "").strip().casefold()
    return [
        row
        for row in rows
        if shop_id in ("", row.cover.shop_id)
        and find in f"{row.cover.unit_kind_id} {row.cover.name}".casefold()
        and _is(row, state)
    ]


def _is(row: KindRow, state: str) -> bool:
    if state == "short":
        return row.short > 0
    if state == "runs out":
        return row.cover.word in (Cover.OUT, Cover.RUNS_OUT)
    if state == "overdue":
        return row.overdue > 0
    return row.cover.word is Cover.TIGHT if state == "tight" else True


def kinds_table(rows: Sequence[KindRow]) -> Table:
    """Unit kinds as rows."""
    return table(
        ("kinds", "Unit kinds", "The first to run out first; the conditions are never summed."),
        (text("unit_kind_id", "unit kind", "cover.unit_kind_id"),
         text("name", "its name", "cover.name"),
         text("shop_id", "shop that makes it good", "cover.shop_id"),
         text("state", "none left, runs out, tight, covered, no demand", "cover.word"),
         whole("vehicles_short", "vehicles that will stand for want of it", "vehicles", "short"),
         whole("serviceable", "ready, given out for nothing", "units", "cover.serviceable"),
         whole("issued", "ready, given out for one vehicle", "units", "cover.issued"),
         whole("unserviceable", "waiting for repair or in it", "units", "cover.unserviceable"),
         whole("overdue", "of those, longer away than the law of the kind speaks of", "units"),
         whole("condemned", "of those, found beyond repair", "units", "pool.condemned"),
         whole("quarantine", "set aside", "units", "cover.quarantine"),
         number("cover_days", "lasts so long if none came back; blank: no demand", "working days",
                "cover.cover_days"),
         day("runs_out", "day it runs out with the returns expected; blank: not in sight"),
         share("chance_out", "chance to run out within 10 working days", "cover.chance_out"),
         number("demand_a_day", "wanted at the pace", "units a working day", "cover.demand_a_day"),
         number("turn_days", "mean turn time", "working days", "pool.turn.mean_days"),
         text("turn_source", "where the turn time comes from", "cover.turn_source"),
         whole("held", "float by the tables, quarantine apart", "units", _planned("held")),
         whole("needed", "float the plan needs", "units", _planned("needed")),
         share("ready_held", "chance that a unit is there on the day, float held",
               _planned("ready_held")),
         share("ready_needed", "the same with the float needed", _planned("ready_needed"))),
        rows,
    )  # fmt: skip


def _planned(name: str) -> Callable[[KindRow], object]:
    """A figure of the plan's line of a kind."""
    return lambda row: getattr(row.line, name) if row.line else None


def _answer(
    every: Sequence[KindRow], rows: Sequence[KindRow], asked: Mapping[str, str]
) -> tuple[str, ...]:
    out = [row.cover.name for row in every if row.cover.word is Cover.OUT]
    soon = [row.cover.name for row in every if row.cover.word is Cover.RUNS_OUT]
    tight = [row.cover.name for row in every if row.cover.word is Cover.TIGHT]
    said = [
        f"None left: {listed(out)}." if out else "Of every kind with demand some are left.",
        f"Runs out within ten working days: {listed(soon)}." if soon else "",
        f"Tight: {listed(tight)}." if tight else "",
    ]
    chosen = [f"{name} {asked[name]}" for name in ("shop", "state", "find") if asked.get(name)]
    if chosen:
        said.append(f"Shown: {', '.join(chosen)}: {some(len(rows), 'kind')}.")
    return tuple(filter(None, said))


def _figures(paper: DayPaper, rows: Sequence[KindRow]) -> tuple[Figure, ...]:
    pressing = sum(row.cover.word in _PRESSING for row in rows)
    stands = len({row.vehicle_id or row.piece for row in paper.today.short})
    found = [
        Figure("Pressing", str(pressing), f"of {some(len(rows), 'unit kind')}",
               "None left, running out within ten working days, or with a chance of a tenth or "
               "more to do so."),
        Figure("Will stand", str(stands), "vehicles",
               "Vehicles that will stand for want of a unit, by the shortage list."),
        Figure("Overdue", str(sum(row.overdue for row in rows)), "units in repair",
               "Longer away than all but one turn in ten thousand of their kind: ask their shop."),
    ]  # fmt: skip
    if paper.plan is not None:
        ready = written_share(paper.plan.floats.ready_held)
        found.append(Figure("Readiness", ready, f"wanted {written_share(paper.plan.floats.target)}",
                            "Chance that a vehicle has all its units on the day with the floats "
                            "held, by the plan."))  # fmt: skip
    return tuple(found)


def _drawn(rows: Sequence[KindRow]) -> list[KindRow]:
    return [row for row in rows if isfinite(row.cover.cover_days)][:MOST_DRAWN]


def _drawing(rows: Sequence[KindRow]) -> Drawing | None:
    drawn = [
        BesideRow(
            row.cover.name,
            row.cover.cover_days,
            row.pool.turn.mean_days,
            row.cover.word in _PRESSING,
        )
        for row in _drawn(rows)
    ]
    if not drawn:
        return None
    said = BesideWords(
        "Cover beside the turn time",
        "cover",
        "mean turn time",
        "none left, runs out, or tight",
        "working days",
        most=MOST_DAYS,
    )
    return beside_bars("coverbars", said, drawn)


def cover_words(row: KindRow) -> str:
    """How the float of a kind stands, a sentence."""
    cover = row.cover
    lasts = (
        f", {written(cover.cover_days)} working days of demand"
        if isfinite(cover.cover_days)
        else ""
    )
    return (
        f"{some(cover.serviceable, 'unit')} serviceable and free{lasts}; {cover.issued} given out, "
        f"{cover.unserviceable} unserviceable, {cover.quarantine} in quarantine: "
        f"{cover.word.value}."
    )
