"""The critical path against every way through the route, on drawn routes."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pacewright.pace.checks import check_line
from pacewright.pace.critical_path import Charge, Network, network_of
from pacewright.pace.solve import line
from pacewright.works import Works
from unit.pace.pace_cases import programme, stage_row, works_of_stages


@st.composite
def drawn_works(draw: st.DrawFn) -> Works:
    """A works of 2 to 7 stages: whole vehicle first and last, assemblies of 1 to 4 between."""
    count = draw(st.integers(2, 7))
    bogies = draw(st.integers(1, 4))
    rows = []
    for number in range(count):
        whole = number in (0, count - 1)
        least = draw(st.integers(1, 8)) / 4
        usual = least + draw(st.integers(0, 8)) / 4
        most = usual + draw(st.integers(0, 8)) / 4
        earlier = [f"s{one}" for one in range(number)]
        some = draw(st.lists(st.sampled_from(earlier), unique=True)) if earlier else []
        rows.append(
            stage_row(
                f"s{number}",
                1,
                assembly_id="vehicle" if whole else draw(st.sampled_from(["bogie", "body"])),
                positions=draw(st.integers(1, 4)),
                batch_size=draw(st.sampled_from([1, 1, 2, 3])),
                night_goes_on=draw(st.sampled_from(["yes", "no"])),
                hours_least=8 * least,
                hours_usual=8 * usual,
                hours_most=8 * most,
                follows=" ".join(some or earlier[:1]),
            )
        )
    return works_of_stages(rows, bogie=bogies, body=1)


def every_way(network: Network) -> list[list[Charge]]:
    """All ways from a charge without earlier to one without later, one by one."""
    after: dict[Charge, list[Charge]] = {charge: [] for charge in network.before}
    for charge, earlier in network.before.items():
        for one in earlier:
            after[one].append(charge)
    ways: list[list[Charge]] = []

    def walk(way: list[Charge]) -> None:
        if not after[way[-1]]:
            ways.append(way)
        for later in after[way[-1]]:
            walk([*way, later])

    for charge, earlier in network.before.items():
        if not earlier:
            walk([charge])
    return ways


@settings(max_examples=60, deadline=None, derandomize=True)
@given(drawn_works())
def test_critical_path_is_the_longest_of_all_ways(works: Works) -> None:
    """Length, slack and critical charges by listing every way through."""
    route = works.routes["solo"]
    days = {stage.stage_id: stage.hours_usual for stage in route.stages}
    network = network_of(route, days)
    ways = every_way(network)
    if len(ways) > 20_000:
        return
    lengths = [sum(days[charge[0]] for charge in way) for way in ways]
    assert network.length == pytest.approx(max(lengths))
    for charge, times in network.schedule().items():
        through = max(length for way, length in zip(ways, lengths, strict=True) if charge in way)
        assert times.slack == pytest.approx(max(lengths) - through, abs=1e-9)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(drawn_works(), st.sampled_from([0.1, 0.3, 0.9, 2.0]))
def test_judge_accepts_the_line_of_any_works(works: Works, pace_a_day: float) -> None:
    """Drawn routes, batches, nights and paces: the judge finds nothing wrong."""
    paced = programme(pace_a_day)
    assert check_line(works, paced, line(works, paced)) == ()


def test_three_bogies_on_two_positions_take_two_rounds() -> None:
    """Strip 1, bogies 2 each on two positions, build 1: 1 + 4 + 1 days; the last bogie decides."""
    works = works_of_stages(
        [
            stage_row("strip", 1),
            stage_row("bogie", 2, assembly_id="bogie", positions=2, follows="strip"),
            stage_row("build", 1, follows="bogie"),
        ],
        bogie=3,
    )
    found = line(works, programme(0.1))
    assert found.turns[0].route_days == pytest.approx(6)
    bogie = found.route[1]
    assert (bogie.earliest_start_day, bogie.earliest_end_day) == (1, 5)
    assert bogie.critical


def test_bogies_flow_on_without_waiting_for_each_other() -> None:
    """Two stages of one position, three bogies of a day: done after 1 + 3 + 1 days, not 1 + 6."""
    works = works_of_stages(
        [
            stage_row("strip", 1),
            stage_row("wash", 1, assembly_id="bogie", follows="strip"),
            stage_row("weld", 1, assembly_id="bogie", follows="wash"),
            stage_row("build", 1, follows="weld"),
        ],
        bogie=3,
    )
    assert line(works, programme(0.1)).turns[0].route_days == pytest.approx(1 + 3 + 1 + 1)


def test_slack_of_a_branch_by_hand() -> None:
    """Body 5 days against chassis 2: the chassis branch has three days of slack."""
    works = works_of_stages(
        [
            stage_row("strip", 1),
            stage_row("body", 5, assembly_id="body", follows="strip"),
            stage_row("chassis", 2, assembly_id="chassis", follows="strip"),
            stage_row("marry", 1, follows="body chassis"),
        ],
        body=1,
        chassis=1,
    )
    route = {row.stage_id: row for row in line(works, programme(0.1)).route}
    assert route["chassis"].slack_days == pytest.approx(3)
    assert route["chassis"].latest_start_day == pytest.approx(4)
    assert not route["chassis"].critical
    assert all(route[one].critical for one in ("strip", "body", "marry"))
