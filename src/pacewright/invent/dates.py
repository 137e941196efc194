"""The dates of every vehicle: in service, last overhaul, licence, withdrawal, gate-in."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from pacewright.invent.draws import Draws, Whole
from pacewright.invent.roll import Roll

RUNNING, OVERDUE, STANDING, WITHDRAWN, ODOMETER_LOST, NEVER_READ, INSIDE = range(7)
"""How a vehicle is drawn."""

# Share of the fleet drawn so; at least one vehicle each, however small the fleet.
_SHARES = {
    OVERDUE: 0.004,
    STANDING: 0.015,
    WITHDRAWN: 0.01,
    ODOMETER_LOST: 0.008,
    NEVER_READ: 0.006,
}
_NEW_SHARE = 0.08
_MOST_OVERHAULS = 3
_LICENCE_SHARE = 0.08
_LEAVES_SHARE = 0.02
# Due dates are level but for some bunching: four waves a life, the first crest some months after
# the start; so many days between the height of a wave and its foot, times four.
_WAVES, _WAVE_DAYS = 4, 100.0

NEVER = 0
"""Stands in an array of day numbers for: no such day."""


@dataclass(frozen=True)
class Dates:
    """Day numbers (proleptic, as ``date.toordinal``) of every vehicle; ``NEVER`` where none.

    ``drawn`` says how a vehicle is drawn; ``anchor`` is the day its interval counts from.
    """

    drawn: Whole
    in_service: Whole
    last_overhaul: Whole
    anchor: Whole
    licence_expiry: Whole
    withdraw_on: Whole
    gate_in: Whole


def dates_drawn(roll: Roll, today: date, past_limit_days: int, gates: Whole, draws: Draws) -> Dates:
    """Dates of the whole fleet on one day.

    Parameters
    ----------
    roll : who there is.
    today : day to which everything is known.
    past_limit_days : days past due after which a vehicle of any type is past its limit.
    gates : day numbers on which those inside came in; their count is how many are inside.
    draws : the stream of chance.
    """
    count = len(roll.life_days)
    now = today.toordinal()
    drawn = _drawn(count, len(gates), draws)
    gate_in = np.zeros(count, np.int64)
    gate_in[drawn == INSIDE] = gates[draws.shuffled(len(gates))]
    due = now + _ahead(roll, drawn, past_limit_days, draws)
    due = np.where(drawn == INSIDE, gate_in + draws.whole(count, 0, 55), due)
    anchor = np.minimum(due - roll.life_days.astype(np.int64), now - 1)
    new = (draws.even(count) < _NEW_SHARE) & (drawn == RUNNING)
    times = np.where(new, 0, draws.whole(count, 1, _MOST_OVERHAULS))
    age_days = (times * roll.life_days * draws.even(count, 0.9, 1.0)).astype(np.int64)
    licensed = (draws.even(count) < _LICENCE_SHARE) & (drawn == RUNNING)
    leaves = (draws.even(count) < _LEAVES_SHARE) & (drawn == RUNNING)
    leaving = np.maximum(due + draws.whole(count, -200, 500), now + 30)
    left = now - draws.whole(count, 5, 200)
    licence = np.maximum(due + draws.whole(count, -25, 200), now + 45)
    return Dates(
        drawn=drawn,
        in_service=anchor - age_days,
        last_overhaul=np.where(new, NEVER, anchor),
        anchor=anchor,
        licence_expiry=np.where(licensed, licence, NEVER),
        withdraw_on=np.where(drawn == WITHDRAWN, left, np.where(leaves, leaving, NEVER)),
        gate_in=gate_in,
    )


def _drawn(count: int, inside: int, draws: Draws) -> Whole:
    drawn = np.full(count, RUNNING, np.int64)
    order = draws.shuffled(count)
    place = inside
    drawn[order[:place]] = INSIDE
    for word, share in _SHARES.items():
        many = max(1, round(share * count))
        drawn[order[place : place + many]] = word
        place += many
    return drawn


def _ahead(roll: Roll, drawn: Whole, past_limit_days: int, draws: Draws) -> Whole:
    # Calendar days from today to the due date, evenly over a life, shuffled among the vehicles.
    count = len(roll.life_days)
    level = (draws.shuffled(count) + draws.even(count)) / count
    wave = (level * _WAVES + 0.25) % 1
    bunched = roll.used_days * level + _WAVE_DAYS * (wave * (1 - wave) - 0.1875)
    ahead = np.floor(roll.life_days - roll.used_days + bunched).astype(np.int64)
    ahead = np.where(drawn == WITHDRAWN, ahead // 8, ahead)
    return np.where(drawn == OVERDUE, -past_limit_days - draws.whole(count, 5, 30), ahead)
