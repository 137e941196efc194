"""Units on order: expected on their due day; a guess only where no order is on record."""

from datetime import datetime, timedelta

import pytest

from control_case import Case
from pacewright.control.as_recorded import as_recorded
from pacewright.control.pool import ON_ORDER, ORDER_LATE, Pool
from pacewright.control.shortages import shortages
from pacewright.events.things import Unit
from pacewright.events.units import Ordered, Purchased, Scrapped

MONDAY = datetime(2026, 3, 9, 7, 0)
NEXT_MONDAY = MONDAY.date() + timedelta(days=7)


@pytest.fixture
def case() -> Case:
    """Vehicle 11 stands in the fit-out on a Monday; its motor was scrapped, none is in store."""
    told = Case()
    whole = told.married("11")
    told.passes(whole, "marry")
    told.day(MONDAY)
    told.put(whole, "fitout", 1)
    told.off(whole, "motor", "M-1")
    told.tell(Scrapped, Unit("motor", "M-1"))
    return told


def motors(case: Case, now: datetime | None = None) -> Pool:
    """The pool of motors."""
    return case.seen(now)[2]["motor"]


def test_a_unit_on_order_is_expected_on_its_due_day(case: Case) -> None:
    """Ordered for a Monday five working days on: at noon of it, five hours of its eight gone."""
    case.tell(Ordered, "motor", 1, NEXT_MONDAY)
    seen, wanted, pool = case.seen(MONDAY)
    (one,) = pool["motor"].coming
    assert (one.source, one.unit) == (ON_ORDER, None)
    noon = datetime(2026, 3, 16, 12, 0)
    assert one.day == pytest.approx(seen.clock.day_of(noon))
    (row,) = (s for s in shortages(seen, wanted, pool) if s.unit_kind_id == "motor")
    assert (row.source, row.serial) == (ON_ORDER, "")
    assert row.expected_day == pytest.approx(one.day)
    assert row.days_late == pytest.approx(seen.clock.days_between(MONDAY, noon), abs=0.01)
    assert row.chance == 0, "what is due in a week does not come today"


def test_an_order_past_its_due_day_is_said_to_be_late(case: Case) -> None:
    """Nobody knows when it comes; not before the next working day, and the list says so."""
    case.tell(Ordered, "motor", 1, NEXT_MONDAY)
    late = datetime(2026, 3, 18, 9, 0)
    seen, wanted, pool = case.seen(late)
    (one,) = pool["motor"].coming
    assert one.source == ORDER_LATE == "on order, past its due day"
    assert seen.clock.moment_of(one.day) == datetime(2026, 3, 19, 7, 0)
    (row,) = (s for s in shortages(seen, wanted, pool) if s.unit_kind_id == "motor")
    assert row.source == ORDER_LATE


def test_each_unit_of_an_order_is_expected_by_itself(case: Case) -> None:
    """Three ordered, one in: two are still to come."""
    case.tell(Ordered, "motor", 3, NEXT_MONDAY)
    case.tell(Purchased, Unit("motor", "N-1"), "store")
    pool = motors(case)
    assert (pool.serviceable, [one.source for one in pool.coming].count(ON_ORDER)) == (1, 2)


def test_with_orders_on_record_nothing_is_guessed(case: Case) -> None:
    """The scrapped motor counts as ordered until an order of any kind is on record."""
    assert [one.source for one in motors(case).coming] == [ON_ORDER]
    case.tell(Ordered, "axle", 1, NEXT_MONDAY)
    seen, wanted, pool = case.seen()
    assert pool["motor"].coming == []
    (row,) = (s for s in shortages(seen, wanted, pool) if s.unit_kind_id == "motor")
    assert row.source == "none in sight"


def test_the_float_as_recorded_counts_open_orders(case: Case) -> None:
    """One is owed, none is there: short by one with no order, by none with one, one over with two.

    By hand: unserviceable is those on order less those still to be found.
    """
    for ordered, wanted, is_short in ((0, 0, True), (1, 0, False), (1, 1, False)):
        case.tell(Ordered, "axle" if not ordered else "motor", 1, NEXT_MONDAY)
        found = as_recorded(case.works, case.now, case.at())
        (row,) = (one for one in found.works.floats if one.unit_kind_id == "motor")
        assert (row.serviceable, row.unserviceable) == (0, wanted)
        assert any("short by: motor 1" in note for note in found.notes) == is_short
        assert not any("holds no order" in note for note in found.notes)
