"""The judge accepts what is right and refuses every line that was tampered with."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from pacewright.invent.works import invented_works
from pacewright.pace.checks import check_line
from pacewright.pace.solve import line
from pacewright.plans.line import Gear, Line
from small_works import small_works
from unit.pace.pace_cases import call, programme, stage_row, works_of_stages

WORKS = small_works()
PACED = programme(0.4, (call("solo", 1), call("solo", 2), call("long", 3)))
LINE = line(WORKS, PACED)

Change = Callable[[Line], Line]


def row(table: str, place: int, **cells: Any) -> Change:
    """Change cells of one row of the line; a callable cell is put over the old value."""

    def change(good: Line) -> Line:
        rows = list(getattr(good, table))
        old = rows[place]
        new = {n: v(getattr(old, n)) if callable(v) else v for n, v in cells.items()}
        rows[place] = replace(old, **new)
        return replace(good, **{table: tuple(rows)})

    return change


def without(table: str) -> Change:
    """Strike the last row off a table of the line."""
    return lambda good: replace(good, **{table: getattr(good, table)[:-1]})


def whole(**cells: Any) -> Change:
    """Change the line's own figures."""
    return lambda good: replace(good, **cells)


def twice(value: float) -> float:
    """Double, and a little more, so that nothing stays nothing."""
    return 2 * value + 0.5


STAGE = ["pieces_a_day", "hours_mean", "hours_sd", "positions_mean", "use_share", "able_a_week"]
TRADE = ["hours_mean", "hours_sd", "hours_able", "use_share", "short_chance", "people"]
TRADE += ["people_mean", "people_wanted", "able_a_week", "over_share", "campaign_hours"]
PLANT = ["pieces_a_day", "charges_able_a_day", "charges_needed_a_day", "use_share", "able_a_week"]
ROUTE = ["earliest_start_day", "earliest_end_day", "latest_start_day", "latest_end_day"]
UNIT = ["removed_day", "needed_day", "offset_days", "turn_days", "slack_days"]
TURN = ["share", "route_days", "expected_days", "promised_days", "inside_mean"]

MUTATIONS: dict[str, Change] = {
    **{f"stage {name}": row("stages", 1, **{name: twice}) for name in STAGE},
    **{f"trade {name}": row("trades", 1, **{name: twice}) for name in TRADE},
    **{f"plant {name}": row("plant", 1, **{name: twice}) for name in PLANT},
    **{f"route {name}": row("route", 2, **{name: twice}) for name in [*ROUTE, "slack_days"]},
    **{f"unit {name}": row("units", 0, **{name: twice}) for name in UNIT},
    **{f"turn {name}": row("turns", 0, **{name: twice}) for name in TURN},
    **{f"without the last of {table}": without(table) for table in (
        "stages", "trades", "plant", "route", "units", "turns")},
    "stage over_share": row("stages", 1, over_share=-0.1),
    "stage wait grows": row("stages", 1, wait_grows_hours=3.0),
    "stage batch wait": row("stages", 1, batch_wait_hours=3.0),
    "stage positions": row("stages", 1, positions=9),
    "stage batch": row("stages", 1, batch_size=2),
    "stage wanted far more": row("stages", 1, positions_wanted=lambda n: n + 5),
    "stage wanted fewer": row("stages", 1, positions_wanted=0),
    "stage wait chance": row("stages", 1, wait_chance=1.2),
    "stage wait beyond a week": row("stages", 1, wait_hours=1000.0),
    "stage wait below nothing": row("stages", 1, wait_hours=-1.0),
    "stage gear": row("stages", 0, gear=Gear.HOLDS_UP),
    "stage gear tight": row("stages", 4, gear=Gear.TIGHT),
    "stage without reason": row("stages", 0, reason=""),
    "trade gear": row("trades", 0, gear=Gear.HOLDS_UP),
    "trade without reason": row("trades", 0, reason=""),
    "trade hours shown": row("trades", 0, hours_shown=12.0),
    "plant gear": row("plant", 0, gear=Gear.HOLDS_UP),
    "plant fill": row("plant", 0, fill_share=1.4),
    "plant wait not finite": row("plant", 0, wait_hours=float("inf")),
    "route critical": row("route", 0, critical=False),
    "pace": whole(pace_a_day=0.5),
    "pace a week": whole(pace_a_week=3.0),
    "takt": whole(takt_days=1.0),
    "takt hours": whole(takt_hours=1.0),
    "inside": whole(inside_mean=1.0),
    "able": whole(able_a_week=99.0),
    "slowest": whole(slowest=""),
    "impossible": lambda good: replace(good, card=replace(good.card, status="impossible")),
}  # fmt: skip


def test_judge_accepts_the_line_of_the_small_works() -> None:
    """Nothing is wrong with an untouched line."""
    assert check_line(WORKS, PACED, LINE) == ()


@pytest.mark.parametrize("name", MUTATIONS)
def test_judge_refuses(name: str) -> None:
    """Each single change is found."""
    assert check_line(WORKS, PACED, MUTATIONS[name](LINE))


@pytest.mark.parametrize(("kind", "vehicles"), [("trolleybus", 1900), ("tramway", 260)])
@pytest.mark.parametrize("pace_share", [0.7, 1.0, 1.6])
def test_judge_accepts_invented_works(kind: str, vehicles: int, pace_share: float) -> None:
    """Works of full size, below, at and above a pace of once in three and a half years."""
    works = invented_works(kind, vehicles, seed=5)
    paced = programme(pace_share * vehicles / (3.5 * 250))
    assert check_line(works, paced, line(works, paced)) == ()


@pytest.mark.parametrize(("more", "said"), [(8, "positions do, not"), (-3, "of arrivals wait")])
def test_judge_tries_positions_wanted_in_a_simulation(more: int, said: str) -> None:
    """A number that contradicts no other figure of the line is still found, by events."""
    works = works_of_stages([stage_row("body", 20, positions=60, hours_least=96, hours_most=224)])
    paced = programme(1.0)
    good = line(works, paced)
    assert check_line(works, paced, good) == ()
    stage = good.stages[0]
    bad = replace(stage, positions_wanted=stage.positions_wanted + more)
    found = check_line(works, paced, replace(good, stages=(bad,)))
    assert len(found) == 1
    assert said in found[0]


def test_an_impossible_line_needs_no_pace_and_a_reason() -> None:
    """The empty line of a programme without pace passes; without its note it does not."""
    none = programme(0.0)
    empty = line(WORKS, none)
    assert check_line(WORKS, none, empty) == ()
    assert check_line(WORKS, none, replace(empty, notes=()))
