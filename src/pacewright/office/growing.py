"""Grow a works to a wanted pace and promise, and write the answer as a change file."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from pacewright import __version__
from pacewright.base.progress import Progress, silent
from pacewright.files.write import cell_text
from pacewright.office.errors import CallError
from pacewright.office.planning import inputs_hash, make_plan, where_from
from pacewright.office.simulating import Asked, hands
from pacewright.plans.growth import Growth
from pacewright.works import Works

if TYPE_CHECKING:
    from pacewright.simulate.grow import Wanted

CHANGED = (
    ("vehicle_types", ("turn_days",)),
    ("shops", ("hours_a_day",)),
    ("people", ("people", "hours_a_day")),
    ("stages", ("positions",)),
    ("floats", ("serviceable",)),
    ("unit_kinds", ("benches",)),
)
"""Tables and columns in which a grown works differs."""


def make_growth(
    works: Works, wanted: "Wanted", progress: Progress = silent, notes: Sequence[str] = ()
) -> Growth:
    """The path to what is wanted; see ``simulate.grow.grow``.

    Parameters
    ----------
    notes : of ``planning.open_now``; whether the record counts is told with the answer.

    Raises
    ------
    CallError : prices are given, but not those of people and of positions both; a ramp is asked,
        but the settings name no present pace; stopped before anything was judged.
    NoPlanError : the works cannot be planned or run through.
    """
    from pacewright.pace.solve import line
    from pacewright.simulate.grow import Ground, grow
    from pacewright.simulate.ramp import even_ramp

    prices = wanted.prices
    if prices.given and (prices.person is None or prices.position is None):
        raise CallError(
            "--person-cost and --position-cost: a price without these two cannot be weighed. Give "
            "both, in the money of unit_cost, or no price at all."
        )
    present = present_pace(works)
    if wanted.ramp_months and not present:
        raise CallError(
            "--ramp-months: works.toml names no pace at the plan's start, so there is nothing to "
            "rise from. Write [[plan.pace]] with the present vehicles_a_week, or leave it out."
        )
    types = tuple(replace(one, turn_days=wanted.turn_days) for one in works.vehicle_types)
    promised = replace(works, vehicle_types=types)
    programme = make_plan(promised, (), progress).programme
    programme = replace(programme, pace_a_day=wanted.pace_a_week / works.week_days)
    start = works.settings.plan.start
    ground = Ground(
        works=promised,
        programme=programme,
        line_of=lambda grown: line(grown, programme),
        months=even_ramp(start, present, wanted.pace_a_week, wanted.ramp_months),
        names=(works.settings.name, inputs_hash(works), __version__),
    )
    with hands(Asked()) as workers:
        try:
            found = grow(ground, wanted, workers, progress)
        except KeyboardInterrupt as stop:
            raise CallError(
                "Stopped before the works could be judged: there is nothing to tell, and nothing "
                "was written. Ask for fewer --replications."
            ) from stop

    queue = _queue_of_today(works, found, ground.line_of(found.works).able_a_week)
    return replace(found, notes=(*where_from(notes), queue, *found.notes))


def _queue_of_today(works: Works, growth: Growth, able_a_week: float) -> str:
    """Whether those inside today are more than the wanted pace and turn time would keep there.

    Equations
    ---------
    inside = pace x turn time (Little); weeks to work off what is more = more / (able - pace).
    """
    inside = sum(one.state == "inside" for one in works.vehicles)
    wanted = growth.pace_a_week * growth.turn_days / works.week_days
    head = (
        f"Inside today: {inside}; a works that keeps {growth.pace_a_week:g} a week and "
        f"{growth.turn_days:g} days has {wanted:.1f} inside (pace times turn time, Little's law)"
    )
    if inside <= wanted:
        return f"{head}. The queue of today does not ask for more than is found here."
    room = able_a_week - growth.pace_a_week
    rest = inside - wanted
    off = (
        f"about {rest / room:.0f} weeks at the {able_a_week:.1f} a week the grown works is able to"
        if room > 0
        else f"never, for the grown works is able to {able_a_week:.1f} a week and no more"
    )
    return (
        f"{head}. The runs begin from empty, so the {rest:.1f} more of today are not in them. To "
        f"work them off beside the pace takes {off}; the promise is not kept until then. Run the "
        "change file through 'pacewright compare --from now', which begins with them."
    )


def present_pace(works: Works) -> float:
    """Vehicles a week the works is able to take today; 0 when its settings name none."""
    plan = works.settings.plan
    steps = [one.vehicles_a_week for one in plan.pace if one.starts <= plan.start]
    return steps[-1] if steps else 0.0


def change_file(works: Works, growth: Growth) -> str:
    """The answer as a change file of the works as it is, for ``pacewright compare``."""
    lines = [
        "# Written by pacewright grow; read by pacewright compare.",
        f'name = "Grown to {growth.pace_a_week:g} a week, {growth.turn_days:g} days"',
    ]
    if growth.works.settings.plan.inside_limit != works.settings.plan.inside_limit:
        limit = growth.works.settings.plan.inside_limit
        lines += ["", "[plan]", f"inside_limit = {limit}"]
    paces = [(one.starts, one.pace_a_week) for one in growth.ramp]
    for starts, pace in paces or [(works.settings.plan.start, growth.pace_a_week)]:
        lines += ["", "[[plan.pace]]", f"starts = {starts}", f"vehicles_a_week = {cell_text(pace)}"]
    for table, columns in CHANGED:
        lines += _rows(works, growth.works, table, columns)
    return "\n".join(lines) + "\n"


def _rows(old: Works, new: Works, table: str, columns: Sequence[str]) -> Iterator[str]:
    def key(row: Any) -> tuple[Any, ...]:
        return tuple(getattr(row, name) for name in row.KEY)

    before = {key(row): row for row in getattr(old, table)}
    for row in getattr(new, table):
        was = before.get(key(row))
        if was == row:
            continue
        yield from ("", f"[[{table}]]")
        yield from (f'{name} = "{part}"' for name, part in zip(row.KEY, key(row), strict=True))
        for column in columns:
            if was is None or getattr(was, column) != getattr(row, column):
                yield f"{column} = {cell_text(getattr(row, column))}"
        if was is None:
            yield from ("add = true", "unserviceable = 0")
