"""Which additions are worth a trial: the places most in use, and those vehicles stand for most."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from math import ceil

from pacewright.plans.forecast import Cause, HoldUp, UseOf
from pacewright.plans.growth import Added
from pacewright.plans.line import Line
from pacewright.simulate.additions import Prices, room_for
from pacewright.simulate.trials import Stand
from pacewright.works import Works

FULL = 0.95
"""Use by the closed forms above which a place cannot keep the pace under chance."""
FIRST = 5
"""So many of each ranking go on trial."""
BUSY = 0.7
"""Places less in use than this are not short for their own sake."""
BIG_STEP_SHARE = 0.05
"""Where the promise is far off a crew or float grows by this share at a time."""
DOORS = " doors"
"""A hold-up at ``shop doors``: the shop is not open."""


@dataclass(frozen=True, slots=True)
class Ask:
    """One addition that something asks for.

    Parameters
    ----------
    added, place_id, how_many : what. ``why`` : what asked for it, in words.
    """

    added: Added
    place_id: str
    how_many: int
    why: str


def overloaded(line: Line) -> list[Ask]:
    """What the pace alone overloads by the closed forms, and how many bring it below ``FULL``."""
    found = []
    for stage in line.stages:
        # Positions of a charge come together: one alone takes no charge more.
        charge = min(stage.batch_size, stage.positions)
        more = charge * ceil(stage.positions_mean / FULL / charge - 1e-9) - stage.positions
        if more > 0:
            why = f"{stage.use_share:.0%} of its positions in use at the pace (closed form)"
            found.append(Ask(Added.POSITIONS, stage.stage_id, more, why))
    for trade in line.trades:
        more = ceil(trade.people_mean / FULL - trade.people - 1e-9)
        if more > 0:
            why = f"{trade.use_share:.0%} of its hours needed at the pace (closed form)"
            found.append(Ask(Added.PEOPLE, f"{trade.shop_id} {trade.trade_id}", more, why))
    return found


def not_below(line: Line, share: float) -> dict[tuple[Added, str], int]:
    """People without whom the hours needed at the mean are more than there are.

    The runs take the work of the unit shops off their people at its mean and do not let it queue,
    so they do not see such an overload; what mends it is never taken back.

    Parameters
    ----------
    share : pace looked at over the pace of the line; needs are in proportion to it.
    """
    found = {}
    for trade in line.trades:
        more = ceil(share * trade.people_mean - trade.people - 1e-9)
        found[Added.PEOPLE, f"{trade.shop_id} {trade.trade_id}"] = max(0, more)
    return found


def asks(works: Works, stand: Stand, line: Line, prices: Prices, far: bool) -> list[Ask]:
    """Additions worth a trial, each once, what is asked for first by most first.

    Parameters
    ----------
    stand : the works as it stands now. ``line`` : its closed forms at the pace.
    far : the promise is far off: bigger steps.

    A full place blocks those before it, so the longest queue is often not where the works is slow.
    Hence three rankings: use of positions and people, and the vehicle-days of hold-ups by cause.
    """
    found: dict[tuple[Added, str], Ask] = {}
    for one in _ranked(works, stand, line):
        key = one.added, one.place_id
        if key not in found and prices.sells(one.added) and room_for(works, *key):
            many = _how_many(works, one) if far else one.how_many
            found[key] = Ask(one.added, one.place_id, many, one.why)
    return list(found.values())


def _ranked(works: Works, stand: Stand, line: Line) -> Iterator[Ask]:
    busy = (one for one in line.stages if one.use_share >= BUSY)
    for stage in islice(sorted(busy, key=lambda one: -one.use_share), FIRST):
        why = f"{stage.use_share:.0%} of its positions in use at the pace (closed form)"
        yield Ask(Added.POSITIONS, stage.stage_id, min(stage.batch_size, stage.positions), why)
    crews = (one for one in stand.uses if one.of is UseOf.CREW and one.use_share >= BUSY)
    for use in islice(sorted(crews, key=lambda one: -one.use_share), FIRST):
        why = f"{use.use_share:.0%} of its hours in use"
        yield Ask(Added.PEOPLE, use.place_id, 1, why)
        yield Ask(Added.HOURS, use.shop_id, 1, f"{use.name}: {why}")
    for cause in (Cause.PEOPLE, Cause.PART, Cause.POSITION, Cause.GATE):
        mine = (one for one in stand.holdups if one.cause is cause)
        for held in islice(mine, FIRST):
            yield from _reliefs(held)


def _reliefs(held: HoldUp) -> Iterator[Ask]:
    """What relieves a hold-up."""
    why = f"{held.cause.value}, {held.name}: {held.vehicle_days_a_year:,.0f} vehicle-days a year"
    if held.cause is Cause.PEOPLE:
        if not held.place_id.endswith(DOORS):
            yield Ask(Added.PEOPLE, held.place_id, 1, why)
        yield Ask(Added.HOURS, held.shop_id, 1, why)
    elif held.cause is Cause.PART:
        yield Ask(Added.FLOAT, held.place_id, 1, why)
        yield Ask(Added.BENCHES, held.place_id, 1, why)
    elif held.cause is Cause.POSITION:
        yield Ask(Added.POSITIONS, held.place_id, 1, why)
    else:
        yield Ask(Added.INSIDE, "", 2, why)


def _how_many(works: Works, ask: Ask) -> int:
    """A big step of a big crew or float."""
    there = 0.0
    if ask.added is Added.PEOPLE:
        there = next(
            one.people for one in works.people if f"{one.shop_id} {one.trade_id}" == ask.place_id
        )
    elif ask.added is Added.FLOAT:
        there = sum(one.serviceable for one in works.floats if one.unit_kind_id == ask.place_id)
    return max(ask.how_many, ceil(BIG_STEP_SHARE * there))
