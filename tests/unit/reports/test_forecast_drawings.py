"""Drawings of the works run through: places and lengths are checked against the figures."""

import doctest
import re
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from math import inf
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from made_forecast import made_forecast
from pacewright.office.folder import open_works
from pacewright.plans.forecast import Queue
from pacewright.reports.drawings import day_bars as day_bars_module
from pacewright.reports.drawings.cause_marks import SHAPES, cause_mark
from pacewright.reports.drawings.day_bars import MOST_BARS, Times, day_bars, gathered
from pacewright.reports.drawings.flow_node import MOST_LINES, Node, name_lines
from pacewright.reports.drawings.flow_picture import RIGHT, Lane, flow_picture
from pacewright.reports.drawings.ranked_bar import ranked_bar, ranked_scale
from pacewright.reports.drawings.share_row import ShareMark, share_row, share_scale
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.drawings.week_band import WeekBand, week_band
from pacewright.reports.drawings.weeks import WeekAxis
from pacewright.reports.simulation import interval
from pacewright.reports.simulation.flow import flow_drawing
from pacewright.works import Works

EXAMPLES = Path(__file__).parents[3] / "examples"
Box = tuple[float, float, float, float]


def shapes(drawing: Drawing, tag: str, look: str = "") -> list[dict[str, str]]:
    """The shapes of one kind and look."""
    found = ElementTree.fromstring(drawing).iter(tag)
    return [dict(one.attrib) for one in found if not look or one.get("class", "").startswith(look)]


def boxes(drawing: Drawing, look: str) -> list[Box]:
    """Left, top, right and lower edge of rectangles."""
    return [
        (float(r["x"]), float(r["y"]), float(r["x"]) + float(r["width"]),
         float(r["y"]) + float(r["height"]))
        for r in shapes(drawing, "rect", look)
    ]  # fmt: skip


@pytest.mark.parametrize("module", [interval, day_bars_module])
def test_examples_in_docstrings(module) -> None:
    """The examples in the docstrings hold."""
    assert doctest.testmod(module).failed == 0


def test_ranked_bar_ends_at_the_mean_and_its_line_spans_the_interval() -> None:
    """At 50 +- 10 of 100 the bar ends half way, the line runs from 40 to 60."""
    scale = ranked_scale([100])
    drawing = ranked_bar(50, 10, scale, "people", "x")
    (bar,) = shapes(drawing, "rect", "ranked")
    assert float(bar["x"]) + float(bar["width"]) == pytest.approx(scale(50), abs=0.11)
    (reach,) = shapes(drawing, "path", "interval")
    start, end = re.findall(r"M([\d.]+) [\d.]+H([\d.]+)", reach["d"])[0]
    assert float(start) == pytest.approx(scale(40), abs=0.06)
    assert float(end) == pytest.approx(scale(60), abs=0.06)


def test_unknown_interval_is_drawn_as_unknown() -> None:
    """With too few runs the line is dashed from edge to edge, never a point that looks exact."""
    drawing = ranked_bar(50, inf, ranked_scale([100]), "people", "x")
    assert [p["class"] for p in shapes(drawing, "path")] == ["interval unsure"]
    assert "inf" not in drawing and "nan" not in drawing


def test_share_row_holds_point_and_diamond_apart() -> None:
    """82 % against 88 % on a scale from 80 %: both where they belong, the bad one named by look."""
    scale = share_scale(0.82)
    assert scale.least == pytest.approx(0.8)
    drawing = share_row(ShareMark(0.82, 0.01, 0.88, bad=True), scale, "x")
    (here,) = shapes(drawing, "circle")
    assert float(here["cx"]) == pytest.approx(scale(0.82), abs=0.06) and "short" in here["class"]
    (there,) = shapes(drawing, "path", "against")
    assert float(there["d"][1:].split()[0]) == pytest.approx(scale(0.88), abs=0.06)
    assert not shapes(share_row(ShareMark(0.9, 0.01, None), scale, "x"), "path", "against")


def axis(weeks: int, closed: tuple[int, ...] = ()) -> WeekAxis:
    """A plain axis."""
    monday = date(2026, 11, 2)
    return WeekAxis(tuple(monday + timedelta(weeks=n) for n in range(weeks)), closed, ())


def test_week_band_encloses_its_mean() -> None:
    """The band's edges and the mean stand at the heights of their figures, week by week."""
    low, mean, high = [4.0, 5.0, 0.0], [8.0, 9.0, 0.0], [11.0, 12.0, 2.0]
    drawing = week_band(
        axis(3, (2,)),
        WeekBand("b", ("t", "a|b"), low, mean, high, called=[8, 9, 0], able=[10, 10, None],
                 limit=15, uncounted=1),
    )  # fmt: skip
    ticks = [
        t for t in ElementTree.fromstring(drawing).iter("text") if t.get("class") == "tick end"
    ]
    at = {float(t.text): float(t.get("y")) - 4 for t in ticks if re.fullmatch(r"[\d.]+", t.text)}
    least, most = min(at), max(at)

    def value(y: float) -> float:
        return least + (at[least] - y) / (at[least] - at[most]) * (most - least)

    def heights(look: str) -> list[float]:
        (one,) = [p["d"] for p in shapes(drawing, "path", look)]
        return [value(float(y)) for y in re.findall(r"[ML][\d.]+ ([\d.]+)", one)]

    assert heights("calledrun") == pytest.approx([8, 8, 9, 9, 0, 0], abs=0.06)
    assert heights("runband")[:6] == pytest.approx([11, 11, 12, 12, 2, 2], abs=0.06)
    assert heights("runband")[:5:-1] == pytest.approx([4, 4, 5, 5, 0, 0], abs=0.06)
    assert "limit 15" in drawing and "counts from here on" in drawing
    (strokes,) = [p["d"] for p in shapes(drawing, "path", "paceline")]
    assert strokes.count("M") == 1
    assert len(shapes(drawing, "rect", "shut")) == 1


def test_week_band_without_weeks() -> None:
    """No week at all is drawn without fault."""
    assert "svg" in week_band(axis(0), WeekBand("b", ("t", "a|b"), [], [], []))


def test_late_bars_are_striped_and_weigh_the_chance_to_be_late() -> None:
    """Heights of the striped bars over all heights are the share that breaks the promise."""
    first, shares = [float(d) for d in range(10, 20)], [0.02, 0.08, 0.15, 0.2, 0.2, 0.15, 0.1,
                                                        0.05, 0.03, 0.02]  # fmt: skip
    drawing = day_bars(Times("t", "Turn", first, shares, 15.0, [(13.9, "mean 13.9")]))
    late = [float(b["height"]) for b in shapes(drawing, "rect", "taken late")]
    every = [float(b["height"]) for b in shapes(drawing, "rect", "taken")]
    assert sum(late) / sum(every) == pytest.approx(0.35, abs=0.005)
    assert "promised 15.0" in drawing and "mean 13.9" in drawing
    assert not shapes(day_bars(Times("t", "T", first, shares, None)), "rect", "taken late")


@given(st.lists(st.floats(0.001, 1), min_size=1, max_size=400))
@settings(max_examples=60, deadline=None)
def test_gathered_bars_lose_nothing(weights: list[float]) -> None:
    """However many days there are, the bars are few and sum to the same."""
    each, first, shares = gathered([float(n) for n in range(len(weights))], weights)
    assert len(first) == len(shares) <= MOST_BARS
    assert sum(shares) == pytest.approx(sum(weights))
    assert all(b - a == each for a, b in pairwise(first))


def test_every_cause_has_a_shape_of_its_own() -> None:
    """Seven causes, seven shapes, each sound; an unknown one is drawn as a dash."""
    assert len(set(SHAPES.values())) == 7
    for cause in (*SHAPES, "other"):
        assert ElementTree.fromstring(cause_mark(cause)).get("aria-hidden") == "true"


def queued(works: Works, waiting: float = 0.0) -> tuple[Queue, ...]:
    """A queue for every stage of a works, in the order in which its routes pass them."""
    order = dict.fromkeys(s.stage_id for r in works.routes.values() for s in r.stages)
    stages = {s.stage_id: s for s in works.stages}
    return tuple(
        Queue(s, stages[s].name, stages[s].shop_id, stages[s].assembly_id, stages[s].positions,
              waiting, 0.1, stages[s].positions * 0.8, 5.0)
        for s in order
    )  # fmt: skip


@pytest.mark.parametrize("name", ["trolleybus", "tramway"])
def test_flow_of_an_example_is_legible(name: str) -> None:
    """37 stages on 1,164 units: none over another, none outside, names inside their box."""
    works = open_works(EXAMPLES / name)[0]
    forecast = replace(made_forecast()[2], queues=queued(works, 0.7))
    drawing = flow_drawing(works, forecast)
    nodes = boxes(drawing, "node")
    assert len(shapes(drawing, "rect", "node stands")) >= len(works.stages)
    assert len(nodes) >= len(works.stages) == 37
    for one, other in ((a, b) for n, a in enumerate(nodes) for b in nodes[n + 1 :]):
        apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
        assert apart, (one, other)
    root = ElementTree.fromstring(drawing)
    tall = float(root.get("height", "0"))
    assert all(left >= 0 and right <= RIGHT and low <= tall for left, _, right, low in nodes)
    assert tall / float(root.get("width", "1")) < 0.68, "fits a landscape sheet"
    for text in root.iter("text"):
        if text.get("class") == "nodename":
            x, y = float(text.get("x", "0")), float(text.get("y", "0"))
            (box,) = [b for b in nodes if b[0] <= x <= b[2] and b[1] <= y <= b[3]]
            # Arial at 11 px: about 5.4 px a letter on average (measured, no source).
            assert x + 5.4 * len(text.text or "") <= box[2] + 1, text.text


def test_flow_keeps_the_order_of_the_route() -> None:
    """Halves are joined before the roof is fitted, though types without a joint get there first."""
    works = open_works(EXAMPLES / "tramway")[0]
    shuffled = tuple(sorted(queued(works), key=lambda q: q.name))
    desc = ElementTree.fromstring(
        flow_drawing(works, replace(made_forecast()[2], queues=shuffled))
    ).find("desc")
    assert desc is not None and desc.text
    names = {stage.stage_id: stage.name for stage in works.stages}
    places = {stage_id: desc.text.index(name) for stage_id, name in names.items()}
    for route in works.routes.values():
        for stage_id, before in route.follows.items():
            assert all(places[one] < places[stage_id] for one in before), stage_id


def test_flow_marks_what_stands_and_what_piles_up() -> None:
    """Half a piece or more that waits, or lies in store, is marked by word and edge."""
    _, works, forecast = made_forecast()
    drawing = flow_drawing(works, forecast)
    standing = {q.name for q in forecast.queues if q.waiting_mean >= 0.5}
    desc = ElementTree.fromstring(drawing).find("desc")
    assert desc is not None and desc.text
    assert standing and all(name in desc.text.split("stands before")[1] for name in standing)
    said = [t.text for t in ElementTree.fromstring(drawing).iter("text")]
    assert said.count("stands") == len(shapes(drawing, "rect", "node stands")) + 1
    assert said.count("piles up") == 1
    quiet = replace(
        forecast,
        queues=tuple(replace(q, waiting_mean=0.49) for q in forecast.queues),
        floats=(), piles=(), holdups=(),
    )  # fmt: skip
    drawing = flow_drawing(works, quiet)
    assert "piles up</text>" not in drawing and ">stands</text>" not in drawing
    assert not shapes(drawing, "rect", "store")


def test_flow_draws_places_filled_as_far_as_they_are_held() -> None:
    """2.5 of 4 positions: four places, the filled length is 2.5 of them."""
    node = Node("A", 0.0, 2.5, 4, "2.5 of 4", False, "")
    drawing = flow_picture(("f", "t", ""), Lane("whole", (node,)), [], Lane("after", ()))
    places = [b[2] - b[0] for b in boxes(drawing, "place") if b]
    held = [b[2] - b[0] for b in boxes(drawing, "placeheld")]
    each = places[0]
    assert len(places) - len(held) == 4 and len(held) == 3
    assert sum(held) == pytest.approx(2.5 * each, rel=0.02)


def test_flow_without_stages_and_of_one() -> None:
    """A works that never parts has one lane; one without stages an empty picture."""
    node = Node("Only stage of the works, with a very long name that cannot be shown in full",
                9.4, 1, 1, "", True, "")  # fmt: skip
    for lane in (Lane("whole", (node,)), Lane("whole", ())):
        drawing = flow_picture(("f", "t", ""), lane, [], Lane("after", ()))
        assert len(shapes(drawing, "rect", "node")) == len(lane.nodes)
    lines = name_lines(node.name, 90)
    assert len(lines) == MOST_LINES and lines[-1].endswith("…")


def test_flow_leads_from_each_chained_node_to_the_next() -> None:
    """As many arrow heads as nodes, less the first of all: every node is led to once."""
    _, works, forecast = made_forecast()
    drawing = flow_drawing(works, replace(forecast, floats=()))
    assert len(shapes(drawing, "path", "flowhead")) == len(forecast.queues) - 1
