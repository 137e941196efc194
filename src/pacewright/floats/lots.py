"""Lots: a unit waits until so many are gathered, and the lot goes off together."""

import numpy as np

from pacewright.floats.count_law import Complex, CountLaws, Window, from_transform, window
from pacewright.floats.moments import Moments
from pacewright.floats.problem import Stream
from pacewright.floats.turn_time import MOMENT_DAYS


def lot_transform(stream: Stream, rows: Moments, where: Window) -> Complex:
    """Transform of D when units go off in lots of ``stream.lot_size`` under even call-in.

    The count in the open lot runs through the vehicles in order of removal as a Markov chain
    that starts evenly over 0 ... Q - 1 (its stationary law). A unit that joins adds one to D if
    its vehicle draws by the moment of need (those in the open lot at the start have drawn; all
    lots before it are back); a lot that fills at some vehicle takes Q units off D,
    each with the chance that a turn begun then is over at the look. Condemned units never join.

    Equations: E z^D = sum over the chain of prod z^needed prod (1 + F (1/z - 1))^Q; own
    derivation, exact for any law of the turn and any share removed.
    """
    turns = where.turns
    count, vehicles = rows.units.shape
    order = np.argsort(-rows.ago_days, axis=1, kind="stable")
    lines = np.arange(count)
    wait = rows.despatch_wait(stream.despatch_days, rows.ago_days)
    over = 1 - stream.turn.survival(rows.ago_days - wait + MOMENT_DAYS)
    over = np.where(rows.ago_days + MOMENT_DAYS >= 0, over, 0.0)
    # What already lies in the open lot was drawn for before: it counts until its lot is back.
    lying = turns[:, None] ** np.arange(stream.lot_size) / stream.lot_size
    state = np.repeat(lying[None, :, :], count, axis=0)
    for step in range(vehicles):
        column = order[:, step]
        live = rows.needed[lines, column] | (rows.ago_days[lines, column] + MOMENT_DAYS >= 0)
        units = np.where(live, rows.units[lines, column], 0)
        if not units.any():
            continue
        drawn = np.where(rows.needed[lines, column][:, None], turns[None, :], 1.0)
        sent = (1 + over[lines, column][:, None] * (1 / turns - 1)) ** stream.lot_size
        bought = rows.ago_days[lines, column] + MOMENT_DAYS >= stream.purchase_days
        anew = drawn * np.where(bought[:, None], 1 / turns, 1.0)
        for unit in range(int(units.max())):
            state = _one_unit(stream, state, units > unit, (drawn, sent, anew))
    return np.asarray(state.sum(axis=2))


def _one_unit(
    stream: Stream,
    state: Complex,
    takes_part: np.ndarray,
    factors: tuple[Complex, Complex, Complex],
) -> Complex:
    drawn, sent, anew = factors
    removed = np.where(takes_part, stream.removal_share, 0.0)[:, None]
    joins = removed * (1 - stream.scrap_share)
    stays = 1 - removed + removed * stream.scrap_share * anew
    moved = np.roll(state, 1, axis=2)
    moved[:, :, 0] *= sent
    return np.asarray(stays[:, :, None] * state + (joins * drawn)[:, :, None] * moved)


def gathered(pipeline_mean: float, lot_size: int) -> CountLaws:
    """Units out under random call-in with a constant turn: Uniform{0 .. Q-1} + Poisson.

    Parameters
    ----------
    pipeline_mean : rate times the constant turn [units].
    lot_size : units gathered before they go off, Q.
    """
    spread = pipeline_mean + lot_size**2 / 12
    where = window(np.array([pipeline_mean + (lot_size - 1) / 2]), spread, margin=lot_size)
    return from_transform(
        np.exp(pipeline_mean * (where.turns - 1))[None, :] * even_part(lot_size, where), where
    )


def even_part(size: int, where: Window) -> Complex:
    """Transform of a count that is 0 ... ``size`` - 1, each as likely."""
    powers = where.turns[None, :] ** np.arange(size)[:, None]
    return np.asarray(powers.mean(axis=0)[None, :])
