"""Ages told: the plates of units whose life is limited, read once, and lives that have run out."""

from collections.abc import Callable
from datetime import datetime, timedelta
from random import Random

from pacewright.events.things import Event, Unit
from pacewright.events.units import AgeTold
from pacewright.parts.tables import UnitKind
from pacewright.simulate.told_ground import Ground

READ_BY = "unit inspector 1"
_MONTH = timedelta(days=365.25 / 12)
# Life that a unit made good has left at least, and life run out that one scrapped is past at most.
_LEFT_MONTHS, _PAST_MONTHS = 48, 12
# Of the units scrapped whose age is not known so many are past their life; the others are worn.
_PAST_LIFE_SHARE = 0.6


class AgesTold:
    """Tells when units were new, of kinds that are not fitted for ever.

    Parameters
    ----------
    ground, tell, chance : as for the units.
    """

    def __init__(self, ground: Ground, tell: Callable[[Event], None], chance: Random) -> None:
        self._tell, self._chance = tell, chance
        self._kinds = ground.works.unit_kinds
        self._known: set[Unit] = set()

    def new(self, unit: Unit) -> None:
        """It came in new: the record knows its day."""
        self._known.add(unit)

    def read(self, at: datetime, unit: Unit, k: int) -> None:
        """Its plate is read, if its life is limited and nobody has; it may be fitted again."""
        life = self._kinds[k].life_months
        if life is None or unit in self._known:
            return
        most = life - min(_LEFT_MONTHS, life / 2)
        self._told(at, unit, most * self._chance.random())

    def scrapped(self, at: datetime, unit: Unit, k: int) -> str:
        """Why it is scrapped; its plate is read first."""
        kind: UnitKind = self._kinds[k]
        life = kind.life_months
        if life is None or unit in self._known or self._chance.random() >= _PAST_LIFE_SHARE:
            return "beyond repair"
        self._told(at, unit, life + 1 + _PAST_MONTHS * self._chance.random())
        return f"its life of {life:g} months has run out"

    def _told(self, at: datetime, unit: Unit, months: float) -> None:
        self._known.add(unit)
        self._tell(AgeTold(at, unit, READ_BY, (at - months * _MONTH).date()))
