"""Orders on record at the start of a run: what comes in, and when."""

from datetime import date, datetime

import pytest

from control_case import Case
from pacewright.events.codes import Code
from pacewright.events.things import Unit
from pacewright.events.units import Ordered, Purchased, Scrapped
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.heap_engine import run_heap
from pacewright.simulate.live_start import LiveStart
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.start_table import Way
from pacewright.simulate.table import FlowTable
from small_works import Tables, small_works

EVEN = FlowOptions(calls=Calls.EVEN, pace_a_day=0.2, weeks=20, upsets=False)
MONDAY = datetime(2026, 3, 9, 7, 0)
A_DAY = 480
"""Working minutes of a day of the small works."""


def _by_lots(tables: Tables) -> None:
    for row in tables["unit_kinds"]:
        row |= {"purchase_lot": "2", "purchase_days": "30", "site_a_week": "0"}


@pytest.fixture
def case() -> Case:
    """Three motors came off vehicle 101 and were scrapped on a Monday; they are bought by twos."""
    told = Case(small_works(_by_lots))
    told.day(MONDAY)
    whole = told.married("101")
    told.off(whole, "motor", "M-1", "M-2", "M-3")
    for number in (1, 2, 3):
        told.tell(Scrapped, Unit("motor", f"M-{number}"))
    return told


def table_of(case: Case, now: datetime) -> FlowTable:
    """The table of a run that goes on from the story."""
    return compile_flow(case.works, None, EVEN, LiveStart(case.now, now))


def bought(table: FlowTable) -> list[int]:
    """Working minutes until each unit on order comes in."""
    away = table.live.away
    return [m for m, way in zip(away.minutes, away.way, strict=True) if way == Way.BOUGHT]


def scrapped(table: FlowTable) -> int:
    """Motors scrapped towards a lot."""
    return int(table.live.scrapped[table.names.kinds.index("motor")])


def test_what_is_on_order_comes_in_on_its_due_day(case: Case) -> None:
    """Ten working days after a Tuesday noon, to the minute; the third is short of a lot."""
    case.tell(Ordered, "motor", 2, date(2026, 3, 24))
    table = table_of(case, datetime(2026, 3, 10, 12, 0))
    assert bought(table) == [10 * A_DAY] * 2
    assert scrapped(table) == 1
    rows = run_heap(table, 1, 0, events=True).events
    assert rows is not None
    came = rows.time[rows.code == Code.BOUGHT]
    noon = table.days.start + 14 * 1440
    assert came[:2].tolist() == [noon, noon]


def test_what_is_late_comes_in_a_working_day_on(case: Case) -> None:
    """Due last week and not in yet."""
    case.tell(Ordered, "motor", 2, date(2026, 3, 13))
    assert bought(table_of(case, datetime(2026, 3, 17, 10, 0))) == [A_DAY] * 2


def test_what_came_in_is_on_order_no_more(case: Case) -> None:
    """One of two is in: the other is still to come."""
    case.tell(Ordered, "motor", 2, date(2026, 3, 24))
    case.tell(Purchased, Unit("motor", "N-1"), "store")
    table = table_of(case, datetime(2026, 3, 10, 12, 0))
    assert bought(table) == [10 * A_DAY]
    assert scrapped(table) == 1


def test_what_nobody_ordered_is_bought_by_lots_at_the_start(case: Case) -> None:
    """Orders are on record, none of motors: a lot of two has its whole lead of 30 days to go."""
    case.tell(Ordered, "axle", 2, date(2026, 3, 10))
    case.tell(Purchased, Unit("axle", "N-1"), "store")
    case.tell(Purchased, Unit("axle", "N-2"), "store")
    table = table_of(case, datetime(2026, 3, 10, 12, 0))
    assert bought(table) == [30 * A_DAY] * 2
    assert scrapped(table) == 1
