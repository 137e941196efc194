"""Beyond one machine: a local Dask cluster gives the same numbers, and a killed one loses none."""

import os
import signal
import threading
import time
from collections.abc import Iterator
from dataclasses import replace

import distributed
import pytest

from made_run import busy_plan, busy_works
from pacewright.plans.forecast import Forecast
from pacewright.simulate.executors import NoClusterError, cluster, threads
from pacewright.simulate.problem import FlowOptions
from pacewright.simulate.replicate import HowSure
from pacewright.simulate.solve import Question, Start, forecast

# The cluster's own threads and sockets are closed by its own clock.
pytestmark = pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """The scheduler of two worker processes of one thread each, on this machine."""
    local = distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=":0"
    )
    yield local.scheduler_address
    local.close()


def without_seconds(paper: Forecast) -> Forecast:
    return replace(paper, card=replace(paper.card, seconds=0.0))


def question(replications: int, weeks: int) -> Question:
    return Question(Start.NOW, FlowOptions(weeks=weeks), sure=HowSure(replications, seed=8))


def test_a_cluster_gives_the_numbers_of_one_machine(address: str) -> None:
    """The whole paper is equal, and the cluster can be asked again."""
    here = forecast(busy_works(), busy_plan(), question(9, 8), threads(1))
    for _ in range(2):
        with cluster(address) as workers:
            there = forecast(busy_works(), busy_plan(), question(9, 8), workers)
        assert without_seconds(there) == without_seconds(here)


def test_a_killed_worker_loses_nothing(address: str) -> None:
    """A worker process is killed while it works; the paper is that of one machine all the same."""
    client = distributed.Client(address, set_as_default=False)
    pids = client.run(os.getpid)
    client.close()
    killed = threading.Event()

    def kill_one(step: str, share: float) -> None:
        if share > 0.2 and not killed.is_set():
            os.kill(next(iter(pids.values())), signal.SIGKILL)
            killed.set()
            time.sleep(0.1)

    with cluster(address) as workers:
        there = forecast(busy_works(), busy_plan(), question(40, 30), workers, kill_one)
    assert killed.is_set()
    here = forecast(busy_works(), busy_plan(), question(40, 30), threads(1))
    assert without_seconds(there) == without_seconds(here)


def test_a_cluster_that_is_not_there_is_told_with_a_remedy(monkeypatch: pytest.MonkeyPatch) -> None:
    """The address is named, and that the option can be left out."""
    client = distributed.Client
    monkeypatch.setattr(
        distributed, "Client", lambda address, **more: client(address, **more | {"timeout": "1s"})
    )
    with pytest.raises(NoClusterError, match=r"--cluster tcp://127.0.0.1:9: no scheduler answers"):
        cluster("tcp://127.0.0.1:9")
