"""Standard hours of the work at a stage and on a unit, and the hours the people can do."""

from collections.abc import Iterable
from datetime import date
from typing import NamedTuple

from pacewright.events.standing import Standing
from pacewright.parts.tables import Operation
from pacewright.works import Works


class Work(NamedTuple):
    """One trade in one shop."""

    shop_id: str
    trade_id: str


def stage_hours(works: Works, stage_id: str, type_id: str) -> dict[str, float]:
    """Trade -> mean standard hours at a stage on one piece of a type [man-hours]."""
    return _hours(
        one
        for one in works.operations
        if one.stage_id == stage_id and one.type_id in (None, type_id)
    )


def unit_hours(works: Works, unit_kind_id: str) -> dict[str, float]:
    """Trade -> mean standard hours on one unit of a kind [man-hours]; those of one type left out.

    Which vehicle a unit came off does not matter once it is in the pool.
    """
    return _hours(
        one for one in works.operations if one.unit_kind_id == unit_kind_id and one.type_id is None
    )


def _hours(operations: Iterable[Operation]) -> dict[str, float]:
    found: dict[str, float] = {}
    for one in operations:
        share = 1.0 if one.must_change else one.occurrence_share
        found[one.trade_id] = found.get(one.trade_id, 0.0) + share * one.standard_hours
    return found


def able_hours_a_day(works: Works) -> dict[Work, float]:
    """Shop and trade -> standard hours they earn on a usual working day."""
    return {
        Work(one.shop_id, one.trade_id): one.people
        * one.hours_a_day
        * one.attendance_share
        * one.performance
        for one in works.people
    }


def hours_today(works: Works, standing: Standing, today: date) -> dict[Work, tuple[float, bool]]:
    """Shop and trade -> standard hours of today, and whether attendance was told.

    What attended counts at the performance of the trade; where nothing was told, the usual day.
    """
    found = {}
    usual = able_hours_a_day(works)
    for one in works.people:
        key = Work(one.shop_id, one.trade_id)
        told = standing.attended.get((one.shop_id, one.trade_id, today))
        found[key] = (told[1] * one.performance, True) if told else (usual[key], False)
    return found
