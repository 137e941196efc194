"""A hand-invented forecast of the invented plan, for whatever is made *from* forecasts.

No engine ran: the figures are plain arithmetic and seeded draws. They hang together where a
reader would notice (shares sum to 1, waits make up the turn time, hold-ups are ranked).
"""

from functools import cache
from math import ceil, exp, inf
from random import Random

from made_plan import PACE, made_plan
from pacewright.plans.card import ResultCard
from pacewright.plans.forecast import (
    Band,
    Beside,
    Cause,
    Estimate,
    FloatForecast,
    Forecast,
    HoldUp,
    Pile,
    Queue,
    TurnForecast,
    Use,
    UseOf,
    WeekForecast,
)
from pacewright.plans.plan import Plan
from pacewright.works import Works

RUNS, WARM_WEEKS, MEASURED_WEEKS = 60, 8, 96
A_YEAR = PACE * 50
"""Vehicles in a year of 52 weeks, two of them closed."""

# cause, place, name, shop, vehicle-days a year, share touched
HELD = (
    (Cause.PEOPLE, "body body", "Body maker, Body shop", "body", 1210.0, 0.71),
    (Cause.ASSEMBLY, "two-axle chassis", "Chassis (two-axle)", "marry", 640.0, 0.58),
    (Cause.PART, "U05", "Auxiliary converter", "elec", 412.0, 0.19),
    (Cause.POSITION, "prep", "Rub down and fill", "paint", 236.0, 0.33),
    (Cause.ASSEMBLY, "jointed chassis", "Chassis (jointed)", "marry", 214.0, 0.21),
    (Cause.INSPECTION, "road", "Road test and rectify", "test", 171.0, 0.24),
    (Cause.BATCH, "bake", "Bake and cool", "paint", 118.0, 0.62),
    (Cause.PART, "U18", "Air compressor", "air", 96.0, 0.08),
    (Cause.GATE, "", "", "", 71.0, 0.06),
    (Cause.PEOPLE, "test tester", "Tester, Test and release", "test", 64.0, 0.4),
    (Cause.POSITION, "brep", "Repair shell and pillars", "body", 52.0, 0.13),
    (Cause.PART, "U31", "Door valve", "door", 33.0, 0.05),
    (Cause.PEOPLE, "paint painter", "Painter, Paint shop", "paint", 21.0, 0.12),
    (Cause.POSITION, "recv", "Receive and inspect", "strip", 9.0, 0.04),
    (Cause.INSPECTION, "spray", "Spray", "paint", 4.0, 0.01),
)
STANDING = sum(one[4] for one in HELD)


def figure(key: str, name: str, unit: str, mean: float, half: float) -> Estimate:
    """One figure; a share is kept within 0 and 1."""
    most = 1.0 if unit.startswith("share") else inf
    return Estimate(key, name, unit, mean, half, max(0.0, mean - half), min(most, mean + half),
                    RUNS)  # fmt: skip


@cache
def made_forecast() -> tuple[Plan, Works, Forecast]:
    """The invented plan, its works, and the forecast of it."""
    plan, works = made_plan()
    weeks = _weeks(plan)
    return (
        plan,
        works,
        Forecast(
            card=ResultCard(
                "flow simulation, compiled kernel", "feasible", 0.0094, 0.01, 0.0,
                "half width over mean", 21.4, seed=7, inputs_hash="5f2c9a1e77b0d364",
            ),
            replications=RUNS,
            warm_up_days=WARM_WEEKS * 5.0,
            first=weeks[WARM_WEEKS].monday,
            last=weeks[-1].monday,
            confidence=0.95,
            figures=_figures(),
            weeks=weeks,
            turns=_turns(),
            holdups=tuple(
                HoldUp(cause, place, name, shop, days, 3 + 0.07 * days, touched,
                       days / A_YEAR / touched)
                for cause, place, name, shop, days, touched in HELD
            ),
            uses=_uses(plan),
            queues=_queues(plan),
            floats=_floats(plan),
            piles=_piles(plan),
            beside=_beside(),
            start="steady",
            stopped_by="precision",
            pace_a_week=float(PACE),
            notes=("Vehicles are called in evenly at the pace.", "Upsets are those of upsets.csv."),
        ),
    )  # fmt: skip


def _figures() -> tuple[Estimate, ...]:
    share, days, each = "share of vehicles", "working days", "working days a vehicle"
    by_cause = {cause: sum(one[4] for one in HELD if one[0] is cause) for cause in Cause}
    return (
        figure("output_a_week", "output", "vehicles a week", 10.31, 0.097),
        figure("calls_a_week", "vehicles that came in", "vehicles a week", 10.98, 0.02),
        figure("turn_days_mean", "turn time, mean", days, 23.6, 0.31),
        figure("turn_days_median", "turn time, median", days, 22.9, 0.33),
        figure("turn_days_p90", "turn time, nine of ten take at most", days, 29.2, 0.62),
        figure("promise_chance", "promised turn time kept", share, 0.26, 0.021),
        figure("inside_mean", "vehicles inside, mean", "vehicles", 50.8, 0.9),
        figure("work_days", "work", each, 23.6 - STANDING / A_YEAR, 0.05),
        figure("holdup_days", "hold-ups, all causes", each, STANDING / A_YEAR, 0.24),
        *(figure(f"holdup_days_{c}", f"hold-ups, {c}", each, d / A_YEAR, 0.02 + 0.06 * d / A_YEAR)
          for c, d in by_cause.items()),
        figure("units_ready_share", "no wait for a unit", share, 0.64, 0.018),
        figure("all_units_share", "all units there", share, 0.58, 0.019),
    )  # fmt: skip


def _weeks(plan: Plan) -> tuple[WeekForecast, ...]:
    rng = Random(5)
    rows = []
    for week in plan.programme.weeks[: WARM_WEEKS + MEASURED_WEEKS]:
        filled = 1 - exp(-(week.index + 0.2) / 3)
        out = 10.3 * week.working_days / 5 * filled + rng.gauss(0, 0.3) * bool(week.working_days)
        out = max(0.0, out)
        inside = 50.8 * filled + rng.gauss(0, 0.5)
        rows.append(WeekForecast(
            week.index, week.label, week.monday, week.working_days, week.called,
            Band(out, max(0.0, out - 3.2), out + 2.9), Band(inside, inside - 6.4, inside + 7.1),
            week.index >= WARM_WEEKS, week.able,
        ))  # fmt: skip
    return tuple(rows)


def _turns() -> tuple[TurnForecast, ...]:
    return tuple(
        _turn(type_id, name, a_year, promised, least, route)
        for type_id, name, a_year, promised, least, route in (
            ("two-axle", "Two-axle trolleybus", 361.0, 20.0, 17, 16.4),
            ("jointed", "Jointed trolleybus", 155.0, 24.0, 18, 17.0),
        )
    )


def _turn(
    type_id: str, name: str, a_year: float, promised: float, least: int, route: float
) -> TurnForecast:
    days = list(range(least, least + 26))
    weights = [(n + 0.4) ** 1.6 * exp(-n / 2.6) for n in range(len(days))]
    shares = [w / sum(weights) for w in weights]
    mean = sum((d + 0.5) * s for d, s in zip(days, shares, strict=True))
    kept = sum(s for d, s in zip(days, shares, strict=True) if d < promised)
    levels = (0.05, 0.25, 0.5, 0.75, 0.9, 0.95)
    return TurnForecast(
        type_id, name, a_year, figure(f"turn_{type_id}", name, "working days", mean, 0.3),
        levels, tuple(_quantile(days, shares, p) for p in levels),
        tuple(float(d) for d in days), tuple(shares), promised,
        figure(f"promise_{type_id}", name, "share of vehicles", kept, 0.024),
        float(ceil(_quantile(days, shares, 0.9))), route, route + 4.5,
    )  # fmt: skip


def _quantile(days: list[int], shares: list[float], level: float) -> float:
    total = 0.0
    for day, share in zip(days, shares, strict=True):
        if total + share >= level:
            return day + (level - total) / share
        total += share
    return float(days[-1] + 1)


def _uses(plan: Plan) -> tuple[Use, ...]:
    rng = Random(9)
    stages = tuple(
        Use(UseOf.STAGE, s.stage_id, s.name, s.shop_id,
            min(0.99, s.use_share + rng.choice((0.0, 0.01, 0.03, 0.12))), 0.012, s.use_share)
        for s in plan.line.stages
    )  # fmt: skip
    crews = tuple(
        Use(UseOf.CREW, f"{t.shop_id} {t.trade_id}", f"{t.trade_id}, {t.shop_id}", t.shop_id,
            min(0.985, t.use_share * 0.96), 0.008, t.use_share if n else None)
        for n, t in enumerate(plan.line.trades)
    )  # fmt: skip
    return stages + crews


def _queues(plan: Plan) -> tuple[Queue, ...]:
    waiting = {"brep": 0.26, "prep": 3.4, "recv": 0.04, "bake": 1.2, "road": 0.6, "frame": 0.35}
    return tuple(
        Queue(s.stage_id, s.name, s.shop_id, s.assembly_id, s.positions,
              waiting.get(s.stage_id, 0.02), 0.05 + 0.1 * waiting.get(s.stage_id, 0.02),
              min(s.positions * 0.99, s.positions_mean * 1.05), 10.3)
        for s in plan.line.stages
    )  # fmt: skip


def _floats(plan: Plan) -> tuple[FloatForecast, ...]:
    rows = []
    for n, one in enumerate(plan.floats.lines):
        ready = max(0.0, min(1.0, one.ready_held - (0.0, 0.01, 0.06, -0.02)[n % 4]))
        rows.append(FloatForecast(
            one.unit_kind_id, one.name, one.shop_id, one.held, one.needed, ready, 0.011,
            one.ready_held, one.held * 0.4, (1 - ready) * 3.1, (1 - ready) * 1.8, A_YEAR,
        ))  # fmt: skip
    return tuple(rows)


def _piles(plan: Plan) -> tuple[Pile, ...]:
    return (
        Pile("assembly", "two-axle chassis", "Chassis (two-axle)", 1.4, 0.22),
        Pile("assembly", "jointed chassis", "Chassis (jointed)", 0.2, 0.06),
        *(Pile("unit", one.unit_kind_id, one.name, one.held * 0.4, 0.3)
          for one in plan.floats.lines),
    )  # fmt: skip


def _beside() -> tuple[Beside, ...]:
    return (
        Beside("output", "vehicles a week", 10.58, 10.31, 0.097, False,
               "Body makers of the body shop stand at 98 % and the body shop's queue grows.", 0.05),
        Beside("vehicles inside", "vehicles", 46.2, 50.8, 0.9, False,
               "Hold-ups for parts and people, 2.4 days a vehicle, are not in the plan's figure."),
        Beside("turn time, two-axle", "working days", 20.9, 21.1, 0.3, True, "", 0.1, "two-axle"),
        Beside("readiness, Auxiliary converter", "share of demands", 0.93, 0.87, 0.011, False,
               "Vehicles come unevenly to the fit stage.", 0.005, "U05"),
    )  # fmt: skip
