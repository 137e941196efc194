"""Lots: a unit waits until so many are gathered, and the lot goes off together."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from pacewright.floats.count_law import Complex, CountLaws, Window, from_transform, window
from pacewright.floats.moments import Flags, Ints, Moments
from pacewright.floats.problem import Stream
from pacewright.floats.turn_time import MOMENT_DAYS

Array = NDArray[np.float64]


def lot_transforms(stream: Stream, rows: Moments, where: Window) -> tuple[Complex, Complex]:
    """Transforms of D when units go off in lots of ``stream.lot_size`` under even call-in.

    The count in the open lot runs through the vehicles in order of removal as a Markov chain
    that starts evenly over 0 ... Q - 1 (its stationary law). A unit that joins adds one to D if
    its vehicle draws by the moment of need (those in the open lot at the start have drawn; all
    lots before it are back); a lot that fills at some vehicle takes Q units off D,
    each with the chance that a turn begun then is over at the look. Condemned units never join.

    Returns
    -------
    The transforms of D, and of D when nothing came off the vehicle in question.

    Equations: E z^D = sum over the chain of prod z^needed prod (1 + F (1/z - 1))^Q; own
    derivation, exact for any law of the turn and any share removed.
    """
    order = np.argsort(-rows.ago_days, axis=1, kind="stable")
    call_in = _in_order(stream, rows, where, order)
    own = order == rows.own
    spared = replace(call_in, units=np.where(own, 0, call_in.units))
    # Where every turn begun is over, or none can be, lots make no difference: a plain sum.
    over = call_in.over
    first = int(np.argmax((over < 1 - 1e-9).any(axis=0)))
    last = int(np.flatnonzero((over > 1e-9).any(axis=0)).max(initial=first - 1)) + 1
    before, after = slice(first), slice(last, None)
    lots = call_in.plain(before, 1 / where.turns) * call_in.through_lots(first, last)
    whole = lots * call_in.plain(after, np.ones_like(where.turns))
    if stream.removal_share >= 1:
        return whole, whole
    if own[:, :last].any():
        lots = spared.plain(before, 1 / where.turns) * spared.through_lots(first, last)
    return whole, lots * spared.plain(after, np.ones_like(where.turns))


def _in_order(stream: Stream, rows: Moments, where: Window, order: Ints) -> "_CallIn":
    ago = np.take_along_axis(rows.ago_days, order, axis=1)
    needed = np.take_along_axis(rows.needed, order, axis=1)
    units = np.take_along_axis(rows.units, order, axis=1)
    wait = rows.despatch_wait(stream.despatch_days, ago)
    over = 1 - stream.turn.survival(ago - wait + MOMENT_DAYS)
    over = np.where(ago + MOMENT_DAYS >= 0, over, 0.0)
    live = needed | (ago + MOMENT_DAYS >= 0)
    bought = ago + MOMENT_DAYS >= stream.purchase_days
    return _CallIn(stream, where.turns, np.where(live, units, 0), needed, over, bought)


@dataclass(frozen=True)
class _CallIn:
    # Vehicles in order of removal, a row for each moment: units, whether drawn for, the chance
    # that a turn begun then is over, and whether what is bought for a condemned unit is there.
    stream: Stream
    turns: Complex
    units: Ints
    needed: Flags
    over: Array
    bought: Flags

    def through_lots(self, first: int, last: int) -> Complex:
        """The chain over vehicles ``first`` to ``last``, summed over the count in the open lot."""
        size = self.stream.lot_size
        # What lies in the open lot was drawn for before: it counts until its lot is back.
        state = np.empty((size, self.units.shape[0], self.turns.size), dtype=complex)
        state[:] = (self.turns ** np.arange(size)[:, None] / size)[:, None, :]
        moved = np.empty_like(state)
        for vehicle in range(first, last):
            sent = (1 + self.over[:, vehicle, None] * (1 / self.turns - 1)) ** size
            for joins, stays in self._by_unit(vehicle):
                # One more lies in the open lot; the last one fills it.
                np.multiply(state[:-1], joins, out=moved[1:])
                np.multiply(state[-1], joins * sent, out=moved[0])
                state *= stays
                state += moved
        return np.asarray(state.sum(axis=0))

    def plain(self, vehicles: slice, joined: Complex) -> Complex:
        """What ``vehicles`` add when a unit that joins a lot just counts ``joined``."""
        cases, units = self._cases[:, vehicles], self.units[:, vehicles]
        found = np.ones((self.units.shape[0], self.turns.size), dtype=complex)
        for case, (joins, stays) in enumerate(self._factors):
            counts = np.where(cases == case, units, 0).sum(axis=1)
            if counts.any():
                found *= (joins * joined + stays) ** counts[:, None]
        return found

    @cached_property
    def _cases(self) -> Ints:
        return np.asarray(2 * self.needed + self.bought, dtype=np.int64)

    @cached_property
    def _factors(self) -> list[tuple[Complex, Complex]]:
        # By case: the factors of a unit when it joins the open lot, and when not (on, condemned).
        share, scrap = self.stream.removal_share, self.stream.scrap_share
        found = []
        for drawn in (np.ones_like(self.turns), self.turns):
            for anew in (drawn, drawn / self.turns):
                stays = 1 - share + share * scrap * anew
                found.append((np.asarray(share * (1 - scrap) * drawn), np.asarray(stays)))
        return found

    def _by_unit(self, vehicle: int) -> Iterator[tuple[Complex, Complex]]:
        """Unit by unit the factors of ``_factors``, moment by moment."""
        units, cases = self.units[:, vehicle], self._cases[:, vehicle]
        joins, stays = self._factors[cases[0]]
        if (cases != cases[0]).any():
            joins, stays = (np.stack(parts)[cases] for parts in zip(*self._factors, strict=True))
        done = 0
        for count in sorted({int(one) for one in units} - {0}):
            takes_part = (units >= count)[:, None]
            if not takes_part.all():
                joins, stays = np.where(takes_part, joins, 0.0), np.where(takes_part, stays, 1.0)
            for _ in range(done, count):
                yield joins, stays
            done = count


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
