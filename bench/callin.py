"""The call-in programme beside what one would otherwise do, in one run on one machine.

    python bench/callin.py [VEHICLES ...] [--seconds N] [--depots N] [--weeks N]

Each size is invented (a fixed seed): windows of 60 to 120 days, time and distance mixed, a pace 5 %
above the mean, depots that can spare a little more than their share. On the same windows, weeks
and costs it runs

- ``ours``: queues, linear programme, whole numbers, and order within the weeks;
- ``vehicle LP`` and ``vehicle MIP``: one column a vehicle and week, in HiGHS, stopped after N
  seconds (120 unless told);
- ``flow``: OR-Tools min-cost flow, one arc a vehicle and week, which cannot know depot limits;
  ``over`` counts the depot-weeks in which its plan breaks them.

``gap`` is (value - best proven bound) / value of each; seconds are wall-clock and include building
the model.
"""

import argparse
import time
from dataclasses import dataclass

import highspy
import numpy as np

from pacewright.base.calendar import WorkCalendar
from pacewright.callin.order import order_within_weeks
from pacewright.callin.problem import NO_LIMIT, Demands, Problem
from pacewright.callin.queues import queues_of
from pacewright.callin.whole_weeks import measures, whole_plan

SIZES = (500, 2_000, 8_000)
AWAY_DAYS, WEEK_DAYS, EARLY_DAYS = 16, 5, 90


@dataclass
class Row:
    """One method on one size; ``value`` and ``bound`` in vehicle-days of life given away."""

    method: str
    seconds: float
    value: float | None
    bound: float | None
    note: str = ""


def invented(vehicles: int, weeks: int, depots: int, seed: int = 1) -> Problem:
    """A problem everybody fits into."""
    from datetime import date, timedelta

    rng = np.random.default_rng(seed)
    start = date(2026, 3, 9)
    calendar = WorkCalendar(
        frozenset(range(5)), frozenset(), start, start + timedelta(weeks=weeks + 60), 8.0
    )
    plan_weeks = calendar.weeks(start, weeks)
    due = rng.integers(14, 7 * weeks - 3, vehicles)
    distance = rng.random(vehicles) < 0.5
    latest = np.where(distance, due - rng.integers(0, 14, vehicles), due + 14)
    opens = np.minimum(due, latest) - rng.choice([60, EARLY_DAYS, 120], vehicles)
    latest_week = np.minimum(latest // 7, weeks - 1)
    demands = Demands(
        window=np.arange(vehicles),
        depot=rng.integers(0, depots, vehicles),
        type_=rng.integers(0, 2, vehicles),
        opens=np.maximum(opens // 7, 0),
        due=np.minimum(due // 7, latest_week),
        latest=latest_week,
        first_day=np.maximum(opens // 7, 0) * WEEK_DAYS,
        last_day=latest_week * WEEK_DAYS + WEEK_DAYS - 1,
        overdue=np.zeros(vehicles, dtype=bool),
        no_day=np.zeros(vehicles, dtype=bool),
        cut=np.zeros(vehicles, dtype=bool),
    )
    pace = 1.05 * vehicles / (weeks - 2)
    able = np.diff(np.floor(np.arange(weeks + 1) * pace + 1e-9)).astype(int)
    back = np.arange(weeks) + -(-AWAY_DAYS // WEEK_DAYS) - 1
    share = vehicles / depots / weeks * (AWAY_DAYS / WEEK_DAYS)
    limit = int(np.ceil(share + 2.2 * np.sqrt(share)))
    return Problem(
        weeks=plan_weeks,
        days=np.array([day.toordinal() for week in plan_weeks for day in week.working_days]),
        day_week=np.repeat(np.arange(weeks), WEEK_DAYS),
        week_start=np.arange(weeks) * WEEK_DAYS,
        able=able,
        pace_a_day=pace / WEEK_DAYS,
        depot_limits=np.full(depots, limit),
        type_limits=np.full(2, NO_LIMIT),
        inside_limit=NO_LIMIT,
        away_to=np.broadcast_to(back, (depots, 2, weeks)),
        inside_to=np.broadcast_to(back, (2, weeks)),
        away_days=np.full((depots, 2), AWAY_DAYS),
        inside_days=np.full(2, AWAY_DAYS),
        stays=(),
        away_before=np.zeros((depots, weeks), dtype=int),
        inside_before=np.zeros(weeks, dtype=int),
        demands=demands,
    )


def ours(problem: Problem) -> Row:
    """Queues, linear programme, whole numbers, order within the weeks."""
    began = time.perf_counter()
    plan = whole_plan(problem, queues_of(problem))
    order_within_weeks(problem, plan.week, np.eye(2))
    seconds = time.perf_counter() - began
    note = f"late {plan.late_weeks} vehicle-weeks" if plan.late_weeks else ""
    return Row("ours", seconds, plan.life_days, plan.life_bound, note)


def pairs(problem: Problem) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Vehicle, week and cost of every permitted call."""
    demands = problem.demands
    lengths = demands.latest - demands.opens + 1
    vehicle = np.repeat(np.arange(len(demands)), lengths)
    offset = np.arange(len(vehicle)) - np.repeat(np.cumsum(lengths) - lengths, lengths)
    week = demands.opens[vehicle] + offset
    return vehicle, week, 7 * np.maximum(demands.due[vehicle] - week, 0)


def by_vehicle(problem: Problem, whole: bool, seconds: float) -> Row:
    """One column a vehicle and week in HiGHS."""
    began = time.perf_counter()
    vehicle, week, cost = pairs(problem)
    depot = problem.demands.depot[vehicle]
    count, horizon, depots = len(problem.demands), problem.horizon, len(problem.depot_limits)
    columns = np.arange(len(vehicle))
    span = problem.away_to[0, 0, 0] + 1
    away = [(columns, week + k, depot) for k in range(span)]
    away = [(c[w < horizon], w[w < horizon], d[w < horizon]) for c, w, d in away]
    rows = np.concatenate(
        [vehicle, count + week, *(count + horizon + d * horizon + w for _, w, d in away)]
    )
    cols = np.concatenate([columns, columns, *(c for c, _, _ in away)])
    order = np.lexsort((rows, cols))
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(vehicle), count + horizon + depots * horizon
    lp.col_cost_, lp.col_lower_ = cost.astype(float), np.zeros(len(vehicle))
    lp.col_upper_ = np.ones(len(vehicle))
    none = np.full(horizon + depots * horizon, -np.inf)
    lp.row_lower_ = np.concatenate([np.ones(count), none])
    limits = np.repeat(problem.depot_limits, horizon)
    lp.row_upper_ = np.concatenate([np.ones(count), problem.able, limits]).astype(float)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_ = np.searchsorted(cols[order], np.arange(len(vehicle) + 1))
    lp.a_matrix_.index_, lp.a_matrix_.value_ = rows[order], np.ones(len(rows))
    if whole:
        lp.integrality_ = [highspy.HighsVarType.kInteger] * len(vehicle)
    solver = highspy._core._Highs()
    for option, value in (("output_flag", False), ("time_limit", seconds), ("threads", 1)):
        solver.setOptionValue(option, value)
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.passModel(lp)
    solver.run()
    info, status = solver.getInfo(), solver.getModelStatus()
    took = time.perf_counter() - began
    done = status == highspy.HighsModelStatus.kOptimal
    found = info.primal_solution_status == 2
    value = info.objective_function_value if found else None
    note = "" if done else status.name.removeprefix("k")
    if whole:
        bound = info.mip_dual_bound if np.isfinite(info.mip_dual_bound) else None
        return Row("vehicle MIP", took, value, bound, note)
    return Row("vehicle LP", took, None, value if done else None, note + " (fractions, no plan)")


def flow(problem: Problem) -> Row:
    """OR-Tools min-cost flow: vehicles to weeks under the pace alone."""
    from ortools.graph.python import min_cost_flow

    began = time.perf_counter()
    vehicle, week, cost = pairs(problem)
    count, horizon = len(problem.demands), problem.horizon
    solver = min_cost_flow.SimpleMinCostFlow()
    sink = count + horizon
    arcs = solver.add_arcs_with_capacity_and_unit_cost(
        vehicle, count + week, np.ones(len(vehicle), dtype=np.int64), cost
    )
    solver.add_arcs_with_capacity_and_unit_cost(
        count + np.arange(horizon),
        np.full(horizon, sink),
        problem.able,
        np.zeros(horizon, dtype=np.int64),
    )
    solver.set_nodes_supplies(
        np.arange(sink + 1),
        np.concatenate([np.ones(count), np.zeros(horizon), [-count]]).astype(int),
    )
    if solver.solve() != solver.OPTIMAL:
        return Row("flow", time.perf_counter() - began, None, None, "does not fit")
    chosen = solver.flows(arcs) > 0
    took = time.perf_counter() - began
    called = np.full(count, horizon)
    called[vehicle[chosen]] = week[chosen]
    _, value = measures(problem.demands, called, horizon)
    away = np.zeros((len(problem.depot_limits), horizon + 9), dtype=int)
    for k in range(problem.away_to[0, 0, 0] + 1):
        np.add.at(away, (problem.demands.depot, called + k), 1)
    over = int((away[:, :horizon] > problem.depot_limits[:, None]).sum())
    return Row("flow", took, None if over else value, value, f"over on {over} depot-weeks")


def main() -> None:
    asked = argparse.ArgumentParser(description="Call-in beside what one would otherwise do.")
    asked.add_argument("vehicles", nargs="*", type=int, default=SIZES)
    asked.add_argument("--seconds", type=float, default=120)
    asked.add_argument("--depots", type=int, default=50)
    asked.add_argument("--weeks", type=int, default=208)
    told = asked.parse_args()
    heads = ("vehicles", "method", "seconds", "ratio", "value", "bound", "gap")
    print("{:>8} {:<12} {:>9} {:>8} {:>9} {:>9} {:>8}  note".format(*heads))
    for vehicles in told.vehicles:
        problem = invented(vehicles, told.weeks, told.depots)
        rows = [
            ours(problem),
            by_vehicle(problem, whole=False, seconds=told.seconds),
            by_vehicle(problem, whole=True, seconds=told.seconds),
            flow(problem),
        ]
        best = max(row.bound for row in rows if row.bound is not None)
        for row in rows:
            ratio = row.seconds / rows[0].seconds
            gap = "" if row.value is None else f"{(row.value - best) / max(1, row.value):.2%}"
            value = "-" if row.value is None else f"{row.value:.0f}"
            bound = "-" if row.bound is None else f"{row.bound:.1f}"
            print(
                f"{vehicles:>8} {row.method:<12} {row.seconds:>9.2f} {ratio:>7.1f}x "
                f"{value:>9} {bound:>9} {gap:>8}  {row.note}",
                flush=True,
            )


if __name__ == "__main__":
    main()
