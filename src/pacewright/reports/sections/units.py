"""The section on units: turn time against offset, floats, readiness, lateness."""

from collections.abc import Mapping
from dataclasses import dataclass

from pacewright.plans.floatlist import FloatLine
from pacewright.plans.plan import Plan
from pacewright.reports.drawings.curve import Point, curve
from pacewright.reports.drawings.late_curve import late_curve
from pacewright.reports.drawings.scale import Scale
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.drawings.two_marks import (
    marks_axis,
    marks_scale,
    ratio_axis,
    ratio_scale,
    two_marks,
)
from pacewright.reports.float_decisions import mean_late_days
from pacewright.reports.float_tables import float_tables
from pacewright.reports.html_table import html_table
from pacewright.reports.line_tables import line_tables
from pacewright.reports.written import number, share
from pacewright.works import Works

MOST_CURVES = 8
"""Lateness curves drawn; the others stand in the table."""


@dataclass(frozen=True, slots=True)
class UnitRow:
    """One unit kind as a row."""

    unit_kind_id: str
    name: str
    shop: str
    slack: Drawing
    slack_days: str
    floats: Drawing
    held: str
    needed: str
    short: int
    buy: int
    ready_held: str
    ready_needed: str
    cost_buy: str
    note: str


@dataclass(frozen=True, slots=True)
class UnitSection:
    """What the template of the section needs."""

    days_axis: Drawing
    units_axis: Drawing
    rows: tuple[UnitRow, ...]
    shown: int
    money: Drawing
    late: tuple[tuple[str, str, Drawing], ...]
    floats_table: Drawing
    slack_table: Drawing
    lateness_table: Drawing
    curve_table: Drawing


def unit_section(plan: Plan, works: Works) -> UnitSection:
    """The section of one plan; kinds that keep vehicles waiting longest stand first."""
    lines, takt = plan.floats.lines, plan.line.takt_days
    days = marks_scale(max((max(one.turn_days, one.offset_days) for one in lines), default=1.0))
    units = ratio_scale()
    shops = {shop.shop_id: shop.name for shop in works.shops}
    order = sorted(lines, key=lambda one: (-mean_late_days(one, takt), one.name))
    tables = {one.name: one for one in (*float_tables(plan.floats), *line_tables(plan.line, works))}
    late = [one for one in order if one.late_days][:MOST_CURVES]
    top = max((one.late_chance[0] for one in late), default=0.0) or 1.0
    return UnitSection(
        days_axis=marks_axis(days, "working days"),
        units_axis=ratio_axis(units, "needed"),
        rows=tuple(_row(one, shops, days, units) for one in order),
        shown=len(late),
        money=_money(plan),
        late=tuple(
            (one.name, f"mean {number(mean_late_days(one, takt), 2)} days",
             late_curve(one.late_days, one.late_chance, top))
            for one in late
        ),
        floats_table=html_table(tables["floats"]),
        slack_table=html_table(tables["unit_slack"], filters=("type_id",)),
        lateness_table=html_table(tables["lateness"], filters=("name",)),
        curve_table=html_table(tables["readiness_curve"]),
    )  # fmt: skip


def _row(one: FloatLine, shops: Mapping[str, str], days: Scale, units: Scale) -> UnitRow:
    spare = one.offset_days - one.turn_days
    slack_says = (
        f"{'short' if spare < 0 else 'spare'} {number(abs(spare))} days: turn"
        f" {number(one.turn_days)}, offset {number(one.offset_days)}"
    )
    float_says = f"{'short' if one.short > 0 else 'enough'}: {one.held} held, {one.needed} needed"
    return UnitRow(
        unit_kind_id=one.unit_kind_id,
        name=one.name,
        shop=shops.get(one.shop_id, one.shop_id),
        slack=two_marks(one.turn_days, one.offset_days, days, slack_says),
        slack_days=number(spare),
        floats=two_marks(one.held / one.needed if one.needed else 2.0, 1.0, units, float_says),
        held=f"{one.held:,}",
        needed=f"{one.needed:,}",
        short=one.short,
        buy=one.buy,
        ready_held=share(one.ready_held, 1),
        ready_needed=share(one.ready_needed, 1),
        cost_buy=number(one.buy * one.unit_cost, 0) if one.buy else "",
        note=one.note,
    )


def _money(plan: Plan) -> Drawing:
    floats = plan.floats
    held = sum(one.held * one.unit_cost for one in floats.lines)
    needed = sum(one.needed * one.unit_cost for one in floats.lines)
    named: tuple[Point, ...] = (
        Point("held", held, floats.ready_held),
        Point("needed", needed, floats.ready_needed, hollow=True),
    )
    # Where a price is unknown the curve rests on an assumed one, and sums of prices do not.
    if any(one.unit_cost <= 0 for one in floats.lines):
        named = ()
    points = [(point.cost, point.readiness) for point in floats.curve]
    return curve(points, floats.target, named, "price of all units in the floats [money]")
