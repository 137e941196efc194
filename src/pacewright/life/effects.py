"""What another factor would change in the plan, where that is cheap to say."""

from collections import Counter, defaultdict
from functools import cached_property

from pacewright.parts.tables import Operation
from pacewright.works import Works


class Effects:
    """Hours a vehicle and units of float, for the mix of the fleet at a pace.

    Parameters
    ----------
    works : its tables.
    vehicles_a_day : pace [vehicles a working day]; 0: not known.
    """

    def __init__(self, works: Works, vehicles_a_day: float) -> None:
        self._works = works
        self._pace = vehicles_a_day

    @cached_property
    def _mix(self) -> dict[str, float]:
        count = Counter(one.type_id for one in self._works.vehicles if one.state != "withdrawn")
        total = sum(count.values()) or 1
        return {type_id: number / total for type_id, number in count.items()}

    @cached_property
    def _units(self) -> dict[str, float]:
        """Unit kind -> units that come off a vehicle of the mix."""
        removed = {
            one.unit_kind_id: 1.0 if one.must_change else one.removal_share
            for one in self._works.unit_kinds
        }
        found: defaultdict[str, float] = defaultdict(float)
        for fit in self._works.fits:
            share = self._mix.get(fit.type_id, 0.0) * fit.per_vehicle
            found[fit.unit_kind_id] += share * removed[fit.unit_kind_id]
        return dict(found)

    def times_a_vehicle(self, one: Operation) -> float:
        """How often an operation would be done on a vehicle of the mix if always needed."""
        if one.unit_kind_id is not None:
            return self._units.get(one.unit_kind_id, 0.0)
        return sum(
            share * self._works.routes[type_id].passes.get(one.stage_id or "", 0)
            for type_id, share in self._mix.items()
            if one.type_id in {None, type_id}
        )

    def of_occurrence(self, one: Operation, change: float) -> str:
        """Hours a vehicle when an operation is needed more or less often."""
        hours = change * one.standard_hours * self.times_a_vehicle(one)
        return f"{hours:+.2f} man-hours of {one.trade_id} a vehicle"

    def of_standard(self, one: Operation, change_hours: float) -> str:
        """Hours a vehicle when an operation takes longer or shorter."""
        hours = change_hours * one.occurrence_share * self.times_a_vehicle(one)
        return f"{hours:+.2f} man-hours of {one.trade_id} a vehicle"

    def of_turn(self, unit_kind_id: str, change_days: float) -> str:
        """Units more or fewer under way when a turn takes longer or shorter (Little)."""
        units = self._pace * self._units.get(unit_kind_id, 0.0) * change_days
        return f"{units:+.1f} units under way on average" if self._pace else ""

    def of_removal(self, unit_kind_id: str, old: float, new: float) -> str:
        """Units more or fewer a vehicle when more or fewer come off."""
        if not old:
            return ""
        return f"{self._units.get(unit_kind_id, 0.0) * (new / old - 1):+.2f} units a vehicle"
