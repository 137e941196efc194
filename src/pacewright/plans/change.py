"""A change: the same works with something else in it, to be held against the works as it is."""

from dataclasses import dataclass
from typing import Annotated

from pydantic.dataclasses import dataclass as read_dataclass

from pacewright.base.columns import ROW, CountOne, Day, Id, Refers, Share, says
from pacewright.works import Works


@read_dataclass(frozen=True, slots=True, config=ROW)
class Absence:
    """A wave of absence: fewer people come than usual."""

    first: Annotated[Day, says("first day of the wave")]
    last: Annotated[Day, says("last day of the wave")]
    absent_share: Annotated[Share, says("share of those usually present who stay away")]
    shop_id: Annotated[Id | None, Refers("shops", "shop_id"), says("only this shop")] = None
    trade_id: Annotated[Id | None, Refers("trades", "trade_id"), says("only this trade")] = None


@read_dataclass(frozen=True, slots=True, config=ROW)
class Lost:
    """Positions of a stage, or benches of a unit kind, that are lost for a stretch of days."""

    first: Annotated[Day, says("first day on which they are lost")]
    last: Annotated[Day, says("last day on which they are lost")]
    stage_id: Annotated[
        Id | None, Refers("stages", "stage_id"), says("stage that loses positions")
    ] = None
    unit_kind_id: Annotated[
        Id | None, Refers("unit_kinds", "unit_kind_id"), says("or unit kind that loses benches")
    ] = None
    how_many: Annotated[CountOne, says("how many are lost")] = 1


@dataclass(frozen=True, slots=True)
class Change:
    """One change, read and applied.

    Parameters
    ----------
    name : as the planner calls it.
    works : the whole works with the change in it; it passed every check of a works.
    differs : what differs, one line each: what it was and what it is.
    absences, losses : what befalls the works beyond its tables.
    """

    name: str
    works: Works
    differs: tuple[str, ...]
    absences: tuple[Absence, ...] = ()
    losses: tuple[Lost, ...] = ()
