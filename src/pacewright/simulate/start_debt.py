"""Pieces that stand where work would go on without a unit they are owed: what is done again.

Nothing that was done is done again but what the unit touches: the work left at the stage waits for
the unit and goes on when it is there, and where the stage at which the unit goes on is behind,
fitting it there is added. What was tested without the unit is not tested: a test is done again.
"""

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import NamedTuple

from pacewright.events.standing import PieceStanding
from pacewright.simulate.chains import Chains
from pacewright.simulate.start_table import Stand
from pacewright.simulate.table import Then
from pacewright.works import Works


class Place(NamedTuple):
    """Step and stand of a piece; the stage (index) whose position it holds besides, -1: none."""

    stand: Stand
    step: int
    held: int = -1


class Row(NamedTuple):
    """One row before it is sorted; ``late``, ``more`` as of ``StartRows``."""

    since: datetime
    piece: int
    place: Place
    known: PieceStanding | None
    asks: dict[int, int]
    late: dict[int, int] = {}  # noqa: RUF012
    more: int = 0


@dataclass(frozen=True)
class Debts:
    """What is owed to pieces that stand where it goes on, or beyond.

    Parameters
    ----------
    works, chains : of the table that is compiled.
    """

    works: Works
    chains: Chains

    def settled(self, row: Row) -> Row:
        """The row with what it lacks, and how it goes on once it has that.

        Equations
        ---------
        Work left of a stage under way: that of its law, given that it has lasted so long. Added,
        where the stage of the unit is behind: sum of units owed times ``rob_hours`` of their kind.
        """
        here = self._stage_at(row.place.step)
        late = self._late(row, here)
        fits = {k: n for k, n in row.asks.items() if n > 0 and self._fit_stage[k] == here}
        if not late and not fits:
            return row
        row = row._replace(late=late, more=self._minutes(late))
        stand, step, _ = row.place
        goes = self.chains.steps[step].then == Then.RELEASE
        if stand is Stand.AT_WORK or (stand is Stand.PASSED and goes):
            return self._on_position(row, fits)
        if stand is Stand.WAITS and goes:
            return row._replace(place=Place(Stand.ASKS, step))
        return row

    def _on_position(self, row: Row, fits: dict[int, int]) -> Row:
        """It waits where it stands; what it was tested for without the unit is done again."""
        stand, step, _ = row.place
        known = row.known
        failed = known is not None and bool(known.failed)
        # At the unit's own stage the test is still to come, unless the stage is done.
        spoilt = self._is_tested(step) and (bool(row.late) or stand is Stand.PASSED)
        if failed or spoilt:
            return row._replace(place=Place(Stand.POSITIONED, step))
        more = row.more + self._minutes(fits)
        return row._replace(place=Place(Stand.LACKS, step), more=more)

    def _late(self, row: Row, here: str) -> dict[int, int]:
        """Units it asks for though the stage where they go on is behind it."""
        done = set(row.known.done) if row.known else set()
        chain = self.chains.steps[row.place.step].chain
        own = {stage.stage_id for stage in chain.stages}
        # On its last way, whole again, a vehicle passes no stage of its assemblies any more.
        last = chain is self.chains.of_type[chain.type_id].after
        return {
            k: units
            for k, units in row.asks.items()
            if units > 0
            and self._fit_stage[k] != here
            and (self._fit_stage[k] in done or (last and self._fit_stage[k] not in own))
        }

    def _minutes(self, units: dict[int, int]) -> int:
        """Fitting them where they would be fitted no more [min]."""
        kinds, hours = self.works.unit_kinds, self.works.rob_hours
        return round(60 * sum(n * hours[kinds[k].unit_kind_id] for k, n in units.items()))

    def _is_tested(self, step: int) -> bool:
        at = self.chains.steps[step]
        return at.stage.first_pass_share < 1 or any(
            one.stage_id == at.stage.stage_id and one.type_id in (None, at.chain.type_id)
            for one in self.works.test_items
        )

    @cached_property
    def _fit_stage(self) -> list[str]:
        return [one.fit_stage_id for one in self.works.unit_kinds]

    def _stage_at(self, step: int) -> str:
        return self.chains.steps[step].stage.stage_id
