"""Works that are queues in disguise: tables of the flow simulation with arrivals and laws set.

Time has no nights: every day is a working day of 24 hours. A stage serves either by its positions
(a piece done holds its position until the next stage has one: blocking) or, with ample positions,
by a crew whose people serve one piece each (no blocking). ``crew=None``: nobody is needed.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np
from scipy import stats

from pacewright.parts.tables import UnitKind
from pacewright.simulate.chance import key_of
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.engine import Engine, run_flow
from pacewright.simulate.laws import exponential
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.simulate.run import Causes, Run
from pacewright.simulate.table import QUANTILES, Days, Floats, FlowTable, PieceRows, VehicleRows
from tiny_flow import fits, stage, tiny_works

DAY = 1440
AMPLE = 10**6


@dataclass(frozen=True)
class Server:
    """One stage: its law of minutes, its positions, the people who serve (None: nobody)."""

    minutes: Floats
    positions: int = AMPLE
    crew: int | None = None


def exponential_law(mean: float) -> Floats:
    """Exponential minutes."""
    return mean * exponential()


def law_of(distribution: Any) -> Floats:
    """The table of a scipy law; its outermost points are those of 1/16 of a cell."""
    u = np.linspace(0, 1, QUANTILES)
    u[0], u[-1] = u[1] / 16, 1 - u[1] / 16
    points: Floats = distribution.ppf(u)
    return points


def moments(points: Floats) -> tuple[float, float]:
    """Mean and second moment of the law that a table stands for (straight lines between)."""
    a, b = points[:-1], points[1:]
    return float(((a + b) / 2).mean()), float(((a * a + a * b + b * b) / 3).mean())


def queue_table(
    servers: Sequence[Server],
    arrivals: np.ndarray,
    inside_limit: int = 0,
    kinds: Sequence[UnitKind] = (),
    days: int | None = None,
    warm_days: int = 0,
) -> FlowTable:
    """The table of stages one after the other that vehicles pass, arriving at given minutes.

    ``arrivals`` ascend. Stages are called s0, s1 ... The run ends after ``days``, or when all
    vehicles have had ample time.
    """
    table = _compiled(len(servers), tuple(kinds))
    length = days or int(arrivals[-1] // DAY + 2)
    crews, need_crew, need = _crews(table, servers, length)
    return replace(
        table,
        days=Days(
            workday=np.arange(length + 2),
            before=np.arange(length + 3),
            minutes=np.full_like(table.days.minutes, DAY),
            open_minute=0,
            start=0,
            measure_from=warm_days * DAY,
            end=length * DAY,
        ),
        vehicles=_vehicles(np.asarray(arrivals, np.int64)),
        pieces=_pieces(len(arrivals)),
        steps=replace(table.steps, need_crew=need_crew, need=need),
        stages=replace(
            table.stages,
            positions=np.array([one.positions for one in servers]),
            minutes=np.array([one.minutes for one in servers]),
            least=np.zeros(len(servers)),
        ),
        crews=crews,
        exponential=exponential(),
        inside_limit=inside_limit,
    )


@cache
def _compiled(stages: int, kinds: tuple[UnitKind, ...]) -> FlowTable:
    works = tiny_works(
        [stage(f"s{n}", 1, f"s{n - 1}" if n else "") for n in range(stages)],
        unit_kinds=kinds,
        fits=fits(*kinds),
    )
    return compile_flow(
        works, None, FlowOptions(calls=Calls.EVEN, pace_a_day=1.0, weeks=1, scatter=False)
    )


def _crews(table: FlowTable, servers: Sequence[Server], days: int) -> tuple[Any, Any, Any]:
    """A crew for each stage that has one, then the open doors of the works."""
    assert len(table.steps.need) == len(servers), "one open door a step"
    serving = [one.crew for one in servers if one.crew is not None]
    doors = len(serving)
    numbers = iter(range(doors))
    need_crew = np.array([doors if one.crew is None else next(numbers) for one in servers])
    need = np.array([0 if one.crew is None else 100 for one in servers])
    crews = replace(
        table.crews,
        key=np.arange(doors + 1, dtype=np.uint64),
        calendar=np.zeros(doors + 1, np.int64),
        people=np.array([*serving, -1.0]),
        attendance=np.ones((doors + 1, days + 2)),
        drawn=np.zeros(doors + 1, np.int64),
        scale=np.full(doors + 1, 100.0),
    )
    return crews, need_crew, need


def _vehicles(arrivals: np.ndarray) -> VehicleRows:
    count = len(arrivals)
    none = np.zeros(count, np.int64)
    return VehicleRows(
        key=np.uint64(key_of("queue")) + np.arange(count, dtype=np.uint64),
        type=none,
        inside=none,
        day=arrivals // DAY,
        slot=arrivals % DAY,
        late_share=np.zeros(count),
        late_scale=np.zeros(count),
        piece=np.arange(count),
    )


def _pieces(count: int) -> PieceRows:
    return PieceRows(
        vehicle=np.arange(count),
        assembly=np.full(count, -1),
        place=np.zeros(count, np.int64),
        first_step=np.zeros(count, np.int64),
        start_step=np.full(count, -1),
    )


def poisson_arrivals(a_minute: float, count: int, seed: int) -> np.ndarray:
    """Whole minutes of a Poisson stream, by numpy's generator."""
    gaps = np.random.default_rng(seed).exponential(1 / a_minute, count)
    minutes: np.ndarray = np.cumsum(gaps).astype(np.int64)
    return minutes


def ran(table: FlowTable, seed: int = 1, events: bool = False, engine: Engine = Engine.AUTO) -> Run:
    """The queue run through by whichever engine is quicker: tests/agree holds them equal."""
    return run_flow(table, seed, 0, events, engine)


def waits_at(table: FlowTable, run: Run, cause: str, place: int = 0) -> np.ndarray:
    """Worked minutes of every released vehicle, in order, for a cause such as ``position``."""
    column = getattr(Causes.of(table), cause) + place
    waits: np.ndarray = run.waits[run.released >= 0, column].astype(float)
    return waits


def batch_means(values: np.ndarray, batches: int = 40) -> tuple[float, float]:
    """Mean of a stationary row of figures and the standard error by batch means.

    Method of batch means (Law, Simulation Modeling and Analysis, from memory).
    """
    size = len(values) // batches
    means = values[: size * batches].reshape(batches, size).mean(axis=1)
    return float(means.mean()), float(means.std(ddof=1) / np.sqrt(batches))


def holds(values: np.ndarray, expected: float, false_alarm: float, slack: float = 0.0) -> None:
    """Assert that an expected mean lies within the t confidence limits of a row of figures.

    ``slack``: what the straight lines of the law's table may add, as a share of the expected.
    """
    batches = 40
    mean, error = batch_means(values, batches)
    limit = stats.t.ppf(1 - false_alarm / 2, batches - 1) * error + slack * abs(expected)
    assert abs(mean - expected) <= limit, f"{mean} +- {limit} is not {expected}"
