"""The standard scope against the line's hours, and the scatter of scopes against a law."""

import random
from dataclasses import replace
from datetime import date, datetime
from math import sqrt

import pytest

from pacewright.control.scope import scope_of
from pacewright.events.fold import fold
from pacewright.events.gate import Admitted, Arrived
from pacewright.events.stages import Found
from pacewright.events.things import WHOLE, Event, Piece, Verdict
from pacewright.pace.hours import week_hours
from pacewright.pace.problem import problem_of
from pacewright.plans.card import ResultCard
from pacewright.plans.programme import LeastPace, Programme
from pacewright.works import Works
from small_works import small_works

START = datetime(2026, 3, 2, 7, 0)


def admitted(number: str, type_id: str) -> list[Event]:
    """A vehicle let in."""
    return [Arrived(START, number, type_id, "north"), Admitted(START, number)]


def of_one_type(type_id: str) -> Works:
    """The small works whose programme calls one type only, without campaign and second site."""
    works = small_works()
    kinds = tuple(replace(one, site_a_week=0.0, site_float=0) for one in works.unit_kinds)
    vehicles = tuple(one for one in works.vehicles if one.type_id == type_id)
    return replace(works, campaigns=(), unit_kinds=kinds, vehicles=vehicles)


@pytest.mark.parametrize(("type_id", "number"), [("solo", "101"), ("long", "201")])
def test_the_standard_is_what_the_line_reckons_for_a_vehicle(type_id: str, number: str) -> None:
    """By trade: hours of a week at the pace of the line, over the vehicles of the week."""
    works = of_one_type(type_id)
    day = date(2026, 3, 9)
    card = ResultCard("invented", "optimal", 0.0, 0.0, 0.0, "days", 0.0)
    programme = Programme(card, LeastPace(0.2, 1.0, day, day, 1, 1), 0.2, (), (), (), (), ())
    line: dict[str, float] = {}
    for (_, trade_id), hours in week_hours(works, problem_of(works, programme)).items():
        line[trade_id] = line.get(trade_id, 0.0) + hours.mean
    now = fold(admitted(number, type_id))
    scope = scope_of(works, now, number)
    told = {name: one.standard_hours for name, one in scope.by_trade.items()}
    assert told == pytest.approx(line)


def test_scopes_of_many_vehicles_scatter_by_the_binomial_law() -> None:
    """Mean growth nought and its variance sum p (1 - p) h^2, within 4 standard errors.

    False alarms: about 1 in 16,000 for the mean; the seed is fixed, so this test does not flicker.
    Variance of a sum of independent yes-or-no hours: any textbook of probability, e.g. Feller
    1968, ch. IX (from memory).
    """
    works, chance, count = small_works(), random.Random(4), 2_000
    asked = [("bd-1", 0.8, 44.0), ("bd-2", 0.35, 26.0)]
    piece = Piece(WHOLE, "101")
    grown = []
    for _ in range(count):
        found = [
            Found(START, piece, item, Verdict.REPAIR if chance.random() < p else Verdict.USE)
            for item, p, _ in asked
        ]
        now = fold([*admitted("101", "solo"), *found])
        grown.append(scope_of(works, now, "101").total.grown_hours)
    mean = sum(grown) / count
    variance = sum((one - mean) ** 2 for one in grown) / (count - 1)
    expected = sum(p * (1 - p) * h**2 for _, p, h in asked)
    assert abs(mean) < 4 * sqrt(expected / count)
    fourth = sum((one - mean) ** 4 for one in grown) / count
    assert abs(variance - expected) < 4 * sqrt((fourth - expected**2) / count)
