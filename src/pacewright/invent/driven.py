"""How far the vehicles of an invented works ran while its record went on."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from pacewright.fleet.tables import Reading, Vehicle
from pacewright.works import Works

_GAP_DAYS, _GAP_SCATTER = 91, 14
_LIFE_DAYS = 30.44

Stays = Mapping[str, Sequence[tuple[date, date | None]]]
"""Vehicle -> its visits to the works: day of arrival, day of release (None: still there)."""


@dataclass(frozen=True)
class Driven:
    """What the odometers showed.

    Parameters
    ----------
    readings : sent in by the depots, in no order.
    at_arrival : (vehicle, day of arrival) -> odometer at the gate.
    """

    readings: tuple[Reading, ...]
    at_arrival: Mapping[tuple[str, date], float]


def driven(works: Works, stays: Stays, until: date, seed: int) -> Driven:
    """Readings from the day of a works to a later one; nothing is run while inside.

    A vehicle runs each day what its readings so far say it runs, give or take a fifth from one
    reading to the next; one never read runs as its type does.

    Parameters
    ----------
    works : its vehicles and their readings so far.
    stays : visits in the time.
    until : last day.
    seed : of the scatter.
    """
    before: dict[str, list[Reading]] = defaultdict(list)
    for one in works.readings:
        before[one.vehicle_id].append(one)
    usual = {
        one.type_id: (one.interval_distance or 200_000.0)
        / ((one.interval_months or 60.0) * _LIFE_DAYS)
        for one in works.vehicle_types
    }
    chance, start = Random(seed), works.settings.plan.start
    readings: list[Reading] = []
    at_arrival: dict[tuple[str, date], float] = {}
    for vehicle in works.vehicles:
        mine = before[vehicle.vehicle_id]
        way = _Way.of(vehicle, mine, usual[vehicle.type_id], works.settings.plan.today)
        for arrived, released in stays.get(vehicle.vehicle_id, ()):
            readings += _sent_in(way, mine, arrived, chance)
            at_arrival[vehicle.vehicle_id, arrived] = way.on(arrived, chance)
            way.day = released or until
        if vehicle.state == "running":
            readings += _sent_in(way, mine, until, chance)
    # What was read before the record began is not told by it.
    told = tuple(one for one in readings if one.read_on >= start)
    return Driven(told, at_arrival)


@dataclass
class _Way:
    """A vehicle's odometer as it goes on."""

    vehicle_id: str
    day: date
    odometer: float
    a_day: float

    @classmethod
    def of(cls, vehicle: Vehicle, read: Sequence[Reading], usual: float, today: date) -> "_Way":
        if not read:
            age = (today - vehicle.in_service).days
            return cls(vehicle.vehicle_id, today, float(round(max(0, age) * usual)), usual)
        first, last = read[0], read[-1]
        days = (last.read_on - first.read_on).days
        a_day = (last.odometer - first.odometer) / days if days > 30 else usual
        return cls(vehicle.vehicle_id, last.read_on, last.odometer, a_day)

    def on(self, day: date, chance: Random) -> float:
        """The odometer on a later day."""
        gone = max(0, (day - self.day).days) * self.a_day * (0.8 + 0.4 * chance.random())
        self.odometer = float(round(self.odometer + gone))
        self.day = max(self.day, day)
        return self.odometer


def _sent_in(way: _Way, read: Sequence[Reading], until: date, chance: Random) -> list[Reading]:
    # A depot that never read a vehicle does not begin to.
    found = []
    while read:
        gap = _GAP_DAYS - _GAP_SCATTER + int(2 * _GAP_SCATTER * chance.random())
        day = way.day + timedelta(days=gap)
        if day >= until:
            break
        found.append(Reading(way.vehicle_id, day, way.on(day, chance)))
    return found
