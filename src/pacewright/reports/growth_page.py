"""The page of a growth: the answer, the path to it, its proof, the ramp, and how it was found."""

from collections.abc import Sequence
from dataclasses import dataclass

from pacewright.plans.growth import Added, Growth, RampMonth, Step, StepBack
from pacewright.reports.drawings.growth_path import Bought, growth_path
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.glossary import CAUTION
from pacewright.reports.growth_table import growth_tables
from pacewright.reports.html_table import html_table
from pacewright.reports.shell import asset, environment, hash_of
from pacewright.reports.written import NONE, number, share
from pacewright.works import Works


@dataclass(frozen=True, slots=True)
class AnswerRow:
    """One place of the answer."""

    added: str
    place: str
    now: str
    then: str
    cost: str


def growth_page(growth: Growth, works: Works) -> str:
    """The whole page as text; the same growth gives the same page.

    Parameters
    ----------
    works : as it is, for names and for how many there are now.
    """
    style = asset("report.css") + asset("forecast.css") + asset("comparison.css")
    script = asset("report.js")
    unit = "money" if growth.priced else "pieces"
    names = _names(works)
    return (
        environment()
        .get_template("growth.html.j2")
        .render(
            growth=growth,
            unit=unit,
            sentences=_answer(growth),
            answer=_answer_rows(growth, works, names),
            drawing=_drawing(growth, names, unit),
            steps=[_step(one, names) for one in growth.steps],
            backs=[_back(one, growth.promise, names) for one in growth.backs],
            months=[_month(one, names) for one in growth.ramp],
            tables=[(one.title, html_table(one)) for one in growth_tables(growth) if one.rows],
            caution=CAUTION,
            style=style,
            script=script,
            style_hash=hash_of(style),
            script_hash=hash_of(script),
        )
    )


def _answer(growth: Growth) -> list[str]:
    kept = interval(growth.verified_chance, growth.verified_half_width)
    word = "is reached" if growth.reached else "is NOT shown to be reached"
    said = [
        f"{share(growth.promise)} within {growth.turn_days:g} working days at "
        f"{growth.pace_a_week:g} a week {word}: {kept} over {growth.verified_replications} runs "
        "with fresh chances.",
        f"As it is: {interval(growth.start_chance, growth.start_half_width)}, "
        f"{number(growth.start_there)} vehicles at the gate and inside.",
    ]
    if growth.steps:
        in_what = "in the money of the prices" if growth.priced else "counted in pieces"
        said.append(f"What stays costs {_cost(growth.cost)}, {in_what}.")
    return [*said, f"The search ended because: {growth.stopped_by}."]


def _cost(cost: float) -> str:
    """Money without decimals; small counts with one."""
    return number(cost, 0 if cost >= 1000 else 1)


def interval(chance: float, half_width: float) -> str:
    """A share with its half width in points."""
    return f"{share(chance, 1)} ± {number(100 * half_width)} points"


def _names(works: Works) -> dict[tuple[Added, str], str]:
    """What each place is called."""
    shops = {one.shop_id: one.name for one in works.shops}
    trades = {one.trade_id: one.name for one in works.trades}
    found = {(Added.HOURS, one): name for one, name in shops.items()}
    for crew in works.people:
        name = f"{trades[crew.trade_id]}, {shops[crew.shop_id]}"
        found[Added.PEOPLE, f"{crew.shop_id} {crew.trade_id}"] = name
    found |= {(Added.POSITIONS, one.stage_id): one.name for one in works.stages}
    for kind in works.unit_kinds:
        found[Added.FLOAT, kind.unit_kind_id] = kind.name
        found[Added.BENCHES, kind.unit_kind_id] = kind.name
    return found | {(Added.INSIDE, ""): "whole works"}


def _there(works: Works) -> dict[tuple[Added, str], float]:
    """How many there are at each place."""
    found: dict[tuple[Added, str], float] = {}
    for crew in works.people:
        found[Added.PEOPLE, f"{crew.shop_id} {crew.trade_id}"] = crew.people
    found |= {(Added.POSITIONS, one.stage_id): one.positions for one in works.stages}
    found |= {(Added.HOURS, shop): hours for shop, hours in works.shop_hours_a_day.items()}
    found |= {(Added.FLOAT, one.unit_kind_id): one.serviceable for one in works.floats}
    found |= {(Added.BENCHES, one.unit_kind_id): one.benches or 0 for one in works.unit_kinds}
    found[Added.INSIDE, ""] = works.settings.plan.inside_limit or 0
    return found


def _answer_rows(
    growth: Growth, works: Works, names: dict[tuple[Added, str], str]
) -> list[AnswerRow]:
    before, after = _there(works), _there(growth.works)
    costs: dict[tuple[Added, str], float] = {}
    for step in growth.steps:
        if step.stays:
            place = step.added, step.place_id
            costs[place] = costs.get(place, 0.0) + step.cost_stays
    return [
        AnswerRow(
            str(place[0]),
            names.get(place, place[1]),
            f"{before.get(place, 0):,g}",
            f"{after[place]:,g}",
            _cost(cost),
        )
        for place, cost in sorted(costs.items(), key=lambda one: -one[1])
    ]


def _drawing(growth: Growth, names: dict[tuple[Added, str], str], unit: str) -> Drawing | None:
    """Cost against share in time; None where no step was run."""
    path = [Bought(0.0, growth.start_chance, growth.start_half_width, "as it is")]
    cost = 0.0
    for step in growth.steps:
        cost += step.cost
        if step.was_run:
            says = f"+{step.how_many} {_named(step, names)}: {share(step.promise_chance, 1)}"
            path.append(Bought(cost, step.promise_chance, step.half_width, says))
    if len(path) < 2:
        return None
    answer = Bought(
        growth.cost, growth.verified_chance, growth.verified_half_width, "the answer, verified"
    )
    return growth_path(path, answer, growth.promise, unit)


def _named(step: Step, names: dict[tuple[Added, str], str]) -> str:
    return f"{step.added}, {names.get((step.added, step.place_id), step.place_id)}"


def _step(step: Step, names: dict[tuple[Added, str], str]) -> dict[str, str]:
    kept = interval(step.promise_chance, step.half_width) if step.was_run else NONE
    return {
        "many": f"+{step.how_many}",
        "what": _named(step, names),
        "cost": _cost(step.cost),
        "kept": kept,
        "there": number(step.there_mean) if step.was_run else NONE,
        "back": str(step.taken_back or NONE),
        "why": step.why,
    }


def _back(back: StepBack, promise: float, names: dict[tuple[Added, str], str]) -> dict[str, str]:
    missed = back.promise_chance + back.half_width < promise
    return {
        "what": f"{back.added}, {names.get((back.added, back.place_id), back.place_id)}",
        "stays": f"+{back.stays}",
        "kept": interval(back.promise_chance, back.half_width),
        "pairs": str(back.replications),
        "verdict": "surely missed" if missed else "not shown to be kept",
    }


def _month(month: RampMonth, names: dict[tuple[Added, str], str]) -> dict[str, Sequence[str] | str]:
    return {
        "month": str(month.month),
        "starts": month.starts.isoformat(),
        "pace": number(month.pace_a_week, 2),
        "needed": [
            f"+{many} {added}, {names.get((added, place), place)}"
            for added, place, many in month.needed
        ],
        "cost": _cost(month.cost),
        "so_far": _cost(month.cost_so_far),
        "kept": interval(month.promise_chance, month.half_width),
    }
