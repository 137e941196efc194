"""Figures, sentences, sections and HTML tables say what the plan holds."""

import re
from dataclasses import replace
from datetime import date, timedelta
from io import BytesIO

import pytest
from python_calamine import CalamineWorkbook

from made_plan import made_plan
from pacewright.plans.line import Gear
from pacewright.reports.figures import key_figures, mean_turn, past_limit, verdict
from pacewright.reports.html_table import MOST_AT_A_GLANCE, html_table
from pacewright.reports.sections.calls import call_section
from pacewright.reports.sections.load import load_section
from pacewright.reports.sections.routes import route_section
from pacewright.reports.sections.units import unit_section
from pacewright.reports.table import Kind, Table, TableColumn
from pacewright.reports.workbook import HEAD_ROWS, MOST_ROWS, plan_workbook
from pacewright.reports.written import day, listed, number, rate, sentence, share, some


def figures() -> dict[str, tuple[str, str, str]]:
    """The large figures of the invented plan: value, unit, source."""
    return {one.key: (one.value, one.unit, one.source) for one in key_figures(made_plan()[0])}


def test_every_figure_says_where_it_comes_from() -> None:
    """Eight figures, each with a value, a unit, a source and an explanation."""
    plan, _ = made_plan()
    found = key_figures(plan)
    assert len(found) == 8
    for one in found:
        assert one.value and one.unit and len(one.source) > 20 and len(one.how) > 60


def test_figures_are_those_of_the_plan() -> None:
    """The figures are read off the plan: pace, least pace and its stretch, calls, inside."""
    found = figures()
    assert found["pace"][0] == "11.0" and "0.45 working days" in found["pace"][2]
    assert found["least_pace"][0] == "10.40"
    assert "441 vehicles" in found["least_pace"][2] and "3 Sep 2027" in found["least_pace"][2]
    assert found["called"][0] == "1,829" and "3 without a place" in found["called"][2]
    assert found["inside"][0] == "46.2"
    assert found["readiness"][0] == "36 %"


def test_life_given_is_the_mean_of_the_calls() -> None:
    """Days given away over call-ins, counted here from the calls themselves."""
    plan, _ = made_plan()
    early = sum(max(0, (c.due - c.day).days) for c in plan.programme.calls)
    assert figures()["life_given"][0] == f"{early / len(plan.programme.calls):.1f}"


def test_turn_time_is_weighed_by_the_share_of_each_type() -> None:
    """0.7 of 20.9 and 0.3 of 22.6 working days are 21.41; promised 21.2."""
    plan, _ = made_plan()
    assert mean_turn(plan.line) == pytest.approx((21.41, 21.2))
    assert mean_turn(replace(plan.line, turns=())) is None


def test_past_limit_tells_old_from_new() -> None:
    """A limit before the start was past already; a later one is the programme's own."""
    plan, _ = made_plan()
    first, second, *rest = plan.programme.calls
    calls = (
        replace(first, spare_days=-9, limit=plan.start - timedelta(1)),
        replace(second, spare_days=-1, limit=plan.start),
        *rest,
    )
    late = replace(plan, programme=replace(plan.programme, calls=calls))
    assert past_limit(late) == (1, 1)
    assert "1 were past it at the start, 1 come after it" in verdict(late)[0]
    assert past_limit(plan) == (0, 0)


def test_verdict_praises_only_what_is_in_order() -> None:
    """When every place keeps the pace and no float is short, the sentences say so."""
    plan, _ = made_plan()
    line = replace(
        plan.line,
        stages=tuple(replace(s, gear=Gear.GEARED) for s in plan.line.stages),
        trades=(),
        plant=(),
    )
    floats = replace(plan.floats, lines=(), ready_held=0.97)
    calls, works, units = verdict(replace(plan, line=line, floats=floats))
    assert works == "Works: every stage, trade and plant can keep the pace."
    assert units == "Floats: 97 % of vehicles find all their units ready."
    assert "3 find no place" in calls
    assert "4 places cannot keep the pace" in verdict(plan)[1]


def test_each_shop_is_shown_by_its_gravest_place() -> None:
    """The running gear shop has one place that holds up and is shown by it."""
    plan, works = made_plan()
    section = load_section(plan, works)
    shop = next(row for row in section.shops if row.name == "Running gear shop")
    assert shop.gear == "holds up" and shop.cells[0] == "Frame repair"
    assert len(section.stages) == len(plan.line.stages)
    assert len(section.trades) == len(plan.line.trades)
    assert len(section.plant) == len(plan.line.plant)


def test_load_rows_carry_the_figures_of_the_line() -> None:
    """A trade with 6 of 7 people wanted reads 6.0 and 7.0, and 6 % slower than the pace."""
    plan, works = made_plan()
    row = load_section(plan, works).trades[0]
    assert (row.name, row.shop, row.gear) == ("Fitter", "Strip shop", "holds up")
    assert row.over == "-6 %" and row.cells[:2] == ("6.0", "7.0")
    assert row.cells[4] == "-", "no record: nothing is shown, not a nought"


def test_units_stand_in_the_order_of_the_wait_they_cause() -> None:
    """The first kinds are those with the lowest readiness, and all kinds are there."""
    plan, works = made_plan()
    section = unit_section(plan, works)
    ready = {one.unit_kind_id: one.ready_held for one in plan.floats.lines}
    order = [ready[row.unit_kind_id] for row in section.rows]
    assert order == sorted(order) and len(order) == len(plan.floats.lines)
    assert len(section.late) == 8


def test_points_without_a_price_are_left_out_of_the_curve() -> None:
    """What is held has no place on a scale of money when a price is missing."""
    plan, works = made_plan()
    assert "held 36.0 %" in unit_section(plan, works).money
    first, *rest = plan.floats.lines
    floats = replace(plan.floats, lines=(replace(first, unit_cost=0.0), *rest))
    assert "held 36.0 %" not in unit_section(replace(plan, floats=floats), works).money


def test_each_type_has_its_route() -> None:
    """One drawing a type, with its turn time beside it."""
    plan, works = made_plan()
    section = route_section(plan, works)
    assert [one.type_id for one in section.routes] == ["two-axle", "jointed"]
    assert all(one.turn and "Critical path: " in one.drawing for one in section.routes)


def test_types_are_stacked_largest_first() -> None:
    """The commonest type stands at the foot of the bars, whatever its name."""
    plan, works = made_plan()
    assert [type_id for type_id, _ in call_section(plan, works).types] == ["two-axle", "jointed"]


COLUMNS = (
    TableColumn("name", "a <name>"),
    TableColumn("count", "how many", "pieces", Kind.WHOLE, 0),
    TableColumn("part", "a share", "share of 1", Kind.SHARE, 3),
    TableColumn("on", "a day", kind=Kind.DATE),
    TableColumn("ok", "whether", kind=Kind.YES_NO),
)


def test_html_cells_are_written_for_people() -> None:
    """Thousands marks, per cent, human dates, yes and no; blanks are dashes; all escaped."""
    row = ("<i>", 12480, 0.9996, date(2026, 11, 9), True)
    content = html_table(Table("t", "T", "About.", COLUMNS, (row, (None,) * 5)))
    cells = [cell.strip() for cell in re.findall(r"<td[^>]*>([^<]*)", content)]
    assert cells[:5] == ["&lt;i&gt;", "12,480", ">99.9 %", "9 Nov 2026", "yes"]
    assert cells[5:] == ["", "-", "-", "-", "-"]
    assert 'title="a &lt;name&gt;"' in content and 'title="how many [pieces]"' in content
    assert "data-search" not in content


def test_html_heads_show_the_unit() -> None:
    """A number's unit stands in sight under its heading, not in a title that touch never sees."""
    hours = TableColumn("needed", "work due", "man-hours", Kind.NUMBER)
    units = TableColumn("units", "how many", "units", Kind.WHOLE, 0)
    table = Table(
        "t", "T", "About.", (*COLUMNS, hours, units), (("a", 1, 0.5, None, True, 2.0, 3),)
    )
    heads = re.findall(r"<th [^>]*>(.*?)</th>", html_table(table))
    assert "needed <small>man-hours</small>" in heads and "count <small>pieces</small>" in heads
    assert {"part", "units", "on"} <= set(heads)
    said = html_table(table, heads={"needed": "hours of work"})
    assert ">hours of work</th>" in said


def test_html_table_picks_columns_and_offers_search_when_long() -> None:
    """Only the columns asked for; a search field when the rows cannot be taken in at a glance."""
    rows = tuple((f"n{i}", i, 0.1, None, False) for i in range(MOST_AT_A_GLANCE + 1))
    table = Table("t", "T", "About.", COLUMNS, rows)
    content = html_table(table, ("count", "name"), {"count": "how many"}, ("name",))
    assert re.findall(r"<th [^>]*>([^<]*)", content) == ["how many", "name"]
    assert "data-search" in content and content.count("data-choice") == 1
    assert html_table(replace(table, rows=())) == '<p class="none">None.</p>'


def test_long_sheet_is_cut_and_says_so() -> None:
    """A sheet above the bound ends there and names the file with the rest."""
    plan, _ = made_plan()
    rows = tuple((f"n{i}", i, 0.1, None, False) for i in range(MOST_ROWS + 5))
    data = plan_workbook([Table("t", "T", "About.", COLUMNS, rows)], plan)
    book = CalamineWorkbook.from_filelike(BytesIO(data))
    sheet = book.get_sheet_by_name("t").to_python(skip_empty_area=False)
    assert len(sheet) == MOST_ROWS + HEAD_ROWS
    assert sheet[0][0] == f"First {MOST_ROWS:,} of {MOST_ROWS + 5:,} rows; all in tables/t.csv."


def test_words_for_numbers_and_lists() -> None:
    """How figures are written: never 100 % when it is not all, never minus nought."""
    assert (share(1.0), share(0.9999), share(0.0), share(1e-6)) == ("100 %", ">99 %", "0 %", "<1 %")
    assert (number(-0.04), number(float("nan")), number(None)) == ("0.0", "-", "-")
    assert (rate(0.684), rate(11.66), rate(None)) == ("0.68", "11.7", "-")
    assert day(None) == "-"
    assert (some(1, "day"), some(1200, "day")) == ("1 day", "1,200 days")
    assert listed(["a"]) == "a" and listed(["a", "b"]) == "a and b"
    assert listed(list("abcd"), 2) == "a, b and 2 more"
    assert sentence(" ") == "" and sentence("why not?") == "Why not?"
