"""The page of a growth: path, proof and ramp, with nothing made up and nothing unescaped."""

import re
from dataclasses import replace
from datetime import date
from math import nan

import pytest

from pacewright.plans.growth import Added, Growth, RampMonth, Step, StepBack
from pacewright.reports.drawings.growth_path import Bought, growth_path
from pacewright.reports.growth_page import growth_page
from pacewright.reports.growth_table import growth_summary, growth_tables
from pacewright.simulate.additions import with_more
from small_works import small_works


def made() -> Growth:
    """A growth written by hand: two steps, the second half taken back."""
    works = small_works()
    grown = with_more(with_more(works, Added.POSITIONS, "body", 1), Added.PEOPLE, "body body", 1)
    return Growth(
        works_name="Works <of> nowhere",
        inputs_hash="abc",
        version="1",
        pace_a_week=2,
        turn_days=25,
        promise=0.9,
        start_chance=0.4,
        start_half_width=0.05,
        start_there=31.5,
        steps=(
            Step(Added.POSITIONS, "body", 1, 30.0, "full", nan, nan, nan),
            Step(Added.PEOPLE, "body body", 2, 80.0, "people <short>", 0.93, 0.02, 20.0, 1),
        ),
        works=grown,
        verified_chance=0.921,
        verified_half_width=0.013,
        verified_replications=160,
        reached=True,
        stopped_by="the promise is kept",
        cost=70.0,
        priced=True,
        runs=12,
        replications=400,
        seed=1,
        weeks=52,
        warm_up_weeks=26,
        backs=(
            StepBack(Added.POSITIONS, "body", 1, 0.5, 0.1, 10),
            StepBack(Added.PEOPLE, "body body", 1, 0.91, 0.01, 160),
        ),
        ramp=(
            RampMonth(1, date(2026, 1, 5), 1.5, (), 0.0, 0.0, 0.95, 0.01),
            RampMonth(
                2,
                date(2026, 2, 1),
                2.0,
                ((Added.POSITIONS, "body", 1), (Added.PEOPLE, "body body", 1)),
                70.0,
                70.0,
                0.92,
                0.013,
            ),
        ),
    )


def test_everything_stands_on_the_page() -> None:
    """Answer, path, proof and ramp, what a user wrote escaped, no figure that is no number."""
    page = growth_page(made(), small_works())
    text = re.sub(r"<(script|style).*?</\1>|<[^>]*>", " ", page, flags=re.S)
    assert (
        "90 % within 25 working days at 2 a week is reached: 92.1 % ± 1.3 points"
        in text.replace("\N{NO-BREAK SPACE}", " ")
    )
    assert "Works &lt;of&gt; nowhere" in page
    assert "people &lt;short&gt;" in page
    assert "surely missed" in text
    assert "not shown to be kept" in text
    assert "2026-02-01" in text
    assert "nothing more" in text
    assert not re.search(r"\b(nan|inf|None)\b", text)


def test_what_is_not_reached_is_said_first() -> None:
    """The caution stands before the figures, and no part stands there empty."""
    growth = replace(made(), reached=False, steps=(), backs=(), ramp=(), works=small_works())
    page = growth_page(growth, small_works())
    assert "Not reached." in page
    assert "Nothing needs to be added." in page
    for part in ("path", "proof", "ramp"):
        assert f'id="{part}"' not in page


def test_the_drawing_stands_where_the_figures_say() -> None:
    """Worked by hand: cost 0 to 100 over 56..676, shares 0 to 1 over 254..18, both straight."""
    path = [Bought(0, 0.0, 0.0, "as it is"), Bought(100, 0.5, 0.1, "more")]
    answer = Bought(50, 1.0, 0.0, "answer")
    shown = growth_path(path, answer, 0.9, "money")
    dots = re.findall(r'<circle cx="([\d.]+)" cy="([\d.]+)" r="([\d.]+)"', shown)
    assert [tuple(map(float, one)) for one in dots] == [
        (56.0, 254.0, 3.5),
        (676.0, 136.0, 3.5),
        (366.0, 18.0, 6.0),
    ]


def test_tables_and_summary_say_the_same() -> None:
    """A row for each step, each place and each month; the summary has no number that is none."""
    growth = made()
    sizes = {one.name: len(one.rows) for one in growth_tables(growth)}
    assert sizes == {"path": 2, "steps_back": 2, "ramp": 3}
    summary = growth_summary(growth)
    assert summary["steps"][0]["promise_chance"] is None
    assert summary["ramp"][1]["needed"][0] == {
        "added": "positions",
        "place_id": "body",
        "how_many": 1,
    }
    assert summary["cost"] == pytest.approx(sum(one.cost_stays for one in growth.steps))
