"""The picture of the works and differences side by side, as drawn: in bounds, escaped, signed."""

from dataclasses import replace
from datetime import datetime
from math import nan
from xml.etree import ElementTree

import pytest

from pacewright.plans.flow_day import (
    Doing,
    FlowDay,
    KindDay,
    OnPosition,
    Source,
    StageDay,
    StoreDay,
)
from pacewright.reports.drawings.changes_beside import Beside, Row, changes_beside
from pacewright.reports.drawings.works_picture import works_picture
from pacewright.reports.drawings.works_picture_units import units_picture
from small_works import small_works

WORKS = small_works()
AT = datetime(2026, 3, 10, 11, 0)


def stage_day(stage_id: str, **more: object) -> StageDay:
    """A stage of the small works on which nothing is."""
    one = next(row for row in WORKS.stages if row.stage_id == stage_id)
    empty = StageDay(one.stage_id, one.name, one.shop_id, one.positions, 0, 0, 0, 0, 0, 0, 0)
    return replace(empty, **more)


def flow_day(source: Source = Source.NOW, **stages: dict[str, object]) -> FlowDay:
    """A day on which some stages are as given."""
    return FlowDay(
        moment=AT,
        source=source,
        runs=40 if source is Source.FORECAST else 0,
        at_gate=1,
        inside=3,
        gate=("<1>",),
        stages=tuple(
            stage_day(row.stage_id, **stages.get(row.stage_id, {})) for row in WORKS.stages
        ),
        stores=(StoreDay("chassis", "Chassis", 3, 2, 1.0, ("C-1", "C-2", "C-3")),),
        kinds=tuple(
            KindDay(row.unit_kind_id, row.name, row.shop_id, 2, 1, 3, 0, 1, ("7",), 1.0, 1.0)
            for row in WORKS.unit_kinds
        ),
        place=9,
    )


def parsed(svg: str) -> list[ElementTree.Element]:
    """The drawings of a text, each as a tree; not well formed: an error."""
    return list(ElementTree.fromstring(f"<all>{svg}</all>"))


def texts(svg: str) -> list[str]:
    """Every text of a drawing."""
    return [str(one.text) for tree in parsed(svg) for one in tree.iter("text")]


def looks(svg: str, look: str) -> int:
    """How many shapes have a look."""
    shapes = [one for tree in parsed(svg) for one in tree.iter()]
    return sum(look in str(one.get("class")).split() for one in shapes)


@pytest.mark.parametrize("source", list(Source))
def test_everything_lies_within_the_paper(source: Source) -> None:
    """Every rectangle of every drawing lies inside its view box, full or empty."""
    full = {
        "held": 2.0, "waiting": 3.0, "done": 0.5, "stands": 0.7, "lost": 0.5,
        "chance_stands": 0.8, "chance_piles": 0.9,
        "likely": tuple((f"vehicle-{n}", 0.9) for n in range(6)),
    }  # fmt: skip
    day = flow_day(source, fitout=full, strip=full)
    for svg in (works_picture(WORKS, day), units_picture(WORKS, day)):
        for tree in parsed(svg):
            *_, wide, tall = map(float, str(tree.get("viewBox")).split())
            for one in tree.iter("rect"):
                x, y, w, h = (float(str(one.get(key))) for key in ("x", "y", "width", "height"))
                assert x >= 0 and x + w <= wide + 0.2, one.attrib
                assert y >= 0 and y + h <= tall + 0.2, one.attrib


def test_each_position_is_a_cell_with_who_is_there() -> None:
    """Held, standing, free and out of use look different; names of strangers are escaped."""
    here = (
        OnPosition("<b>", 1, Doing.STANDS, "part: motor"),
        OnPosition("8", 2, Doing.DONE),
    )
    day = flow_day(fitout={"held": 2, "stands": 1, "done": 1, "here": here, "chance_stands": 1.0,
                           "positions": 4, "lost": 1, "out": (4,)})  # fmt: skip
    svg = works_picture(WORKS, day)
    key = 1
    assert looks(svg, "cellstands") == 1 + key
    assert looks(svg, "celldone") == 1 + key
    assert looks(svg, "cellout") == 1 + key
    free = sum(row.positions for row in WORKS.stages if row.stage_id != "fitout") + 1
    assert looks(svg, "cellfree") == free + key
    assert "<b>" in texts(svg)
    assert "2 of 4, 1 out" in texts(svg)
    assert "stands" in texts(svg)


def test_a_forecast_says_will_and_how_likely() -> None:
    """The words carry the chance; below one half nothing is said."""
    ahead = works_picture(
        WORKS,
        flow_day(
            Source.FORECAST,
            fitout={"held": 1.5, "chance_stands": 0.62, "stands": 0.8, "why": ("units",)},
            test={"waiting": 2.2, "chance_piles": 0.55},
            strip={"chance_stands": 0.49, "stands": 0.6},
        ),
    )
    assert "will stand 62 %" in texts(ahead)
    assert "will pile up 55 %" in texts(ahead)
    assert not any("49 %" in one for one in texts(ahead))
    assert "1.5 of 2" in texts(ahead)


def test_many_positions_are_one_bar() -> None:
    """Above a dozen no cells are drawn, and the count is said."""
    svg = works_picture(WORKS, flow_day(fitout={"positions": 40, "held": 25}))
    assert "25 of 40" in texts(svg)
    bar = [one for tree in parsed(svg) for one in tree.iter("rect")
           if one.get("class") == "cellwork"]  # fmt: skip
    assert len(bar) == 1 + 1


def test_units_show_conditions_apart_and_their_sign() -> None:
    """A kind that is short has the square and the word, whatever else it is."""
    day = flow_day()
    svg = units_picture(WORKS, day)
    assert looks(svg, "signstands") == len(WORKS.unit_kinds)
    assert texts(svg).count("short") == len(WORKS.unit_kinds)
    calm = replace(day, kinds=tuple(replace(k, vehicles=(), chance_out=0.0) for k in day.kinds))
    assert texts(units_picture(WORKS, calm)).count("full") == len(WORKS.unit_kinds)
    for head in ("ready", "given out", "to repair", "set aside"):
        assert head in texts(svg)


def test_a_real_difference_looks_and_reads_otherwise_than_one_not_shown() -> None:
    """Filled diamond and strong word against open circle; what is not known has no mark."""
    cells = [
        Beside(2.0, 0.5, True, "+2.0 better"),
        Beside(0.1, 0.5, False, "+0.1 not shown"),
        Beside(nan, nan, False, "not known"),
    ]
    svg = changes_beside(
        ("b", "Beside", "About"), [(f"figure {n}", "days") for n in range(3)],
        [Row("<name>", "40 pairs", cells), Row("none", "", [None, None, None])],
    )  # fmt: skip
    assert (looks(svg, "really"), looks(svg, "notshown")) == (1, 1)
    assert {"+2.0 better", "+0.1 not shown", "not known", "<name>"} <= set(texts(svg))
    nothing = [one for tree in parsed(svg) for one in tree.iter("path")
               if one.get("class") == "nothing"]  # fmt: skip
    diamond = next(one for tree in parsed(svg) for one in tree.iter("path")
                   if one.get("class") == "really")  # fmt: skip
    zero = float(str(nothing[0].get("d"))[1:].split(" ")[0])
    at = float(str(diamond.get("d"))[1:].split(" ")[0])
    assert at > zero, "more stands right of nothing"
