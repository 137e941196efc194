"""What strip inspection found in a run: by the very draws that made the work long or short."""

from collections.abc import Callable
from datetime import datetime
from random import Random

from pacewright.events.stages import Found
from pacewright.events.things import Event, Verdict
from pacewright.simulate.chance import Stream, draw
from pacewright.simulate.told_ground import Doubt, Ground
from pacewright.simulate.told_here import Here
from pacewright.simulate.told_tests import inspected


class FoundTold:
    """Tells findings at the end of the stage where they are made.

    Parameters
    ----------
    ground, tell, chance : as for units.
    """

    def __init__(self, ground: Ground, tell: Callable[[Event], None], chance: Random) -> None:
        self._ground, self._tell, self._chance = ground, tell, chance
        rows = ground.table.kinds
        self._keys: list[int] = ground.table.vehicles.key.tolist()
        self._kind_keys: list[int] = rows.key.tolist()
        self._removal: list[float] = rows.removal_share.tolist()

    def at_end_of(self, at: datetime, here: Here) -> None:
        """What is found of a piece at the end of its stage."""
        ground = self._ground
        for doubt in ground.doubts.get((ground.types[here.v], here.stage), ()):
            u = draw(ground.base, Stream.SCOPE, self._keys[here.v], doubt.key, here.n)
            self._doubt(at, here, doubt, u < doubt.share)
        pieces = int(ground.table.steps.pieces[here.step])
        for k, units in ground.strips[here.step]:
            if self._removal[k] < 1:
                place = here.n - 1 if here.n else 0
                off = self._comes_off(here.v, k, range(place % pieces, units, pieces))
                verdict = Verdict.REPLACE if off else Verdict.USE
                self._tell(Found(at, here.piece, ground.table.names.kinds[k], verdict))

    def _comes_off(self, v: int, k: int, units: range) -> bool:
        key, own = self._keys[v], self._kind_keys[k]
        share, base = self._removal[k], self._ground.base
        return any(draw(base, Stream.REMOVED, key, own, j) < share for j in units)

    def _doubt(self, at: datetime, here: Here, doubt: Doubt, needed: bool) -> None:
        one = inspected(doubt.operation, needed, self._chance)
        self._tell(
            Found(
                at,
                here.piece,
                doubt.operation.operation_id,
                one.verdict,
                one.measurement,
                one.limit,
                one.reading_unit,
            )
        )
