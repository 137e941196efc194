"""Blocking lines path by path against Ciw, an open library of queueing networks.

Ciw (Palmer, Knight, Harper and Hawa 2019) blocks as the engine does: a piece done holds its server
until the next node has room, and the one blocked first goes first. Ciw is given the arrivals and,
in order of start, the work that the engine drew; then every vehicle must leave at the same minute.
"""

from itertools import pairwise

import numpy as np
import pytest

from pacewright.events.codes import Code
from queue_flow import Server, exponential_law, poisson_arrivals, queue_table, ran

ciw = pytest.importorskip("ciw", reason="a library for tests only")


@pytest.mark.parametrize("positions", [(1, 1, 1), (2, 1, 3), (3, 3, 2, 4)])
def test_every_vehicle_leaves_at_the_minute_ciw_says(positions: tuple[int, ...]) -> None:
    """Lines without buffers between the stages, single and several positions."""
    mean = 20_000.0
    # Calls so near the line's pace that blocking is common.
    arrivals = poisson_arrivals(min(positions) * 0.5 / mean, 400, seed=31)
    servers = [Server(exponential_law(mean), positions=places) for places in positions]
    days = int((arrivals[-1] + 60 * mean) // 1440)
    run = ran(queue_table(servers, arrivals, days=days), events=True)
    assert (run.released > 0).all()
    work = [started_work(run.events, stage) for stage in range(len(positions))]
    nodes = len(positions)
    network = ciw.create_network(
        arrival_distributions=[
            ciw.dists.Sequential([*np.diff(arrivals, prepend=0).tolist(), float("inf")]),
            *[None] * (nodes - 1),
        ],
        service_distributions=[ciw.dists.Sequential(minutes) for minutes in work],
        number_of_servers=list(positions),
        queue_capacities=[float("inf"), *[0] * (nodes - 1)],
        routing=[[float(b == a + 1) for b in range(nodes)] for a in range(nodes)],
    )
    simulation = ciw.Simulation(network)
    simulation.simulate_until_max_time(days * 1440)
    records = simulation.get_all_records()
    left = sorted(one.exit_date for one in records if one.node == nodes)
    assert left == sorted(run.released.tolist())
    assert sum(one.time_blocked > 0 for one in records) > 30


def started_work(events, stage: int) -> list[float]:
    """Minutes of work of every visit of a stage, in order of its start."""
    work: dict[int, int] = {}
    begun: dict[int, int] = {}
    at: dict[int, int] = {}
    columns = (events.time, events.code, events.vehicle, events.place)
    for time, code, vehicle, place in zip(*(c.tolist() for c in columns), strict=True):
        if code == Code.POSITIONED:
            at[vehicle] = place
        elif code == Code.STARTED and at[vehicle] == stage:
            begun[vehicle] = time
        elif code == Code.FINISHED and place == stage:
            work[vehicle] = time - begun[vehicle]
    assert all(a <= b for a, b in pairwise(begun.values()))
    return [float(work[vehicle]) for vehicle in begun]
