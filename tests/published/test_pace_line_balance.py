"""Line balance against published least numbers of stations (Scholl 1993, rev. 1997)."""

import json
from itertools import permutations
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pacewright.pace.balance import Balance, Task, balance, least_stations
from pacewright.shops.route import RouteLoopError

DATA = json.loads((Path(__file__).parent / "data" / "line-balance.json").read_text())
PROBLEMS = {one["name"]: one for one in DATA["problems"]}
LARGE = {"TONGE70", "WARNECKE"}
CASES = [
    (name, float(takt), stations)
    for name, one in PROBLEMS.items()
    if name not in LARGE
    for takt, stations in one["least_stations"].items()
]


def tasks_of(name: str) -> list[Task]:
    """The tasks of one published problem."""
    one = PROBLEMS[name]
    after: dict[int, list[str]] = {n: [] for n in range(1, len(one["times"]) + 1)}
    for earlier, later in one["arcs"]:
        after[later].append(str(earlier))
    return [Task(str(n), float(one["times"][n - 1]), tuple(after[n])) for n in after]


def assert_sound(tasks: list[Task], found: Balance) -> None:
    """Every task once, none before what it needs, no station over the takt."""
    by_id = {task.task_id: task for task in tasks}
    done: set[str] = set()
    for station in found.stations:
        for one in station.task_ids:
            assert set(by_id[one].after) <= done
            done.add(one)
        assert sum(by_id[one].hours for one in station.task_ids) == pytest.approx(station.hours)
        assert station.hours <= found.takt_hours * (1 + 1e-9)
    assert sorted(done) == sorted(by_id)
    assert sum(len(station.task_ids) for station in found.stations) == len(tasks)


@pytest.mark.parametrize(("name", "takt", "stations"), CASES)
def test_published_least_number_is_reached_and_proven(
    name: str, takt: float, stations: int
) -> None:
    """The published optimum is found, and proven without being told it."""
    tasks = tasks_of(name)
    found = balance(tasks, takt)
    assert_sound(tasks, found)
    assert len(found.stations) == stations
    assert found.card.status == "optimal"
    assert found.card.gap == 0


@pytest.mark.parametrize(("name", "takt"), [("TONGE70", 176), ("WARNECKE", 58)])
def test_large_problems_with_little_effort_keep_bound_and_gap_honest(name: str, takt: int) -> None:
    """With little effort the bound stays at or below the published optimum, the line above."""
    tasks = tasks_of(name)
    found = balance(tasks, takt, efforts=((20, 20), (100, 50)))
    assert_sound(tasks, found)
    best = PROBLEMS[name]["least_stations"][str(takt)]
    assert found.card.bound <= best <= len(found.stations) <= best + 1
    assert (found.card.status == "optimal") == (found.card.bound == len(found.stations))


def fewest_by_trying(tasks: list[Task], takt: float) -> int:
    """Least number of stations over every order of the tasks, each filled as it comes."""
    best = len(tasks)
    for order in permutations(tasks):
        done: set[str] = set()
        stations, room = 1, takt
        for task in order:
            if not set(task.after) <= done:
                break
            if task.hours > room + 1e-9:
                stations, room = stations + 1, takt
            room -= task.hours
            done.add(task.task_id)
        else:
            best = min(best, stations)
    return best


@st.composite
def drawn_tasks(draw: st.DrawFn) -> list[Task]:
    """Up to seven tasks of 1 to 10 hours in a drawn order."""
    count = draw(st.integers(1, 7))
    tasks = []
    for number in range(count):
        earlier = [str(one) for one in range(number)]
        after = draw(st.lists(st.sampled_from(earlier), unique=True, max_size=2)) if earlier else []
        tasks.append(Task(str(number), float(draw(st.integers(1, 10))), tuple(after)))
    return tasks


@settings(max_examples=40, deadline=None, derandomize=True)
@given(drawn_tasks(), st.integers(10, 20))
def test_agrees_with_trying_every_order(tasks: list[Task], takt: int) -> None:
    """Brute force over all orders of few tasks gives the same least number."""
    found = balance(tasks, float(takt))
    assert_sound(tasks, found)
    assert len(found.stations) == fewest_by_trying(tasks, float(takt))
    assert found.card.status == "optimal"
    assert least_stations([task.hours for task in tasks], takt) <= len(found.stations)


def test_faults_are_told_together() -> None:
    """Doubled, unknown and too long tasks are all named at once; a circle is shown."""
    faulty = [Task("a", 3), Task("a", 3), Task("b", 9, ("x",))]
    with pytest.raises(ValueError, match=r"1 doubled, unknown \['x'\], too long \['b'\]"):
        balance(faulty, 8)
    with pytest.raises(RouteLoopError):
        balance([Task("a", 1, ("b",)), Task("b", 1, ("a",))], 8)
