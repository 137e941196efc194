"""The float list: every unit kind at the pace of the line, set together for vehicle readiness."""

import time
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pacewright.floats.float_line import float_line, overload
from pacewright.floats.joint import JointQuestion, JointSetting, greedy_path, set_together
from pacewright.floats.prices import PricedKinds, priced
from pacewright.floats.problem import FloatProblem, float_problem
from pacewright.floats.unit_float import UnitFloat, unit_float
from pacewright.parts.lots import lot_notes
from pacewright.plans.card import ResultCard
from pacewright.plans.floatlist import FloatLine, FloatList, ReadinessPoint
from pacewright.plans.line import Line
from pacewright.works import Works

Array = NDArray[np.float64]

CURVE_POINTS = 40
"""Most points of the curve of readiness against money."""


def float_list(works: Works, line: Line) -> FloatList:
    """How many of each unit kind so that a vehicle has all its units on the day, at least money.

    Parameters
    ----------
    works : parts, floats held, and the readiness target of the plan.
    line : the pace, the mix of types, and the offset of each kind on each type.

    Returns
    -------
    One line a unit kind in the order of the works, the joint setting on its card, the least
    purchase from what is held, and the curve of readiness against money.
    """
    start = time.perf_counter()
    problem = float_problem(works, line)
    units = [unit_float(question) for question in problem.units]
    able = [unit for unit in units if unit.even is not None]
    prices = priced([unit.question.kind.unit_cost for unit in able])
    needed = set_together(_question(problem, able, prices, held=False))
    bought = _bought(_question(problem, able, prices, held=True), needed)
    lines = _lines(problem, units, needed, bought)
    cured = len(able) == len(units)
    now = _question(problem, able, prices, held=True)
    return FloatList(
        card=_card(needed, cured, time.perf_counter() - start),
        target=problem.target,
        lines=lines,
        ready_held=now.readiness(now.least) if cured else 0.0,
        ready_needed=needed.readiness if cured else 0.0,
        cost_short=float(sum(one.cost_short for one in lines)),
        curve=_curve(_question(problem, able, prices, held=False)),
        notes=(*_notes(problem, units, prices, needed), *_slow_lots(works, problem)),
        cost_buy=float(sum(one.buy * one.unit_cost for one in lines)),
        ready_bought=bought.readiness if cured else 0.0,
    )


def _bought(question: JointQuestion, needed: JointSetting) -> JointSetting:
    """The least purchase that reaches the target with all that is held kept."""
    found = set_together(question)
    topped = tuple(map(max, needed.floats, question.least))
    # Where the search had to stop short, topping up to the floats needed may be the cheaper.
    if question.cost(topped) < found.cost - 1e-9:
        return replace(
            found,
            floats=topped,
            cost=question.cost(topped),
            readiness=question.readiness(topped),
        )
    return found


def _question(
    problem: FloatProblem, units: list[UnitFloat], prices: PricedKinds, held: bool
) -> JointQuestion:
    return JointQuestion(
        ready=tuple(_by_type(problem, unit) for unit in units),
        costs=prices.costs,
        shares=tuple(share for _, share in problem.shares),
        target=problem.target,
        least=tuple(unit.question.held if held else 0 for unit in units),
    )


def _by_type(problem: FloatProblem, unit: UnitFloat) -> Array:
    assert unit.even is not None
    rows = np.ones((len(problem.shares), unit.even.most + 1))
    for place, (type_id, _) in enumerate(problem.shares):
        if type_id in unit.even.type_ids:
            rows[place] = unit.even.ready[0, unit.even.type_ids.index(type_id)]
    return rows


def _lines(
    problem: FloatProblem,
    units: list[UnitFloat],
    needed: JointSetting,
    bought: JointSetting,
) -> tuple[FloatLine, ...]:
    settings = iter(zip(needed.floats, bought.floats, strict=True))
    lines = []
    for unit in units:
        if unit.even is None:
            lines.append(float_line(problem, unit, unit.question.held, unit.question.held))
        else:
            lines.append(float_line(problem, unit, *next(settings)))
    return tuple(lines)


def _card(needed: JointSetting, cured: bool, seconds: float) -> ResultCard:
    status = "optimal" if needed.proven else "feasible"
    return ResultCard(
        method="exact law of even call-in; floats set together by marginal analysis, then a "
        "complete search around the price bound",
        status=status if cured else "impossible",
        objective=needed.cost,
        bound=needed.bound,
        gap=(needed.cost - needed.bound) / max(1.0, abs(needed.cost)),
        unit="money for all floats needed",
        seconds=seconds,
    )


def _curve(question: JointQuestion) -> tuple[ReadinessPoint, ...]:
    path = greedy_path(question)
    points = [
        ReadinessPoint(question.cost(floats), float(ready), sum(floats))
        for floats, ready in zip(path, question.readiness_of(path), strict=True)
    ]
    telling = [point for point in points if 0.2 <= point.readiness <= 0.9999] or points[-1:]
    chosen = np.unique(np.linspace(0, len(telling) - 1, CURVE_POINTS).astype(int))
    return tuple(telling[place] for place in chosen)


def _slow_lots(works: Works, problem: FloatProblem) -> Iterator[str]:
    plan = works.settings.plan
    days = works.calendar.count(plan.start, works.horizon_end())
    for unit in problem.units:
        yield from lot_notes(unit.kind, unit.stream.units_a_takt / problem.takt_days, days)


def _notes(
    problem: FloatProblem, units: list[UnitFloat], prices: PricedKinds, needed: JointSetting
) -> tuple[str, ...]:
    notes = [
        "A vehicle is ready when no unit of any kind is wanting on the day it is needed; the "
        "kinds are independent of one another when call-in is paced.",
        "Types stand in the call-in in even order, each as near its share as whole vehicles go.",
    ]
    if prices.unknown:
        notes.append(
            f"{prices.unknown} unit kinds have no price: set together at {prices.assumed:g} each "
            "(the middle price of the others, or 1). Give unit_cost in unit_kinds to change it."
        )
    stuck = [unit for unit in units if unit.even is None]
    for unit in stuck:
        kind = unit.question.kind
        notes.append(f"{kind.name} ({kind.unit_kind_id}): {overload(unit)}")
    if stuck:
        notes.append(
            f"Without these kinds vehicle readiness would be {needed.readiness:.3f} with the "
            "floats needed."
        )
    return tuple(notes)
