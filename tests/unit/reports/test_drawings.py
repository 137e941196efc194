"""The drawings show what they are given: places and lengths are checked against the figures."""

import doctest
import re
from datetime import date, timedelta
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from made_plan import made_plan
from pacewright.reports import written
from pacewright.reports.drawings import scale
from pacewright.reports.drawings.corridor import corridor
from pacewright.reports.drawings.curve import Point, curve
from pacewright.reports.drawings.heat_map import heat_map
from pacewright.reports.drawings.late_curve import late_curve
from pacewright.reports.drawings.load_bar import Reach, load_bar
from pacewright.reports.drawings.route_map import Step, route_map
from pacewright.reports.drawings.scale import round_steps
from pacewright.reports.drawings.svg import Drawing, words
from pacewright.reports.drawings.two_marks import marks_scale, two_marks
from pacewright.reports.drawings.week_bars import week_bars
from pacewright.reports.drawings.week_line import week_line
from pacewright.reports.drawings.weeks import WeekAxis
from pacewright.reports.drawings.window_strip import window_strip
from pacewright.reports.sections.calls import call_section

MONDAY = date(2026, 11, 2)


def axis(weeks: int, closed: tuple[int, ...] = ()) -> WeekAxis:
    """A plain axis."""
    mondays = tuple(MONDAY + timedelta(weeks=n) for n in range(weeks))
    return WeekAxis(mondays, closed, (("firm", 0, weeks // 2), ("outline", weeks // 2, weeks)))


def shapes(drawing: Drawing, tag: str, look: str = "") -> list[dict[str, str]]:
    """The shapes of one kind and look."""
    found = ElementTree.fromstring(drawing).iter(tag)
    return [dict(one.attrib) for one in found if not look or one.get("class", "").startswith(look)]


@pytest.mark.parametrize("module", [written, scale])
def test_examples_in_docstrings(module) -> None:
    """The examples in the docstrings hold."""
    assert doctest.testmod(module).failed == 0


def test_bars_are_as_tall_as_their_counts() -> None:
    """Heights stand in the ratio of the counts, and stacks rest on one another."""
    counts = [{"a": 4, "b": 2}, {"a": 1}, {}, {"b": 8}]
    drawing = week_bars(axis(4), ["a", "b"], counts, [8, 8, 0, 8], ["w1", "w2", "w3", "w4"])
    bars = shapes(drawing, "rect", "kind")
    tall = [float(b["height"]) for b in bars]
    assert len(bars) == 4
    assert tall[0] == pytest.approx(4 * tall[2], rel=0.02)
    assert tall[3] == pytest.approx(2 * tall[0], rel=0.02)
    assert float(bars[1]["y"]) + tall[1] == pytest.approx(float(bars[0]["y"]), abs=0.11)
    assert "w1: 4 a; 6 of 8" in drawing


def test_pace_strokes_skip_closed_weeks() -> None:
    """Where the works is closed there is no stroke of the pace."""
    drawing = week_bars(axis(4, (2,)), ["a"], [{}] * 4, [8, 8, 0, 6], list("1234"))
    (stroke,) = [p["d"] for p in shapes(drawing, "path", "paceline")]
    assert stroke.count("M") == 2
    assert len(shapes(drawing, "rect", "shut")) == 1


def test_heat_map_marks_the_limit_and_beyond() -> None:
    """A full cell and one over its limit have different looks and different marks."""
    cells = {("d", 0): (3, 3), ("d", 1): (4, 3), ("d", 2): (1, 3), ("d", 3): (2, None)}
    drawing = heat_map(axis(4), [("d", "Depot")], cells, ["w1", "w2", "w3", "w4"])
    looks = [r["class"] for r in shapes(drawing, "rect", "heat")]
    assert looks == ["heat5", "heat6", "heat2", "heat2"]
    assert {p["class"] for p in shapes(drawing, "path", "heatmark")} == {
        "heatmark full",
        "heatmark over",
    }


def test_large_heat_map_says_less_and_stays_small() -> None:
    """Fifty depots over 208 weeks stay below 700 kB."""
    rows = [(f"d{n}", f"Depot {n}") for n in range(50)]
    cells = {(key, week): (2, 5) for key, _ in rows for week in range(208)}
    drawing = heat_map(axis(208), rows, cells, ["w"] * 208)
    assert len(drawing) < 700_000


@pytest.mark.parametrize("able", [0.4, 1.0, 1.7])
def test_load_bar_reaches_the_pace_line_at_the_pace(able: float) -> None:
    """The bar ends at its share of the way to the pace line."""
    drawing = load_bar(Reach(able, "geared"), "x")
    bar = shapes(drawing, "rect", "load")[0]
    pace = float(shapes(drawing, "line", "paceline")[0]["x1"])
    start = float(bar["x"])
    assert float(bar["width"]) == pytest.approx(able * (pace - start), abs=0.11)


def test_load_bar_beyond_the_scale_ends_in_an_arrow() -> None:
    """What reaches further than the scale is marked as cut, also without any limit."""
    for able in (5.0, float("inf")):
        drawing = load_bar(Reach(able, "runs ahead", wanted=9.0, shown=float("nan")), "x")
        assert len(shapes(drawing, "path", "load")) == 1
        assert "nan" not in drawing and "inf" not in drawing


def test_two_marks_keep_the_scale() -> None:
    """Turn 12 against offset 8 of 20: the circle stands right of the diamond by a fifth."""
    reach = marks_scale(20)
    drawing = two_marks(12, 8, reach, "short 4 days")
    circle = float(shapes(drawing, "circle")[0]["cx"])
    assert circle == pytest.approx(reach(12), abs=0.06)
    assert float(shapes(drawing, "rect", "gap")[0]["width"]) == pytest.approx(
        reach(12) - reach(8), abs=0.11
    )
    assert shapes(drawing, "rect", "gap short")


def steps_of(type_id: str) -> tuple[list[Step], list[tuple[str, str]]]:
    """The route of a type of the invented plan."""
    plan, works = made_plan()
    stages = {s.stage_id: s for s in works.stages}
    rows = [r for r in plan.line.route if r.type_id == type_id]
    links = [(a, b) for b, earlier in works.routes[type_id].follows.items() for a in earlier]
    return [
        Step(r.stage_id, stages[r.stage_id].name, stages[r.stage_id].assembly_id,
             r.earliest_start_day, r.earliest_end_day, r.latest_end_day, r.critical)
        for r in rows
    ], links  # fmt: skip


def test_route_map_draws_every_stage_link_and_slack() -> None:
    """One bar a stage, one course a link, one tail for each stage with slack, in proportion."""
    steps, links = steps_of("two-axle")
    drawing = route_map("r", "Route", steps, links, "vehicle")
    bars = shapes(drawing, "rect", "step")
    assert len(bars) == len(steps)
    assert len(shapes(drawing, "path", "link")) == len(links)
    assert len(shapes(drawing, "path", "tail")) == sum(s.latest_end - s.end > 0.01 for s in steps)
    longest = max(steps, key=lambda s: s.end - s.start)
    shortest = min(steps, key=lambda s: s.end - s.start)
    wide = sorted(float(b["width"]) for b in bars)
    assert wide[-1] / wide[0] == pytest.approx(
        (longest.end - longest.start) / (shortest.end - shortest.start), rel=0.02
    )


def test_route_labels_of_a_row_do_not_touch() -> None:
    """No two stages of one row share a stretch of bar or label."""
    steps, links = steps_of("jointed")
    drawing = route_map("r", "Route", steps, links, "vehicle")
    rows: dict[str, list[tuple[float, float]]] = {}
    for text in ElementTree.fromstring(drawing).iter("text"):
        if text.get("class", "").startswith("stepname"):
            start = float(text.get("x", "0"))
            # Bold Arial at 11.5 px: below 6.3 px a letter on average (measured, no source).
            rows.setdefault(text.get("y", ""), []).append((start, start + 5.6 * len(text.text)))
    for spans in rows.values():
        spans.sort()
        assert all(a[1] <= b[0] for a, b in pairwise(spans))


def test_route_map_of_one_stage_and_of_none() -> None:
    """A route of one stage and an empty one are drawn without fault."""
    one = Step("s", "Only", "vehicle", 0, 0.5, 0.5, True)
    assert shapes(route_map("r", "t", [one], [], "vehicle"), "rect", "step critical")
    assert not shapes(route_map("r", "t", [], [], "vehicle"), "rect", "step")


def test_corridor_keeps_order_from_top_to_bottom() -> None:
    """More is higher: the upper wall is drawn above the lower one."""
    drawing = corridor(axis(3), ([5, 6, 7], [1, 2, 3]), ([2, 3, 4], [2, 3, 4]), (0, 9, "why"))
    (upper,) = [p["d"] for p in shapes(drawing, "path", "wall upper")]
    lower = next(p["d"] for p in shapes(drawing, "path", "wall") if p["class"] == "wall")
    first = [float(re.findall(r"[\d.]+", d)[1]) for d in (upper, lower)]
    assert first[0] < first[1]


def test_running_totals_of_the_page_end_at_the_counts() -> None:
    """The called-in line ends at the number of call-ins (read from the drawing's own scale)."""
    plan, works = made_plan()
    drawing = call_section(plan, works).totals
    (called,) = [p["d"] for p in shapes(drawing, "path", "calledrun")]
    ticks = [
        t for t in ElementTree.fromstring(drawing).iter("text") if t.get("class") == "tick end"
    ]
    at = {float(t.text.replace(",", "")): float(t.get("y")) - 4 for t in ticks}
    low, high = min(at), max(at)
    y = float(re.findall(r"[\d.]+", called)[-1])
    total = low + (at[low] - y) / (at[low] - at[high]) * (high - low)
    assert total == pytest.approx(len(plan.programme.calls), abs=(high - low) / 1000)


def test_curves_hold_their_named_points() -> None:
    """Held and needed are named with their readiness; a curve without points is still drawn."""
    named = [Point("held", 120.0, 0.4), Point("needed", 180.0, 0.96, hollow=True)]
    drawing = curve([(100, 0.3), (150, 0.8), (200, 0.97)], 0.95, named, "money")
    assert "held 40.0 %" in drawing and "needed 96.0 %" in drawing and "target 95 %" in drawing
    assert "svg" in curve([], 0.95, [], "money")
    assert "svg" in late_curve((), (), 1.0)
    assert "svg" in week_line(axis(0), [], ("t", "a|b"))


def test_words_are_escaped() -> None:
    """Text of a drawing is data, never markup."""
    assert words(0, 0, "<a>&") == '<text x="0" y="0">&lt;a&gt;&amp;</text>'


@given(st.floats(1e-6, 1e12), st.integers(1, 8))
def test_round_steps_cover_and_stay_few(most: float, about: int) -> None:
    """Ticks rise evenly from 0, the last not below the most, the one before it below."""
    ticks = round_steps(most, about)
    assert ticks[0] == 0 and ticks[-1] >= most * 0.999
    assert ticks[-2] < most and len(ticks) <= about + 2


@pytest.mark.parametrize(("days", "before"), [(4, True), (40, False)])
def test_no_pointer_stands_on_the_word_today(days: int, before: bool) -> None:
    """A day marked just behind today has its pointer there: then the word ends at its line."""
    today = date(2026, 11, 6)
    bounds = (date(2026, 8, 5), date(2026, 10, 19), date(2026, 12, 20), date(2026, 12, 28))
    drawn = window_strip(bounds, [(today + timedelta(days=days), "agreed now")], today)
    (word,) = re.findall(r"<text[^>]*>today</text>", drawn)
    assert ('class="tick end"' in word) is before
