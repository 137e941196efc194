"""Grow a works to a wanted pace and promise, and write the answer as a change file."""

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from pacewright.base.progress import Progress, silent
from pacewright.files.write import cell_text
from pacewright.office.errors import CallError
from pacewright.office.planning import make_plan
from pacewright.office.simulating import Asked, hands
from pacewright.plans.growth import Growth
from pacewright.plans.plan import Plan
from pacewright.works import Works

if TYPE_CHECKING:
    from pacewright.simulate.grow import Wanted


def make_growth(works: Works, wanted: "Wanted", progress: Progress = silent) -> Growth:
    """The path to what is wanted; see ``simulate.grow.grow``.

    Raises
    ------
    CallError : one price is given without the other.
    NoPlanError : the works cannot be planned or run through.
    """
    from pacewright.floats.solve import float_list
    from pacewright.pace.solve import line
    from pacewright.simulate.grow import grow

    if (wanted.person_cost is None) != (wanted.position_cost is None):
        raise CallError(
            "--person-cost and --position-cost: one without the other cannot be weighed. Give "
            "both, in the money of unit_cost, or neither."
        )
    types = tuple(replace(one, turn_days=wanted.turn_days) for one in works.vehicle_types)
    promised = replace(works, vehicle_types=types)
    base = make_plan(promised, (), progress)
    programme = replace(base.programme, pace_a_day=wanted.pace_a_week / works.week_days)

    def plan_of(grown: Works) -> Plan:
        paced = line(grown, programme)
        return replace(base, programme=programme, line=paced, floats=float_list(grown, paced))

    with hands(Asked()) as workers:
        return grow(promised, wanted, plan_of, workers, progress)


def change_file(works: Works, growth: Growth) -> str:
    """The answer as a change file of the works as it is, for ``pacewright compare``."""
    lines = [
        "# Written by pacewright grow; read by pacewright compare.",
        f'name = "Grown to {growth.pace_a_week:g} a week, {growth.turn_days:g} days"',
        "",
        "[[plan.pace]]",
        f"starts = {works.settings.plan.start}",
        f"vehicles_a_week = {cell_text(growth.pace_a_week)}",
    ]
    for table, column in (
        ("vehicle_types", "turn_days"),
        ("people", "people"),
        ("stages", "positions"),
        ("floats", "serviceable"),
    ):
        lines += _rows(works, growth.works, table, column)
    return "\n".join(lines) + "\n"


def _rows(old: Works, new: Works, table: str, column: str) -> Iterator[str]:
    def key(row: Any) -> tuple[Any, ...]:
        return tuple(getattr(row, name) for name in row.KEY)

    before = {key(row): row for row in getattr(old, table)}
    for row in getattr(new, table):
        if before.get(key(row)) == row:
            continue
        yield from ("", f"[[{table}]]")
        yield from (f'{name} = "{part}"' for name, part in zip(row.KEY, key(row), strict=True))
        yield f"{column} = {cell_text(getattr(row, column))}"
        if key(row) not in before:
            yield from ("add = true", "unserviceable = 0")
