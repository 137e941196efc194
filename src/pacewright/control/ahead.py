"""What lies ahead of each vehicle inside: when a coming stage would begin, when it is ready.

Each piece is sent along what remains of its route by the critical path, stage after stage, with
the mean time of each stage and, when the line is given, the mean wait before it. Assemblies come
to marriage any to any: the first vehicle whose lead is done takes the first assemblies done.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import NamedTuple

from pacewright.control.along import Along, mean_waits
from pacewright.control.clock import WorksClock, clock_of
from pacewright.control.marriage import AssemblyAhead, Marriages, VehicleAhead
from pacewright.control.way import Way, loose_assemblies, loose_on_way, vehicle_on_way, ways
from pacewright.events.standing import Standing
from pacewright.events.things import Piece
from pacewright.pace.stage_times import StageTime, stage_time
from pacewright.plans.line import Line
from pacewright.works import Works


class Stay(NamedTuple):
    """One piece on one position, now or to come [clock]."""

    stage_id: str
    type_id: str
    piece: str
    begins: float
    ends: float
    begun: bool


@dataclass(frozen=True)
class Ahead:
    """All that is inside and what lies ahead of it.

    Parameters
    ----------
    now, now_day : the moment, and on the clock.
    vehicles, assemblies : by vehicle number; loose ones by name.
    all_ways : vehicle type -> way.
    times, positions : stage -> time on a position, and how many positions.
    waits_from : where the mean waits come from: ``the line of the plan`` or ``no waits``.
    """

    now: datetime
    now_day: float
    clock: WorksClock
    all_ways: Mapping[str, Way]
    times: Mapping[str, StageTime]
    positions: Mapping[str, int]
    vehicles: Mapping[str, VehicleAhead]
    assemblies: Mapping[Piece, AssemblyAhead]
    waits_from: str

    @property
    def everything(self) -> tuple[VehicleAhead | AssemblyAhead, ...]:
        """Every vehicle, then every loose assembly."""
        return (*self.vehicles.values(), *self.assemblies.values())

    @cached_property
    def parted_from(self) -> dict[str, list[AssemblyAhead]]:
        """Vehicle number -> loose assemblies last parted from it."""
        found: dict[str, list[AssemblyAhead]] = {}
        for one in self.assemblies.values():
            found.setdefault(one.on_way.known.came_from, []).append(one)
        return found

    @cached_property
    def stays(self) -> tuple[Stay, ...]:
        """Every stay on a position, now or to come, those of pieces not parted off yet too."""
        return tuple(stay for one in self.everything for stay in self._stays(one))

    def _stays(self, one: VehicleAhead | AssemblyAhead) -> Iterator[Stay]:
        type_id, name = one.on_way.type_id, str(one.on_way.known.piece)
        for row in one.coming:
            yield Stay(row.stage_id, type_id, name, row.begins, row.ends, row.begun)
        if isinstance(one, AssemblyAhead) or not one.parts_coming:
            return
        way = self.all_ways[type_id]
        # The lead's own stages are among those coming.
        for assembly_id in list(way.parts)[1:]:
            name = f"{assembly_id} of {one.vehicle.vehicle_id}"
            for stage_id, begins in one.parts_coming[assembly_id].items():
                ends = begins + self.times[stage_id].mean_days
                for _ in range(way.counts[assembly_id]):
                    yield Stay(stage_id, type_id, name, begins, ends, False)

    @cached_property
    def begins_at(self) -> dict[str, list[tuple[float, str]]]:
        """Stage -> (begin, vehicle or assembly) of all that are there or to come, in order."""
        found: dict[str, list[tuple[float, str]]] = {}
        for one in self.stays:
            found.setdefault(one.stage_id, []).append((one.begins, one.piece))
        return {stage_id: sorted(rows) for stage_id, rows in found.items()}

    def days_from_now(self, day: float) -> float:
        """Working days from now to a day of the clock."""
        return day - self.now_day


def ahead(works: Works, standing: Standing, now: datetime, line: Line | None = None) -> Ahead:
    """What lies ahead of every vehicle and assembly inside.

    Parameters
    ----------
    works : stages, their hours, the calendar.
    standing : where everything stands.
    now : moment of the works clock to which the standing belongs.
    line : line of a plan, for the mean wait before each stage; None: no waits.

    Equations
    ---------
    Mean time of a stage (a + 4m + b) / 6 of its three estimates (Malcolm and others 1959). Of a
    stage under way for t: each estimate is raised to t at least, the mean taken and t taken off.
    """
    clock = clock_of(works, now)
    times = {
        one.stage_id: stage_time(one, works.shop_hours_a_day[one.shop_id]) for one in works.stages
    }
    looker = Along(clock, clock.day_of(now), times, mean_waits(works, line))
    all_ways = ways(works)
    loose = [loose_on_way(standing, one, all_ways) for one in loose_assemblies(standing)]
    vehicles = [
        (one, vehicle_on_way(standing, one, all_ways[one.type_id]))
        for one in standing.inside()
        if one.type_id in all_ways
    ]
    brought_together = Marriages(looker, all_ways, loose, vehicles)
    return Ahead(
        now=now,
        now_day=looker.now_day,
        clock=clock,
        all_ways=all_ways,
        times=times,
        positions={one.stage_id: one.positions for one in works.stages},
        vehicles={one.vehicle.vehicle_id: one for one in brought_together.vehicles()},
        assemblies={one.piece: one for one in brought_together.assemblies()},
        waits_from="the line of the plan" if line else "no waits",
    )
