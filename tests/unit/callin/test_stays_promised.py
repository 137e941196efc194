"""How long a vehicle inside is taken to stay."""

from dataclasses import replace
from datetime import date

import pytest

from pacewright.callin.absence import stays_at_start
from small_works import small_works


@pytest.mark.parametrize(
    ("promised", "inside_until", "guessed"),
    [
        (None, 4, False),
        (date(2026, 3, 9), 0, False),
        (date(2026, 3, 14), 4, False),
        (date(2026, 3, 16), 5, False),
        (date(2026, 3, 6), 4, True),
    ],
)
def test_it_stays_until_promised(promised: date | None, inside_until: int, guessed: bool) -> None:
    """Until the working day on or before the promise; blank: turn days after gate-in; past: guess.

    By hand: vehicle 104 came on 2026-02-23 and turns in 15 working days, so its last day is
    2026-03-13, the fifth of the plan, which starts on 2026-03-09.
    """
    works = small_works()
    vehicles = tuple(
        replace(one, promised=promised) if one.vehicle_id == "104" else one
        for one in works.vehicles
    )
    [stay] = stays_at_start(replace(works, vehicles=vehicles))
    assert (stay.inside_until, stay.guessed) == (inside_until, guessed)
