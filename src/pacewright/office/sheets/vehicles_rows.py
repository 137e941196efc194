"""The vehicles of a works as rows: where each is, what is done, what holds it, its dates."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from math import inf

from pacewright.control.marriage import VehicleAhead
from pacewright.control.next_move import Blocked
from pacewright.events.standing import Phase, VehicleStanding
from pacewright.events.things import WHOLE
from pacewright.office.sheets.today_made import DayPaper
from pacewright.office.sheets.vehicles_forecast import Forecast
from pacewright.plans.promise import VehiclePromise

GOING_ON = (Phase.INSIDE, Phase.AT_GATE, Phase.CALLED)
"""Phases of vehicles the works has to do with now, in the order in which they are listed."""


@dataclass(frozen=True, slots=True)
class VehicleRow:
    """One vehicle at a glance.

    Parameters
    ----------
    where : stage and position, place, gate or depot, in words.
    stage_id : stage where it or its lead stands; empty: on none.
    since : moment from which it is there.
    passed, stages : stages of its route it has passed, and all of them; 0 of 0 outside.
    state : what is done with it, or ``held: cause``.
    waits_for, opens, opens_on : what it waits for, what ends the wait, and the day of that.
    scheduled : ready by the schedule; None: no date.
    forecast : None: none is known.
    """

    known: VehicleStanding
    where: str
    stage_id: str
    since: datetime | None
    passed: int
    stages: int
    state: str
    waits_for: str = ""
    opens: str = ""
    opens_on: date | None = None
    scheduled: date | None = None
    forecast: VehiclePromise | None = None

    @property
    def vehicle_id(self) -> str:
        """Its number."""
        return self.known.vehicle_id

    @property
    def held(self) -> bool:
        """True when it can neither go on nor be worked on."""
        return self.state.startswith("held")

    @property
    def expected(self) -> date | None:
        """Release expected: by the forecast, else by the schedule."""
        if self.forecast is not None and self.forecast.expected is not None:
            return self.forecast.expected.date()
        return self.scheduled

    @property
    def late(self) -> bool | None:
        """Whether it is expected after its current promise; None: not promised, or no date."""
        if self.known.promise is None or self.expected is None:
            return None
        return self.expected > self.known.promise


class VehicleRows:
    """Makes the rows of one day.

    Parameters
    ----------
    paper : the day.
    forecast : of the releases ahead.
    """

    def __init__(self, paper: DayPaper, forecast: Forecast) -> None:
        one = paper.today
        self._paper = paper
        self._stage_names = {each.stage_id: each.name for each in paper.works.stages}
        self._blocked: Mapping[str, Blocked] = {each.piece: each for each in one.found.blocked}
        self._at_work = frozenset(one.found.at_work)
        self._moves = {each.piece: each for each in one.found.moves}
        rows = forecast.made.vehicles if forecast.made else ()
        self._forecast = {each.vehicle_id: each for each in rows}

    def going_on(self) -> Iterator[VehicleRow]:
        """Vehicles inside, at the gate and called."""
        return self.of(one for one in self._paper.standing.vehicles.values()
                       if one.phase in GOING_ON)  # fmt: skip

    def of(self, vehicles: Iterable[VehicleStanding]) -> Iterator[VehicleRow]:
        """A row each."""
        return (self.row(one) for one in vehicles)

    def row(self, one: VehicleStanding) -> VehicleRow:
        """The row of one vehicle."""
        ahead = self._paper.today.seen.vehicles.get(one.vehicle_id)
        if one.phase is Phase.INSIDE and ahead is not None:
            return self._inside(one, ahead)
        where, since = _outside(one)
        return VehicleRow(one, where, "", since, 0, 0, one.phase.value,
                          forecast=self._forecast.get(one.vehicle_id))  # fmt: skip

    def _inside(self, one: VehicleStanding, ahead: VehicleAhead) -> VehicleRow:
        known = ahead.on_way.known
        name, seen = str(known.piece), self._paper.today.seen
        blocked = self._blocked.get(name)
        passed, stages = _progress(self._paper, ahead)
        ready = self._paper.today.schedule.ready_day.get(one.vehicle_id, inf)
        return VehicleRow(
            known=one,
            where=self._where(ahead),
            stage_id=known.stage_id,
            since=known.since,
            passed=passed,
            stages=stages,
            state=self._state(ahead, name, blocked),
            waits_for=blocked.waits_for if blocked else ahead.waits_for,
            opens=blocked.opens if blocked else "",
            opens_on=seen.clock.date_of(blocked.opens_day)
            if blocked and blocked.opens_day is not None
            else None,
            scheduled=seen.clock.date_of(ready),
            forecast=self._forecast.get(one.vehicle_id),
        )

    def _where(self, ahead: VehicleAhead) -> str:
        known = ahead.on_way.known
        lead = "" if known.piece.assembly_id == WHOLE else f", {known.piece}"
        if known.stage_id:
            name = self._stage_names.get(known.stage_id, known.stage_id)
            return f"{name}, position {known.position}{lead}"
        return (known.place_id or "let in, on no stage yet") + lead

    def _state(self, ahead: VehicleAhead, name: str, blocked: Blocked | None) -> str:
        known = ahead.on_way.known
        if name in self._at_work:
            return f"at work: {', '.join(known.trades)}" if known.trades else "at work, or drying"
        if blocked is not None:
            return f"held: {blocked.cause.value}"
        if name in self._moves:
            return self._moves[name].what if self._moves[name].what != "move" else "free to go"
        return "done here" if known.finished else "may be worked on"


def _outside(one: VehicleStanding) -> tuple[str, datetime | None]:
    if one.phase is Phase.AT_GATE:
        return "at the gate", one.arrived_at
    if one.phase is Phase.CALLED:
        return f"at depot {one.depot_id}" if one.depot_id else "at its depot", None
    last = one.visits[-1].released_at if one.visits else None
    return f"in service, depot {one.depot_id}" if one.depot_id else one.phase.value, last


def _progress(paper: DayPaper, ahead: VehicleAhead) -> tuple[int, int]:
    """Stages passed and all stages of the vehicle's own way, its lead's leg included."""
    way, on_way = paper.today.seen.all_ways[ahead.on_way.type_id], ahead.on_way
    lead = next(iter(way.parts.values()), ())
    before = 0
    if on_way.married:
        before = len(way.before) + len(lead)
    elif on_way.known.piece.assembly_id != WHOLE:
        before = len(way.before)
    passed = before + on_way.place + (1 if on_way.passed else 0)
    return max(0, passed), len(way.before) + len(lead) + len(way.after)
