"""Arrivals against calls."""

from datetime import date, datetime

import pytest

from pacewright.events.gate import Arrived, Called, CalledOff
from pacewright.events.record import FactorDecided
from pacewright.events.things import Event
from pacewright.life.learn import learn
from pacewright.plans.learned import Proposal
from small_works import small_works

FRIDAY, MONDAY = date(2026, 3, 6), date(2026, 3, 9)


def call(number: str, due: date, came: datetime | None) -> list[Event]:
    """A vehicle of the north depot is called, and comes."""
    called = Called(datetime(2026, 3, 2, 8), number, "solo", "north", due)
    return [called] if came is None else [called, Arrived(came, number, "solo")]


def lines(events: list[Event]) -> dict[str, Proposal]:
    """What is learned of depots."""
    found = learn(small_works(), events).proposals
    return {one.proposal_id: one for one in found if one.table == "depots"}


def story() -> list[Event]:
    """Ten vehicles: five on the day or early, five late by 1, 1, 1, 2, 3 working days."""
    events: list[Event] = []
    for n in range(5):
        events += call(f"p{n}", FRIDAY, datetime(2026, 3, 5 + n % 2, 9))
    for n, day in enumerate((7, 8, 9, 10, 11)):
        events += call(f"l{n}", FRIDAY, datetime(2026, 3, day, 9))
    events += call("x", FRIDAY, None)
    events += [*call("y", FRIDAY, None), CalledOff(datetime(2026, 3, 3, 8), "y")]
    events.append(Arrived(datetime(2026, 3, 12, 9), "y", "solo", "north"))
    return events


def test_late_is_after_the_day_called_for() -> None:
    """Half of ten; one not come and one called off say nothing."""
    found = lines(story())
    one = found["depots:north:late_share"]
    assert (one.shown, one.sample) == (0.5, 10)
    assert set(found) == {"depots:north:late_share", "depots:north:late_days"}


def test_how_late_in_working_days() -> None:
    """Saturday, Sunday and Monday after a Friday are late by one working day."""
    one = lines(story())["depots:north:late_days"]
    assert (one.shown, one.sample) == (pytest.approx(8 / 5), 5)
    assert one.proposed == pytest.approx(8 / 5)


def test_an_accepted_share_counts_only_what_comes_later() -> None:
    """Each cell forgets for itself."""
    decided = FactorDecided(
        datetime(2026, 3, 13, 8), "depots", "north", "late_share", "0", "0.5", True, 10, "p"
    )
    assert set(lines([*story(), decided])) == {"depots:north:late_days"}
