"""What is true of an invented works, behind what its tables say."""

from dataclasses import replace

from pacewright.invent.draws import Draws
from pacewright.parts.tables import Operation, UnitKind
from pacewright.shops.tables import Stage
from pacewright.works import Works

# One table row in so many is far from the truth, the others are near it.
_FAR_ONE_IN = 8
_SHARE_LEAST, _SHARE_MOST = 0.02, 0.98


def in_truth(works: Works, draws: Draws) -> Works:
    """The works as it really is: shares and times somewhat other than its tables say.

    Most are within a twelfth of what the tables say; of the shares and standard hours one in eight
    lies off by a quarter to a half, so that who learns from the record has something to find. What
    must be changed stays so; people, positions and floats are as told.

    Parameters
    ----------
    works : as its tables say.
    draws : the stream of chance.
    """
    operations, kinds, stages = works.operations, works.unit_kinds, works.stages
    share = _factors(draws, len(operations))
    hours = _factors(draws, len(operations))
    removal, scrap = _factors(draws, len(kinds)), _factors(draws, len(kinds))
    turn = draws.even(len(kinds), 0.94, 1.05).tolist()
    work = draws.even(len(stages), 0.97, 1.03).tolist()
    return replace(
        works,
        operations=tuple(_operation(one, share[n], hours[n]) for n, one in enumerate(operations)),
        unit_kinds=tuple(_kind(one, removal[n], scrap[n], turn[n]) for n, one in enumerate(kinds)),
        stages=tuple(_stage(one, work[n]) for n, one in enumerate(stages)),
    )


def _factors(draws: Draws, count: int) -> list[float]:
    near = draws.even(count, 0.92, 1.08)
    far = draws.whole(count, 0, _FAR_ONE_IN - 1) == 0
    up = draws.even(count) < 0.6
    off = draws.even(count, 0.25, 0.5)
    near[far & up] = 1 + off[far & up]
    near[far & ~up] = 1 - off[far & ~up] / 2
    factors: list[float] = near.tolist()
    return factors


def _other(share: float, factor: float) -> float:
    # What is certain, or never, stays so.
    if not 0 < share < 1:
        return share
    return min(_SHARE_MOST, max(_SHARE_LEAST, round(share * factor, 4)))


def _operation(one: Operation, share: float, hours: float) -> Operation:
    return replace(
        one,
        occurrence_share=_other(one.occurrence_share, share),
        standard_hours=round(one.standard_hours * hours, 2),
    )


def _kind(one: UnitKind, removal: float, scrap: float, turn: float) -> UnitKind:
    return replace(
        one,
        removal_share=_other(one.removal_share, removal),
        scrap_share=_other(one.scrap_share, scrap),
        turn_days=round(one.turn_days * turn, 2),
    )


def _stage(one: Stage, work: float) -> Stage:
    return replace(
        one,
        hours_least=round(one.hours_least * work, 2),
        hours_usual=round(one.hours_usual * work, 2),
        hours_most=round(one.hours_most * work, 2),
    )
