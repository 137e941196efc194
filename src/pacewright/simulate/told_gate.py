"""The gate of a run told: calls, arrivals, promises, release, and who attended."""

from collections.abc import Callable, Iterator, Mapping
from datetime import datetime, timedelta
from functools import partial

from pacewright.events.gate import Admitted, Arrived, Called, OdometerRead, Promised, Released
from pacewright.events.record import Attended
from pacewright.events.things import Cause, Event
from pacewright.simulate.calendars import DAY
from pacewright.simulate.chance import Stream, draw
from pacewright.simulate.told_ground import Ground
from pacewright.simulate.told_stages import StagesTold

CALLED_AHEAD_DAYS = 10
"""Working days between the call and the day on which a vehicle is to come."""


class GateTold:
    """Tells what happens at the gate.

    Parameters
    ----------
    ground : names of the run.
    tell : takes the events.
    stages : where the vehicles are inside.
    at_arrival : vehicle index -> odometer at the gate.
    """

    def __init__(
        self,
        ground: Ground,
        tell: Callable[[Event], None],
        stages: StagesTold,
        at_arrival: Mapping[int, float],
    ) -> None:
        self._ground, self._tell, self._stages = ground, tell, stages
        self._at_arrival = at_arrival
        self.at: datetime = ground.moment(0)
        self._depots = {one.vehicle_id: one.depot_id for one in ground.works.vehicles}
        self._turn_days = {one.type_id: one.turn_days for one in ground.works.vehicle_types}

    def calls(self) -> Iterator[tuple[int, Callable[[], None]]]:
        """Minute of each call, and what tells it."""
        clock, vehicles = self._ground.clock, self._ground.table.vehicles
        for v, day in enumerate(vehicles.day.tolist()):
            called = clock.opening(max(0, day - CALLED_AHEAD_DAYS)) - 60
            yield called, partial(self._called, v, day)

    def _called(self, v: int, day: int) -> None:
        ground = self._ground
        due_in = ground.moment(ground.clock.opening(day)).date()
        number = ground.numbers[v]
        self._tell(Called(self.at, number, ground.types[v], self._depots[number], due_in))

    def arrived(self, v: int) -> None:
        """A vehicle is at the gate, and its odometer is read."""
        ground, number = self._ground, self._ground.numbers[v]
        self._tell(Arrived(self.at, number, ground.types[v], self._depots[number]))
        if v in self._at_arrival:
            self._tell(OdometerRead(self.at, number, self._at_arrival[v]))
        self._stages.waits(self._stages.enter(v), Cause.GATE)

    def admitted(self, v: int) -> None:
        """A vehicle is let in, and its release is promised."""
        ground = self._ground
        self._stages.waits_no_more(self._stages.here[v, 0])
        self._tell(Admitted(self.at, ground.numbers[v]))
        turn_days = round(self._turn_days[ground.types[v]])
        day = ground.works.calendar.add(self.at.date(), turn_days)
        self._tell(Promised(self.at, ground.numbers[v], day))
        self._stages.promises[v] = day

    def released(self, v: int) -> None:
        """A vehicle leaves, on the signature of an authorised inspector."""
        signed_by = f"authorised inspector {1 + v % 3}"
        self._tell(Released(self.at, self._ground.numbers[v], signed_by))
        self._stages.leave(v)

    def attended(self, i: int) -> None:
        """Who was there on working day ``i``, by the draws of the run."""
        ground = self._ground
        crews, clock = ground.table.crews, ground.clock
        day = (ground.midnight + timedelta(minutes=clock.workday[i] * DAY)).date()
        for c, one in enumerate(ground.works.people):
            share = float(crews.attendance[c, i])
            whole = int(one.people)
            present = (one.people - whole) * share
            if crews.drawn[c]:
                key = int(crews.key[c])
                for person in range(whole):
                    present += draw(ground.base, Stream.PRESENT, key, i, person) < share
            else:
                present += whole * share
            hours = round(present * one.hours_a_day, 2)
            self._tell(Attended(self.at, one.shop_id, one.trade_id, day, round(present, 2), hours))
