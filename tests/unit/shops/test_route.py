"""The route as a graph."""

from itertools import pairwise, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacewright.shops.route import RouteLoopError, route_of, stage_order
from pacewright.shops.tables import Assembly, Stage
from small_works import small_works


def stage(stage_id: str, *follows: str, **more: object) -> Stage:
    """A stage that takes two hours in shop S."""
    cells = {"assembly_id": "vehicle", "positions": 1, **more}
    hours = {"hours_least": 1.0, "hours_usual": 2.0, "hours_most": 3.0}
    return Stage(stage_id=stage_id, name=stage_id, shop_id="S", follows=follows, **hours, **cells)  # type: ignore[arg-type]


def test_order_puts_each_stage_after_all_it_follows() -> None:
    """On the small works every stage stands after the stages it names."""
    works = small_works()
    for route in works.routes.values():
        place = {one.stage_id: index for index, one in enumerate(route.stages)}
        for stage_id, before in route.follows.items():
            assert all(place[one] < place[stage_id] for one in before)


def test_a_skipped_stage_hands_its_links_on() -> None:
    """A type that does not pass a stage goes straight from the one before to the one after."""
    stages = [stage("a"), stage("b", "a", type_ids=("long",)), stage("c", "b")]
    assert route_of("long", stages, []).follows["c"] == ("b",)
    assert route_of("solo", stages, []).follows["c"] == ("a",)
    assert [one.stage_id for one in route_of("solo", stages, []).stages] == ["a", "c"]


def test_passes_follow_the_number_of_assemblies() -> None:
    """A tram of three bogies passes the bogie shop three times, a bus without any never."""
    stages = [stage("lift"), stage("bogie", "lift", assembly_id="bogie"), stage("join", "bogie")]
    parts = [Assembly(type_id="tram", assembly_id="bogie", name="Bogie", count=3)]
    assert route_of("tram", stages, parts).passes == {"lift": 1, "bogie": 3, "join": 1}
    assert route_of("bus", stages, parts).passes == {"lift": 1, "join": 1}


def test_a_loop_is_named_in_order() -> None:
    """A route that runs in a circle names the circle, each stage before the one that follows it."""
    follows = {"a": ["c"], "b": ["a"], "c": ["b"], "d": []}
    with pytest.raises(RouteLoopError) as caught:
        stage_order(follows)
    loop = caught.value.loop
    assert loop[0] == loop[-1]
    assert set(loop) == {"a", "b", "c"}
    for first, second in pairwise(loop):
        assert first in follows[second]


@given(st.sets(st.tuples(st.integers(0, 5), st.integers(0, 5)), max_size=12))
def test_before_agrees_with_every_order(edges: set[tuple[int, int]]) -> None:
    """``is_before`` is true exactly when one stage precedes the other in every possible order."""
    forward = {(a, b) for a, b in edges if a < b}
    stages = [stage(f"s{n}", *(f"s{a}" for a, b in forward if b == n)) for n in range(6)]
    route = route_of("any", stages, [])
    orders = [
        order
        for order in permutations(range(6))
        if all(order.index(a) < order.index(b) for a, b in forward)
    ]
    for first in range(6):
        for second in range(6):
            always = first != second and all(o.index(first) < o.index(second) for o in orders)
            assert route.is_before(f"s{first}", f"s{second}") is always
