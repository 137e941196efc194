"""The simulation as a queue: M/M/c, M/G/1, blocking lines, CONWIP, machine repair, Erlang loss.

Small works are made into queues whose answers are in every book of queueing; the real engine must
give them. Servers are positions in some tests and people in others. Chance is fixed by seeds; with
other seeds all figures of this file together would raise a false alarm once in a hundred times
(each interval is of 1 - 0.01 / FIGURES, by batch means of 40). Each law is a table of straight
lines, of which mean and second moment are worked out exactly (``moments``).
"""

from math import exp, factorial

import numpy as np
import pytest
from scipy import stats

from pacewright.simulate.laws import constant
from pacewright.simulate.table import Floats, FlowTable
from published.float_case import CASES
from queue_flow import (
    DAY,
    Server,
    exponential_law,
    holds,
    law_of,
    moments,
    poisson_arrivals,
    queue_table,
    ran,
    waits_at,
)

FIGURES = 90
"""No fewer intervals than are looked at in this file."""
ALARM = 0.01 / FIGURES
MEAN = 100.0
"""Minutes of a service; rounding to whole minutes adds at most 0.01 % to it."""
SLACK = 0.001
"""Share by which straight lines and whole minutes may move a mean."""
WARM = 500
"""Vehicles left out at the start."""


def erlang_b(servers: int, load: float) -> float:
    """B(0) = 1, B(k) = a B(k - 1) / (k + a B(k - 1)) (Erlang 1917)."""
    blocked = 1.0
    for k in range(1, servers + 1):
        blocked = load * blocked / (k + load * blocked)
    return blocked


def waiting_share(servers: int, load: float) -> float:
    """Erlang C from Erlang B: C = B / (1 - (1 - B) a / c)."""
    blocked = erlang_b(servers, load)
    return blocked / (1 - load / servers * (1 - blocked))


@pytest.mark.parametrize("by_people", [False, True], ids=["positions", "people"])
@pytest.mark.parametrize(("servers", "busy"), [(1, 0.6), (2, 0.9), (5, 0.8)])
def test_mmc_mean_wait_and_share_that_waits(servers: int, busy: float, by_people: bool) -> None:
    """M/M/c: share that waits is Erlang C, mean wait C / (c mu - lambda); no wait else.

    (2, 0.9) is F5-m2 of float-cases.json: GNU Octave package "queueing", test block of
    inst/qsmmm.m, lambda 9, mu 5: response 1.053, so a wait of 0.853 of a time unit of 5 services.
    """
    load = servers * busy
    arrivals = poisson_arrivals(load / MEAN, 7_000, seed=11)
    law = exponential_law(MEAN)
    one = Server(law, crew=servers) if by_people else Server(law, positions=servers)
    table = queue_table([one], arrivals)
    waits = waits_at(table, ran(table), "people" if by_people else "position")[WARM:]
    share = waiting_share(servers, load)
    wait = share / (servers - load)
    if (servers, busy) == (2, 0.9):
        case = CASES["F5-m2"]
        given = case["inputs"]
        in_service = 1 / given["mu"]
        assert given["lam"] * in_service / given["m"] == busy
        read = case["expected"]["mean_response"] / in_service - 1
        assert wait == pytest.approx(read, abs=case["tolerance"] / in_service)
    # A wait of less than half a minute is seen as none: density of waits at 0, times one minute.
    unseen = share * (servers - load) / MEAN
    holds(waits / MEAN, wait, ALARM, 2 * SLACK)
    holds((waits > 0).astype(float), share, ALARM, unseen / share)


LAWS: dict[str, Floats] = {
    "constant": constant(MEAN),
    "gamma": law_of(stats.gamma(4, scale=MEAN / 4)),
    "lognormal": law_of(stats.lognorm(1.0, scale=MEAN * exp(-0.5))),
    "two times": np.where(np.arange(1025) < 922, MEAN / 2, 5.5 * MEAN),
}


@pytest.mark.parametrize("law", LAWS)
def test_mg1_pollaczek_khinchine(law: str) -> None:
    """M/G/1: mean wait = lambda E S^2 / 2 (1 - rho) (Pollaczek 1930, Khinchine 1932)."""
    mean, square = moments(LAWS[law])
    busy = 0.7
    arrivals = poisson_arrivals(busy / mean, 7_000, seed=12)
    table = queue_table([Server(LAWS[law], crew=1)], arrivals)
    waits = waits_at(table, ran(table), "people")[WARM:]
    holds(waits, busy / mean * square / (2 * (1 - busy)), ALARM, 2 * SLACK)


def test_md1_share_without_wait_and_poisson_arrivals_see_time_averages() -> None:
    """M/D/1: 1 - rho find the server idle; queue over time = lambda x mean wait (Little 1961)."""
    busy, days = 0.6, 1_000
    arrivals = poisson_arrivals(busy / MEAN, int(days * DAY * busy / MEAN), seed=13)
    days = int(arrivals[-1] // DAY)
    table = queue_table([Server(constant(MEAN), positions=1)], arrivals, days=days)
    run = ran(table)
    waits = waits_at(table, run, "position")
    # One who comes in the last minute of a service starts on it: arrivals are cut to minutes.
    holds((waits == 0).astype(float), 1 - busy, ALARM, 2 / MEAN)
    rate = len(waits) / (days * DAY)
    assert run.integrals.queue[0] / (days * DAY) == pytest.approx(rate * waits.mean(), rel=1e-3)


def gaps(released: np.ndarray) -> np.ndarray:
    """Minutes between releases after the warm-up, in order of release."""
    return np.diff(np.sort(released[released >= 0]))[WARM:].astype(float)


def saturated(servers: list[Server], vehicles: int, limit: int = 0) -> np.ndarray:
    """Minutes between releases when the works never lacks vehicles at the gate."""
    days = 4_000
    table = queue_table(servers, np.zeros(vehicles, np.int64), inside_limit=limit, days=days)
    between = gaps(ran(table).released)
    assert len(between) == vehicles - WARM - 1, "the run ended too early"
    # The last of all no longer find the gate full.
    return between[: -limit - 1]


@pytest.mark.parametrize(("stages", "share"), [(2, 2 / 3), (3, 22 / 39)])
def test_line_without_buffers(stages: int, share: float) -> None:
    """Blocked line of exponential stages, one position each: 2/3 and 22/39 of one stage's pace.

    Hunt 1956, Sequential arrays of waiting lines (from memory; 2/3 and 0.5641 stand in every book
    on production lines). The engine holds a piece in its position until the next one is free.
    """
    line = [Server(exponential_law(MEAN), positions=1)] * stages
    holds(saturated(line, 5_000), MEAN / share, ALARM, SLACK)


@pytest.mark.parametrize(("stages", "inside"), [(4, 1), (4, 3), (4, 12), (10, 10)])
def test_practical_worst_case_of_conwip(stages: int, inside: int) -> None:
    """Balanced exponential line with w inside: pace = w / (w + n - 1) of the bottleneck's.

    Practical worst case, exact for this line (Hopp and Spearman, Factory Physics, from memory).
    """
    line = [Server(exponential_law(MEAN), crew=1)] * stages
    between = saturated(line, 2_500, limit=inside)
    holds(between, MEAN * (inside + stages - 1) / inside, ALARM, SLACK)


def test_best_case_of_conwip() -> None:
    """No scatter: pace = min(w / raw time, bottleneck's) (Hopp and Spearman, best case)."""
    line = [Server(constant(minutes), crew=1) for minutes in (60, 100, 40)]
    for inside in (1, 2, 3):
        between = saturated(line, 2_000, limit=inside)
        assert between.mean() == pytest.approx(max(200 / inside, 100), rel=1e-3)


def numbers_hold(table: FlowTable, days: int, wanted: np.ndarray) -> None:
    """Mean numbers over time lie within the t limits of twelve runs with chances of their own."""
    runs = [ran(table, seed) for seed in range(2, 14)]
    numbers = np.array([run.integrals.busy for run in runs]) / (days * DAY)
    errors = numbers.std(axis=0, ddof=1) / np.sqrt(len(runs))
    limits = stats.t.ppf(1 - ALARM / 2, len(runs) - 1) * errors + SLACK * wanted
    assert (np.abs(numbers.mean(axis=0) - wanted) <= limits).all()
    assert (errors < 0.03 * wanted + 0.01).all(), "too coarse to say anything"


def test_closed_network_e5() -> None:
    """E5: fleet, transport, strip shop, repair shop of two, transport: computed by exact MVA.

    Provenance computed, confirmed by an event simulation outside this project. Station 0 is 30
    vehicles in use; those of the 36 inside that wait for it are the spare ones.
    """
    case = CASES["E5"]
    given, wanted = case["inputs"], case["expected"]
    scale = 100.0  # minutes a "day" of the case
    line = [
        Server(exponential_law(days * scale), crew=None if people < 0 else people)
        for days, people in zip(given["mean_days"], given["servers"], strict=True)
    ]
    days = 1_000
    table = queue_table(
        line,
        np.zeros(11_000, np.int64),
        inside_limit=given["N"] + given["spares"],
        days=days,
        warm_days=50,
    )
    run = ran(table)
    assert (run.admitted < 0).any(), "the gate ran dry"
    holds(gaps(run.released) / scale, 1 / wanted["throughput_per_day"], ALARM, SLACK)
    numbers_hold(table, days - 50, np.array(wanted["mean_number"]))


def test_closed_network_e7() -> None:
    """E7: two servers, two single ones, a delay: queues of Bolch et al., Example 8.4.

    Read from the test block of inst/qncsmva.m of the GNU Octave package "queueing". Visits v of
    a station with time s stand as one visit of time v s: the queues are the same where one
    serves (product form). Of 3 inside.
    """
    case = CASES["E7"]
    given, wanted = case["inputs"], case["expected"]
    line = [
        Server(exponential_law(MEAN * s * v), crew=None if people < 0 else people)
        for s, v, people in zip(given["S"], given["V"], given["servers"], strict=True)
    ]
    days = 600
    table = queue_table(
        line, np.zeros(12_000, np.int64), inside_limit=given["N"], days=days, warm_days=20
    )
    run = ran(table)
    assert (run.admitted < 0).any(), "the gate ran dry"
    holds(gaps(run.released) / MEAN, 1 / wanted["X"][0], ALARM, 0.002)
    numbers_hold(table, days - 20, np.array(wanted["Q"]))


@pytest.mark.parametrize("row", ["0.05/1", "0.1/2", "0.1/1"])
def test_machine_repair_e1(row: str) -> None:
    """E1: five machines, finite queueing tables: share D that waits, efficiency F = 1 - Lq / N.

    Values of Peck and Hazelwood's tables as they stand in float-cases.json, to three decimals.
    Service factor X = T / (T + U): time to mend over mend and run.
    """
    wanted = CASES["E1"]["expected"]["rows"][row]
    factor, men = float(row.split("/", maxsplit=1)[0]), int(row.split("/")[1])
    machines = CASES["E1"]["inputs"]["N"]
    runs = MEAN * (1 - factor) / factor
    line = [Server(exponential_law(runs)), Server(exponential_law(MEAN), crew=men)]
    days = 1_200
    table = queue_table(
        line,
        np.zeros(int(days * DAY * machines / (MEAN + runs)) + 1000, np.int64),
        inside_limit=machines,
        days=days,
    )
    run = ran(table)
    assert (run.admitted < 0).any(), "the gate ran dry"
    waits = waits_at(table, run, "people")[WARM:]
    # The table is rounded to 0.0005; a wait under half a minute is not seen.
    rounded = 0.0006 + wanted["D"] / MEAN
    holds((waits > 0).astype(float), wanted["D"], ALARM, rounded / wanted["D"])
    # Machines that run or are mended, by Little's law: pace x (run + mend) = F x N.
    holds(gaps(run.released), (MEAN + runs) / (wanted["F"] * machines), ALARM, 0.001 + SLACK)


def test_machine_repair_e3() -> None:
    """E3: M/M/5/12/12, far too few menders: pace and mean wait, by Little's law Lq / pace.

    Computed by birth-death and exact MVA; inputs of a manual page of the R package "queueing".
    """
    given, wanted = CASES["E3"]["inputs"], CASES["E3"]["expected"]
    unit = 1_000.0  # minutes of a time unit of the case
    line = [
        Server(exponential_law(unit / given["lam_each"])),
        Server(exponential_law(unit / given["mu"]), crew=given["channels"]),
    ]
    table = queue_table(line, np.zeros(20_000, np.int64), inside_limit=given["K"], days=1_000)
    run = ran(table)
    assert (run.admitted < 0).any(), "the gate ran dry"
    holds(gaps(run.released)[WARM:] / unit, 1 / wanted["throughput"], ALARM, 2 * SLACK)
    waits = waits_at(table, run, "people")[WARM:] / unit
    holds(waits, wanted["Lq"] / wanted["throughput"], ALARM, 2 * SLACK)


@pytest.mark.parametrize("inside", CASES["G5"]["inputs"]["w"])
def test_conwip_with_several_machines_g5(inside: int) -> None:
    """G5: 2, 5, 10 and 3 hours on 1, 2, 6 and 2 machines, exponential, w inside: pace.

    Computed by exact mean value analysis, confirmed by an event simulation outside this project.
    """
    given, wanted = CASES["G5"]["inputs"], CASES["G5"]["expected"]
    hour = 60.0
    line = [
        Server(exponential_law(hours * hour), crew=machines)
        for hours, machines in zip(given["hours"], given["machines"], strict=True)
    ]
    between = saturated(line, 15_000, limit=inside)
    holds(between / hour, 1 / wanted["TH"][str(inside)], ALARM, 2 * SLACK)


@pytest.mark.parametrize("law", ["constant", "lognormal", "two times"])
@pytest.mark.parametrize("case_id", ["F1", "F3"])
def test_erlang_loss_does_not_see_the_law(case_id: str, law: str) -> None:
    """Erlang loss: pace lambda (1 - B), whatever the law of the holding time (Sevastyanov 1957).

    With N inside, one exponential server in front of ample places of any law is the loss system:
    the server is the stream of calls, idle while all N places are held. F1: 30 lines, 25 erlangs;
    F3: 5 lines, 2.5 erlangs (float-cases.json, computed by recursion).
    """
    case = CASES[case_id]
    load = case["inputs"]["load"]
    places, blocked = (30, case["expected"]["B"]) if case_id == "F1" else (5, 0.06973111681)
    if case_id == "F3":
        assert blocked == case["expected"]["B"]["5"]
    assert erlang_b(places, load) == pytest.approx(blocked, abs=1e-9)
    held = moments(LAWS[law])[0]
    gap = 400.0
    line = [Server(exponential_law(gap), crew=1), Server(LAWS[law] * (load * gap / held))]
    between = saturated(line, 3_500, limit=places)
    holds(between, gap / (1 - blocked), ALARM, SLACK)


def test_mean_number_in_m_g_infinity_is_poisson() -> None:
    """Ample places: the number there is Poisson with mean lambda E S (Palm 1943)."""
    law = LAWS["lognormal"]
    mean = moments(law)[0]
    arrivals = poisson_arrivals(4 / mean, 8_000, seed=14)
    table = queue_table([Server(law)], arrivals, days=int(arrivals[-1] // DAY))
    run = ran(table)
    moments_seen = np.arange(10 * MEAN, arrivals[-1] - 10 * MEAN, 10 * MEAN)
    ends = np.sort(np.where(run.released < 0, 2**40, run.released))
    there = np.searchsorted(arrivals, moments_seen) - np.searchsorted(ends, moments_seen)
    classes = np.arange(11)
    chance = np.array([exp(-4) * 4**n / factorial(n) for n in classes[:-1]])
    chance = np.append(chance, 1 - chance.sum())
    counts = np.bincount(np.minimum(there, 10), minlength=11)
    assert stats.chisquare(counts, chance * counts.sum()).pvalue > ALARM
