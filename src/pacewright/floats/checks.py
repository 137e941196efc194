"""The judge of float lists: whether a list is what it says, reckoned without the solver."""

import math
from itertools import pairwise

from pacewright.floats.judge_readiness import JudgedType, judged_ready
from pacewright.parts.tables import FloatHeld, UnitKind
from pacewright.plans.floatlist import FloatLine, FloatList
from pacewright.plans.line import Line
from pacewright.works import Works

CLOSE = 1e-6
MIXED = 0.03
"""Where types differ, engine and judge average over another stretch of the order of types."""


def check_floats(works: Works, line: Line, floats: FloatList) -> tuple[str, ...]:
    """Everything in which the list breaks its rules; empty when it keeps them.

    Parameters
    ----------
    works, line : what the list was made from.
    floats : the list to judge.
    """
    faults = list(_check_kinds(works, line, floats))
    kinds = {kind.unit_kind_id: kind for kind in works.unit_kinds}
    for one in floats.lines:
        kind = kinds.get(one.unit_kind_id)
        if kind is None:
            continue
        said = [
            *_check_inputs(works, line, kind, one),
            *_check_sums(one),
            *_check_chances(one),
        ]
        if not said:
            said = _check_readiness(works, line, kind, one)
        faults += [f"{one.unit_kind_id}: {fault}" for fault in said]
    faults += _check_whole(works, line, floats)
    if not faults:
        faults += _check_needed(works, line, floats)
    return tuple(faults)


def _near(found: float, wanted: float) -> bool:
    return math.isclose(found, wanted, rel_tol=CLOSE, abs_tol=CLOSE)


def _shares(line: Line) -> dict[str, float]:
    total = sum(turn.share for turn in line.turns) or 1.0
    return {turn.type_id: turn.share / total for turn in line.turns if turn.share > 0}


def _carried(works: Works, line: Line, kind: UnitKind) -> dict[str, int]:
    shares = _shares(line)
    placed = {u.type_id for u in line.units if u.unit_kind_id == kind.unit_kind_id}
    return {
        fit.type_id: fit.per_vehicle
        for fit in works.fits
        if fit.unit_kind_id == kind.unit_kind_id and fit.type_id in shares and fit.type_id in placed
    }


def _check_kinds(works: Works, line: Line, floats: FloatList) -> list[str]:
    wanted = [k.unit_kind_id for k in works.unit_kinds if _carried(works, line, k)]
    found = [one.unit_kind_id for one in floats.lines]
    if found == wanted:
        return []
    return [f"lines stand for {found}; the kinds carried are {wanted}, each once, in that order"]


def _check_inputs(works: Works, line: Line, kind: UnitKind, one: FloatLine) -> list[str]:
    stock = next(
        (row for row in works.floats if row.unit_kind_id == kind.unit_kind_id),
        FloatHeld(kind.unit_kind_id, 0, 0),
    )
    shares, carried = _shares(line), _carried(works, line, kind)
    per_vehicle = sum(shares[t] * units for t, units in carried.items())
    removal = 1.0 if kind.must_change else kind.removal_share
    offsets = [
        unit.needed_day - unit.removed_day
        for unit in line.units
        if unit.unit_kind_id == kind.unit_kind_id and unit.type_id in carried
    ]
    rules: list[tuple[str, float, float]] = [
        ("held", one.held, stock.serviceable + stock.unserviceable),
        ("serviceable", one.serviceable, stock.serviceable),
        ("quarantine", one.quarantine, stock.quarantine),
        ("per_vehicle", one.per_vehicle, per_vehicle),
        ("removed_a_week", one.removed_a_week, per_vehicle * removal * line.pace_a_week),
        ("takt_worth_units", one.takt_worth_units, per_vehicle * removal),
        ("offset_days", one.offset_days, min(offsets)),
        ("unit_cost", one.unit_cost, kind.unit_cost),
    ]
    return [
        f"{name} is {found}, by the works and the line {wanted}"
        for name, found, wanted in rules
        if not _near(found, wanted)
    ] + ([] if one.types == tuple(carried) else [f"types are {one.types}, not {tuple(carried)}"])


def _check_sums(one: FloatLine) -> list[str]:
    short = max(0, one.needed - one.held)
    rules: list[tuple[str, float, float]] = [
        ("short", one.short, short),
        ("cost_short", one.cost_short, short * one.unit_cost),
        ("late_chance[0]", one.late_chance[0], 1 - one.ready_held),
    ]
    faults = [
        f"{name} is {found}, by its own line {wanted}"
        for name, found, wanted in rules
        if not _near(found, wanted)
    ]
    if one.buy < 0 or one.needed < 0 or not 0 <= one.purchase_stock <= one.needed:
        faults.append("needed, buy and purchase_stock are 0 or more, the last at most needed")
    return faults


def _check_chances(one: FloatLine) -> list[str]:
    late = list(one.late_chance)
    chances = [one.ready_held, one.ready_needed, one.ready_one_more, one.ready_one_takt]
    chances += [one.ready_bought, one.ready_random_held, *late]
    chances += [*one.ready_held_by_type, *one.ready_needed_by_type]
    faults = []
    if not all(-CLOSE <= chance <= 1 + CLOSE for chance in chances):
        faults.append("a chance lies outside 0 to 1")
    if any(after > before + CLOSE for before, after in pairwise(late)):
        faults.append("the chance of waiting longer than a day rises with the days")
    if min(one.ready_one_more, one.ready_one_takt, one.ready_bought) < one.ready_held - CLOSE:
        faults.append("more units or a longer offset make the kind less ready")
    if (one.needed - one.held) * (one.ready_needed - one.ready_held) < -CLOSE:
        faults.append("readiness falls where the float rises")
    if one.shop_use_share is not None and one.shop_use_share >= 1 and one.ready_needed > 0:
        faults.append("its shop is slower than the pace, and yet it is said to be ready")
    return faults


def _types(works: Works, line: Line, kind: UnitKind) -> list[JudgedType]:
    carried = _carried(works, line, kind)
    placed = {u.type_id: u for u in line.units if u.unit_kind_id == kind.unit_kind_id}
    shares = _shares(line)
    merged: dict[tuple[int, float, float], float] = {}
    for type_id, units in carried.items():
        key = (units, placed[type_id].removed_day, placed[type_id].needed_day)
        merged[key] = merged.get(key, 0.0) + shares[type_id]
    found = [JudgedType(share, *key) for key, share in merged.items()]
    rest = 1 - sum(one.share for one in found)
    return [*found, JudgedType(rest, 0, 0.0, 0.0)] if rest > 1e-9 else found


def _plain(kind: UnitKind, one: FloatLine) -> bool:
    loaded = one.shop_use_share is not None and one.shop_use_share > 0.7
    lots = kind.lot_size > 1 or (kind.scrap_share > 0 and kind.purchase_lot > 1)
    return not (loaded or lots or kind.despatch_days > 0 or kind.site_a_week > 0)


def _check_readiness(works: Works, line: Line, kind: UnitKind, one: FloatLine) -> list[str]:
    types = _types(works, line, kind)
    if not _plain(kind, one):
        return []
    placed = {u.type_id: u for u in line.units if u.unit_kind_id == kind.unit_kind_id}
    carried = _carried(works, line, kind)
    faults = []
    for type_id, held, needed in zip(
        one.types, one.ready_held_by_type, one.ready_needed_by_type, strict=True
    ):
        spot = placed[type_id].removed_day, placed[type_id].needed_day
        like = [(t.units, t.removed_day, t.needed_day) for t in types]
        place = like.index((carried[type_id], *spot))
        ready = judged_ready(kind, types, place, line.takt_days)
        for name, units, found in (("held", one.held, held), ("needed", one.needed, needed)):
            wanted = float(ready[min(units, ready.size - 1)])
            if abs(found - wanted) > (1e-5 if len(types) == 1 else MIXED):
                faults.append(
                    f"readiness of {type_id} with {name} units is {found:.6f}, reckoned vehicle "
                    f"by vehicle {wanted:.6f}"
                )
    return faults


def _check_whole(works: Works, line: Line, floats: FloatList) -> list[str]:
    shares, stuck = _shares(line), _stuck(floats)
    card = floats.card
    rules: list[tuple[str, float, float]] = [
        ("target", floats.target, works.settings.plan.readiness_target),
        ("ready_held", floats.ready_held, 0 if stuck else _product(shares, floats, "held")),
        ("ready_needed", floats.ready_needed, 0 if stuck else _product(shares, floats, "needed")),
        ("cost_short", floats.cost_short, sum(one.cost_short for one in floats.lines)),
        ("cost_buy", floats.cost_buy, sum(one.buy * one.unit_cost for one in floats.lines)),
        ("gap", card.gap, (card.objective - card.bound) / max(1.0, abs(card.objective))),
    ]
    if all(one.unit_cost > 0 for one in floats.lines) and not stuck:
        spent = sum(one.needed * one.unit_cost for one in floats.lines)
        rules.append(("objective", card.objective, spent))
    faults = [
        f"{name} is {found}, by the lines {wanted}"
        for name, found, wanted in rules
        if not _near(found, wanted)
    ]
    if not stuck and min(floats.ready_needed, floats.ready_bought) < floats.target - CLOSE:
        faults.append(f"vehicle readiness stays under the target {floats.target}")
    if card.bound > card.objective + CLOSE * max(1.0, card.objective):
        faults.append("the bound lies above the objective")
    if card.status not in (("impossible",) if stuck else ("optimal", "feasible")):
        faults.append(f"status is {card.status}")
    if card.status == "optimal" and card.gap > 1e-9:
        faults.append("called optimal with a gap left")
    points = [(point.cost, point.readiness, point.units) for point in floats.curve]
    if any(b[0] < a[0] or b[1] < a[1] - CLOSE for a, b in pairwise(points)):
        faults.append("the curve falls back in cost or readiness")
    return faults


def _stuck(floats: FloatList) -> bool:
    return any(one.shop_use_share is not None and one.shop_use_share >= 1 for one in floats.lines)


def _product(shares: dict[str, float], floats: FloatList, which: str) -> float:
    total = 0.0
    for type_id, share in shares.items():
        product = 1.0
        for one in floats.lines:
            if type_id in one.types:
                row = one.ready_held_by_type if which == "held" else one.ready_needed_by_type
                product *= row[one.types.index(type_id)]
        total += share * product
    return total


def _check_needed(works: Works, line: Line, floats: FloatList) -> list[str]:
    """No kind could do with one unit less and the target still be reached."""
    if _stuck(floats):
        return []
    shares = _shares(line)
    kinds = {kind.unit_kind_id: kind for kind in works.unit_kinds}
    faults = []
    for one in floats.lines:
        kind = kinds[one.unit_kind_id]
        types = _types(works, line, kind)
        if one.needed == 0 or not _plain(kind, one) or len(types) > 1:
            continue
        ready = judged_ready(kind, types, 0, line.takt_days)
        fewer, now = float(ready[one.needed - 1]), float(ready[one.needed])
        spared = sum(
            share * _product({type_id: 1.0}, floats, "needed") * (fewer / now)
            if type_id in one.types
            else share * _product({type_id: 1.0}, floats, "needed")
            for type_id, share in shares.items()
        )
        if spared >= floats.target + 1e-5 and kind.unit_cost > 0:
            faults.append(f"{one.unit_kind_id}: one unit fewer would still reach the target")
    return faults
