"""The papers of the plan: letters to depots and charts, read back from their PDF."""

import re
from datetime import datetime

import pytest

from made_plan import made_plan
from pacewright.base.faults import CallError
from pacewright.events.standing import Standing
from pacewright.reports.papers.catalogue import SORTS
from pacewright.reports.papers.charts import load_chart, programme_chart
from pacewright.reports.papers.depot_letter import depot_letters
from pacewright.reports.papers.ground import Ground
from pacewright.reports.papers.inked import inked
from pacewright.reports.written import day
from paper_ground import ground, pages, text_of


@pytest.fixture(scope="module")
def planned() -> Ground:
    """A made plan without a record."""
    plan, works = made_plan(400)
    return Ground(works, Standing(), datetime.combine(plan.today, datetime.min.time()), plan, 20)


def test_letter_lists_exactly_the_depots_calls(planned: Ground) -> None:
    """Every call of the depot within the days stands there with day and limit, no other's."""
    plan = planned.planned()
    start = max(planned.now.date(), plan.start)
    last = planned.works.calendar.add(start, 20)
    depot = plan.programme.calls[0].depot_id
    said = text_of(depot_letters(planned, depot))
    table = said[said.index("LIMIT: not run after") : said.index("At the works")]
    for one in plan.programme.calls:
        stands = re.search(rf"\b{re.escape(one.vehicle_id)}\b", table) is not None
        assert stands == (one.depot_id == depot and one.day <= last), one
        if stands:
            assert day(one.day) in table
            assert day(one.limit) in table
    assert "No vehicle runs past its limit day" in said


def test_every_depot_has_a_letter(planned: Ground) -> None:
    """Without a depot named there is one each."""
    assert len(depot_letters(planned).cards) == len(planned.works.depots)


def test_no_record_is_told(planned: Ground) -> None:
    """A letter made from tables alone says so."""
    assert "no record: by the tables" in text_of(depot_letters(planned))


def test_programme_chart_tells_its_figures_in_words_too(planned: Ground) -> None:
    """Call-ins, weeks and types stand in words beside the drawings."""
    plan = planned.planned()
    said = text_of(programme_chart(planned))
    assert f"{len(plan.programme.calls):,} call-ins" in said
    assert day(plan.programme.weeks[0].monday) in said
    for name in {one.type_id: one.name for one in planned.works.vehicle_types}.values():
        assert name in said
    assert "Called in by week and type" in said
    assert "firm" in said


def test_load_chart_names_every_place(planned: Ground) -> None:
    """Every stage and trade of the line has its row with gear and reason."""
    said = text_of(load_chart(planned))
    for one in planned.planned().line.stages:
        assert one.name in said
        assert one.gear.value in said


def test_papers_of_the_plan_need_one() -> None:
    """Without a plan the message says what to do."""
    for make in (depot_letters, programme_chart, load_chart):
        with pytest.raises(CallError, match="no plan is at hand"):
            make(ground())


def test_inked_drawing_stands_alone_and_has_no_colour(planned: Ground) -> None:
    """It names its language, brings its looks, and every colour in them is a grey."""
    one = inked('<svg class="drawing" viewBox="0 0 4 4"><rect class="kind2"/></svg>')
    assert one.startswith('<svg xmlns="http://www.w3.org/2000/svg" class="drawing"')
    assert '<pattern id="p2"' in one
    colours = re.findall(r"#([0-9a-f]{3,6})\b", one.split("</style>")[0])
    assert colours
    for colour in colours:
        parts = re.findall("..", colour) if len(colour) == 6 else list(colour)
        assert len(set(parts)) == 1, colour
    with pytest.raises(ValueError, match="<svg"):
        inked("<p>no drawing</p>")


def test_every_sort_says_what_it_is_and_reads_its_picks() -> None:
    """Each has words for the list; wrong picks and days are refused with what is wanted."""
    for key, sort in SORTS.items():
        assert key == sort.key
        assert sort.about.endswith(".")
        with pytest.raises(CallError, match="was asked"):
            sort.days({"colour": "red"})
        assert set(sort.needs) <= set(sort.picks)
        asked = {name: "x" if name in sort.needs else "" for name in sort.picks}
        assert sort.days(asked) == sort.usual_days
        for name in sort.needs:
            with pytest.raises(CallError, match=f"{name} is left out"):
                sort.days(asked | {name: ""})
    for said in ("0", "61", "two", "-1", "²", "9" * 400):
        with pytest.raises(CallError, match="whole number from 1 to 60"):
            SORTS["day-sheet"].days({"days": said})
    assert SORTS["day-sheet"].days({"days": "7"}) == 7


def test_letter_pages_count_by_letter(planned: Ground) -> None:
    """Each depot's letter begins at page 1."""
    found = pages(depot_letters(planned))
    firsts = sum("page 1 of" in one for one in found)
    assert firsts == len(planned.works.depots)
