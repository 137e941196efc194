"""The schedule of the days ahead: who stands where when, with positions and people as they are.

Every stay still ahead of the vehicles inside is put on a grid of quarter hours by the list rule:
the vehicle of the earliest promise first, each stay as early as a position and the people are
free, the units that go on are there, and no longest wait is broken.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from math import ceil, floor, isfinite

from pacewright.control.ahead import Ahead
from pacewright.control.along import StageAhead
from pacewright.control.charges import gathering_slots
from pacewright.control.hours import Work, able_hours_a_day, stage_hours
from pacewright.control.list_rule import Job, Latest, list_schedule
from pacewright.control.marriage import AssemblyAhead, VehicleAhead
from pacewright.control.shortages import Shortage
from pacewright.events.standing import Standing
from pacewright.events.things import WHOLE
from pacewright.shops.tables import Stage
from pacewright.works import Works

SLOTS_A_DAY = 32
GRID_DAYS = 120
"""Working days of the grid; what does not fit on it has no date."""
MOST_GATHERED = 4
"""Times the charges are gathered anew after what they hold up has moved."""
_NO_PROMISE = 1e9
_SAME = 1e-6


@dataclass(frozen=True, slots=True)
class Planned:
    """One stay of the schedule [clock].

    Parameters
    ----------
    works_from : when its work begins: later than ``begins`` where it stands until its charge is
        full, or until the morning.
    waits_for : unit kind without which it cannot begin earlier; empty: none.
    people_short : True when a trade it needs has fewer people than it asks: it takes all there are
        and may last longer.
    """

    stage_id: str
    shop_id: str
    piece: str
    vehicle_id: str
    begins: float
    works_from: float
    ends: float
    begun: bool
    waits_for: str
    people_short: bool


@dataclass(frozen=True)
class Schedule:
    """All stays that fit on the grid, in order of time.

    ``ready_day`` : vehicle -> end of its last stage; left out: no date on the grid.
    """

    planned: tuple[Planned, ...]
    ready_day: Mapping[str, float]

    def of_shop(self, shop_id: str, until: float) -> tuple[Planned, ...]:
        """What a shop begins or has in hand until a day of the clock."""
        return tuple(one for one in self.planned if one.shop_id == shop_id and one.begins < until)


@dataclass(frozen=True, slots=True)
class _Stay:
    """A stay to be placed: the job's own facts, before it is a job."""

    name: str
    vehicle_id: str
    type_id: str
    stage: Stage
    length: float
    begun: bool
    after: tuple[int, ...]
    follows_at_once: bool


def schedule(works: Works, standing: Standing, seen: Ahead, short: Sequence[Shortage]) -> Schedule:
    """The schedule of everything inside.

    Parameters
    ----------
    short : the shortage list; a stage whose units are short begins when they are expected, and
        where none is in sight after the end of the days looked ahead.

    Equations
    ---------
    A stay takes one position, and of each trade (standard hours / hours of the stay) people of
    its shop; there are (hours able a day / hours of the shop's day) at any time. Rank: current
    promise of the vehicle, then its ready day by the critical path.
    """
    return _Scheduler(works, standing, seen, short).made()


class _Scheduler:
    def __init__(
        self, works: Works, standing: Standing, seen: Ahead, short: Sequence[Shortage]
    ) -> None:
        self._works, self._standing, self._seen = works, standing, seen
        self._stages = {one.stage_id: one for one in works.stages}
        self._able = self._what_is_there()
        self._waits = {
            (one.piece, one.fit_stage_id): one
            for one in sorted(short, key=lambda one: one.days_late)
        }
        self._hours: dict[tuple[str, str], dict[str, float]] = {}
        self._stays: list[_Stay] = []

    def made(self) -> Schedule:
        last = dict(self._chains())
        holds: dict[int, int] = {}
        for _ in range(1 + MOST_GATHERED):
            jobs, ends = self._jobs(holds)
            starts = list_schedule(jobs, self._able, GRID_DAYS * SLOTS_A_DAY)
            before, holds = holds, self._gathered(ends, starts)
            if holds == before:
                break
        planned = [
            self._planned(stay, (jobs[ends[place]], starts[ends[place]] or 0), begins)
            for place, stay in enumerate(self._stays)
            if (begins := starts[ends[place] - self._gathers(stay)]) is not None
        ]
        ready = {}
        for vehicle_id, place in last.items():
            start = starts[ends[place]] if place >= 0 else 0
            if start is not None:
                end = start + (jobs[ends[place]].slots if place >= 0 else 0)
                ready[vehicle_id] = self._day(end)
        return Schedule(tuple(sorted(planned, key=lambda one: (one.begins, one.piece))), ready)

    def _gathers(self, stay: _Stay) -> bool:
        return stay.stage.batch_size > 1 and not stay.begun

    def _jobs(self, holds: Mapping[int, int]) -> tuple[list[Job], list[int]]:
        """Every stay as a job, one that gathers as two: it stands, then the charge begins.

        Gives the jobs, and the place of the last job of each stay.
        """
        jobs: list[Job] = []
        ends: list[int] = []
        for place, stay in enumerate(self._stays):
            job = replace(self._job(stay), after=tuple(ends[one] for one in stay.after))
            if self._gathers(stay):
                position = f"position {stay.stage.stage_id}"
                jobs.append(replace(job, slots=holds.get(place, 0), uses={position: 1.0}))
                job = replace(job, after=(len(jobs) - 1,), earliest=0, within=_at_once)
            jobs.append(job)
            ends.append(len(jobs) - 1)
        return jobs, ends

    def _gathered(self, ends: Sequence[int], starts: Sequence[int | None]) -> dict[int, int]:
        """Place of each stay that gathers -> how long it stands before its charge [slots]."""
        there: dict[str, dict[int, int]] = {}
        for place, stay in enumerate(self._stays):
            if self._gathers(stay) and (start := starts[ends[place] - 1]) is not None:
                there.setdefault(stay.stage.stage_id, {})[place] = start
        found: dict[int, int] = {}
        for stage_id, arrivals in there.items():
            stage = self._stages[stage_id]
            size = min(stage.batch_size, stage.positions)
            found |= gathering_slots(arrivals, size, self._next_morning)
        return found

    def _next_morning(self, slot: int) -> int:
        day = floor(self._day(slot) + _SAME) + 1
        return ceil((day - self._seen.now_day) * SLOTS_A_DAY - _SAME)

    def _what_is_there(self) -> dict[str, float]:
        able = {f"position {one.stage_id}": float(one.positions) for one in self._works.stages}
        for stage_id, number in self._standing.out_of_use:
            key = f"position {stage_id}"
            if key in able and number <= self._stages[stage_id].positions:
                able[key] -= 1
        hours_a_day = self._works.shop_hours_a_day
        for crew, hours in able_hours_a_day(self._works).items():
            able[_people(crew)] = hours / hours_a_day[crew.shop_id]
        return able

    def _chains(self) -> Iterator[tuple[str, int]]:
        # Enters every stay; gives the place of each vehicle's last one, -1 when it is ready now.
        ends: dict[str, list[int]] = {}
        for loose in self._seen.assemblies.values():
            end = self._chain(loose, loose.goes_to, loose.coming, ())
            if loose.goes_to and end >= 0:
                ends.setdefault(loose.goes_to, []).append(end)
        for vehicle_id, one in self._seen.vehicles.items():
            if not isfinite(one.ready_day):
                continue
            yield vehicle_id, self._vehicle(vehicle_id, one, ends.get(vehicle_id, []))

    def _vehicle(self, vehicle_id: str, one: VehicleAhead, loose_ends: list[int]) -> int:
        way = self._seen.all_ways[one.on_way.type_id]
        after_ids = {stage.stage_id for stage in way.after}
        lead_ids = {stage.stage_id for stage in next(iter(way.parts.values()), ())}
        whole = [r for r in one.coming if r.stage_id not in after_ids | lead_ids]
        lead = [r for r in one.coming if r.stage_id in lead_ids]
        later = [r for r in one.coming if r.stage_id in after_ids]
        parting = self._chain(one, vehicle_id, whole, ())
        start = (parting,) if parting >= 0 else ()
        ends = [self._chain(one, vehicle_id, lead, start), parting, *loose_ends]
        for assembly_id in list(way.parts)[1:] if one.parts_coming else ():
            ends += [
                self._not_parted_yet(one, vehicle_id, assembly_id, start)
                for _ in range(way.counts[assembly_id])
            ]
        after = tuple(end for end in ends if end >= 0)
        return self._chain(one, vehicle_id, later, after) if later else max(ends)

    def _chain(
        self,
        one: VehicleAhead | AssemblyAhead,
        vehicle_id: str,
        rows: Sequence[StageAhead],
        after: tuple[int, ...],
    ) -> int:
        now = self._seen.now_day
        legs = [
            (self._stages[row.stage_id], row.ends - (now if row.begun else row.begins), row.begun)
            for row in rows
        ]
        who = (str(one.on_way.known.piece), vehicle_id, one.on_way.type_id)
        return self._enter(who, legs, after)

    def _not_parted_yet(
        self, one: VehicleAhead, vehicle_id: str, assembly_id: str, after: tuple[int, ...]
    ) -> int:
        way = self._seen.all_ways[one.on_way.type_id]
        legs = [
            (stage, self._seen.times[stage.stage_id].mean_days, False)
            for stage in way.parts[assembly_id]
        ]
        who = (f"{assembly_id} of {vehicle_id}", vehicle_id, one.on_way.type_id)
        return self._enter(who, legs, after)

    def _enter(
        self,
        who: tuple[str, str, str],
        legs: Sequence[tuple[Stage, float, bool]],
        after: tuple[int, ...],
    ) -> int:
        # One stay after another; gives the place of the last, -1 when there is none.
        place = -1
        for stage, length, begun in legs:
            glued = place >= 0 and stage.longest_wait_hours is not None
            self._stays.append(_Stay(*who, stage, length, begun, after, glued))
            place = len(self._stays) - 1
            after = (place,)
        return place

    def _job(self, stay: _Stay) -> Job:
        length, earliest = stay.length, 0.0
        short = self._short(stay)
        if short is not None:
            day = short.expected_day
            day = day if day is not None else short.needed_day + short.days_late
            earliest = max(0.0, day - self._seen.now_day)
            if stay.begun:
                # What stands there for a part stays at least until the part is there.
                length, earliest = max(length, earliest), 0.0
        return Job(
            slots=ceil(max(0.0, length) * SLOTS_A_DAY - _SAME),
            uses=self._uses(stay),
            after=stay.after,
            earliest=ceil(earliest * SLOTS_A_DAY - _SAME),
            rank=self._rank(stay),
            within=self._within(stay.stage) if stay.follows_at_once else None,
            fixed=stay.begun,
        )

    def _short(self, stay: _Stay) -> Shortage | None:
        number = f"{WHOLE} {stay.vehicle_id}"
        key = stay.stage.stage_id
        return self._waits.get((stay.name, key)) or self._waits.get((number, key))

    def _uses(self, stay: _Stay) -> dict[str, float]:
        stage = stay.stage
        uses = {f"position {stage.stage_id}": 1.0}
        hours = self._seen.times[stage.stage_id].mean_days
        hours *= self._works.shop_hours_a_day[stage.shop_id]
        key = stage.stage_id, stay.type_id
        if key not in self._hours:
            self._hours[key] = stage_hours(self._works, *key)
        for trade_id, needed in self._hours[key].items():
            people = _people(Work(stage.shop_id, trade_id))
            if people in self._able:
                uses[people] = needed / hours
        return uses

    def _rank(self, stay: _Stay) -> tuple[float, ...]:
        vehicle = self._standing.vehicles.get(stay.vehicle_id)
        promise = vehicle.promise.toordinal() if vehicle and vehicle.promise else _NO_PROMISE
        one = self._seen.vehicles.get(stay.vehicle_id)
        return (promise, one.ready_day if one else _NO_PROMISE)

    def _within(self, stage: Stage) -> Latest:
        # The longest wait runs by the clock on the wall: nights and weekends count.
        clock = self._seen.clock
        wait = timedelta(hours=stage.longest_wait_hours or 0.0)

        def latest(end: int) -> int:
            moment = clock.end_of(self._day(end))
            if moment is None:
                return GRID_DAYS * SLOTS_A_DAY
            day = clock.day_of(moment + wait) - self._seen.now_day
            return max(end, int(day * SLOTS_A_DAY + _SAME))

        return latest

    def _day(self, slot: int) -> float:
        return self._seen.now_day + slot / SLOTS_A_DAY

    def _planned(self, stay: _Stay, work: tuple[Job, int], start: int) -> Planned:
        job, works_from = work
        short = self._short(stay)
        held = short is not None and (stay.begun or start == self._job(stay).earliest)
        return Planned(
            stage_id=stay.stage.stage_id,
            shop_id=stay.stage.shop_id,
            piece=stay.name,
            vehicle_id=stay.vehicle_id,
            begins=self._day(start),
            works_from=self._day(works_from),
            ends=self._day(works_from + job.slots),
            begun=stay.begun,
            waits_for=short.unit_kind_id if held and short else "",
            people_short=any(
                amount > self._able[key] + _SAME
                for key, amount in job.uses.items()
                if not key.startswith("position ")
            ),
        )


def _at_once(end: int) -> int:
    return end


def _people(key: Work) -> str:
    return f"people {key.shop_id} {key.trade_id}"
