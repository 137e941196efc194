"""A run of the flow simulation told as events of the record, and folded: for tests of live starts.

It is told by the draws themselves, so that every unit made good is the one that was: which unit a
row of the run means is reckoned from its own turn time, not guessed in order of age. Only what the
works of these tests do is told: no robbing, no second site, no upsets, units fitted to the vehicle.
"""

from collections import defaultdict, deque
from collections.abc import Iterator
from datetime import date, datetime, timedelta

import numpy as np

from pacewright.events.codes import Code
from pacewright.events.fold import take
from pacewright.events.gate import Admitted, Arrived, Promised, Released
from pacewright.events.identity import Married, Parted
from pacewright.events.stages import (
    Failed,
    Moved,
    Rectified,
    Redone,
    StageFinished,
    Stored,
    WorkEnded,
    WorkStarted,
)
from pacewright.events.standing import Standing
from pacewright.events.things import WHOLE, Condition, Event, Piece, Unit
from pacewright.events.units import (
    Fitted,
    Purchased,
    Reconditioned,
    Removed,
    Scrapped,
    Sent,
    UnitEntered,
)
from pacewright.simulate.calendars import Clock
from pacewright.simulate.chance import Stream, base_of, draw, quantile, whole_minutes
from pacewright.simulate.run import Run
from pacewright.simulate.table import FlowTable
from pacewright.works import Works


class RowsTold:
    """Follows the rows of a run and tells them.

    Parameters
    ----------
    works, table, run : a works without robbing, sites and upsets, started empty; its run with rows.
    monday : day 0 of the table.
    promise_days : first promise, days from admission; None: none is made.
    """

    def __init__(
        self,
        works: Works,
        table: FlowTable,
        run: Run,
        monday: date,
        promise_days: int | None = None,
    ) -> None:
        self.works, self.table, self.run = works, table, run
        self.start = datetime.combine(monday, datetime.min.time())
        self.promise_days = promise_days
        self.standing = Standing()
        self.events: list[Event] = []
        self._base = base_of(run.seed, run.replication)
        self._clock = Clock.of(table.days)
        self._names = table.names
        self._stage: dict[Piece, str] = {}
        self._failed: set[Piece] = set()
        self._last = Piece(WHOLE, "none")
        self._parted: set[int] = set()
        self._store: dict[tuple[int, str], deque[Piece]] = defaultdict(deque)
        self._marrying: list[Piece] = []
        self._gathered: list[deque[tuple[Unit, int, int]]] = [deque() for _ in works.unit_kinds]
        self._due: list[list[tuple[int, int, Unit]]] = [[] for _ in works.unit_kinds]
        self._pool: list[deque[Unit]] = [deque() for _ in works.unit_kinds]
        self._bought = 0
        events = run.events
        assert events is not None
        columns = (events.time, events.code, events.vehicle, events.place, events.amount)
        self._rows = iter(list(zip(*(one.tolist() for one in columns), strict=True)))
        self._next: tuple[int, int, int, int, int] | None = None
        self._enter_floats()

    def moment(self, minute: int) -> datetime:
        """Works time of a minute of the run."""
        return self.start + timedelta(minutes=minute)

    def until(self, minute: int) -> Standing:
        """The standing after everything before ``minute``; later minutes only."""
        while True:
            row = self._next or next(self._rows, None)
            self._next = row
            if row is None or row[0] >= minute:
                return self.standing
            self._next = None
            for event in self._told(*row):
                self._tell(event)

    def _tell(self, event: Event) -> None:
        take(self.standing, event)
        self.events.append(event)

    def _enter_floats(self) -> None:
        at = self.moment(self.table.days.start)
        for k, count in enumerate(self.table.kinds.serviceable.tolist()):
            for n in range(count):
                unit = Unit(self._names.kinds[k], f"float-{n}")
                self._tell(UnitEntered(at, unit, Condition.SERVICEABLE, "store"))
                self._pool[k].append(unit)

    def name(self, v: int) -> str:
        """The number of a vehicle of the run."""
        return self._names.vehicles[v].replace("/", "-")

    def pieces(self, v: int) -> list[Piece]:
        """Assemblies of a vehicle, the leading one first, as the run numbers them."""
        type_id = self._names.types[int(self.table.vehicles.type[v])]
        rows = [one for one in self.works.assemblies if one.type_id == type_id]
        order = sorted(rows, key=lambda one: self._assembly_order(type_id, one.assembly_id))
        return [
            Piece(one.assembly_id, f"{self.name(v)}-{n}" if one.count > 1 else self.name(v))
            for one in order
            for n in range(one.count)
        ]

    def _assembly_order(self, type_id: str, assembly_id: str) -> int:
        name = f"{type_id} {assembly_id}"
        others = self._names.assemblies
        return others.index(name) + 1 if name in others else 0

    def piece(self, v: int, number: int) -> Piece:
        """What a row of a vehicle and a piece number is about now."""
        # An assembly may still be on its way when its vehicle goes on with those of others.
        apart = number > 0 or v in self._parted
        return self.pieces(v)[number] if apart else Piece(WHOLE, self.name(v))

    def _told(self, minute: int, code: int, v: int, place: int, amount: int) -> Iterator[Event]:
        at = self.moment(minute)
        match code:
            case Code.ARRIVED:
                type_id = self._names.types[int(self.table.vehicles.type[v])]
                yield Arrived(at, self.name(v), type_id)
            case Code.ADMITTED:
                yield Admitted(at, self.name(v))
                if self.promise_days is not None:
                    day = at.date() + timedelta(days=self.promise_days)
                    yield Promised(at, self.name(v), day)
            case Code.RELEASED:
                yield Released(at, self.name(v), "I. Invented")
            case Code.PARTED:
                self._parted.add(v)
                pieces = tuple(self.pieces(v))
                for one in pieces:
                    self._stage[one] = self._names.stages[place]
                yield Parted(at, self.name(v), pieces)
            case Code.MARRIED:
                yield from self._married(at, v, amount)
            case Code.REMOVED | Code.SENT | Code.BOUGHT | Code.SERVICEABLE | Code.FITTED:
                yield from self._units(at, minute, code, v, place, amount)
            case _ if v >= 0:
                yield from self._stages(at, code, self.piece(v, amount), v, place)

    def _stages(self, at: datetime, code: int, one: Piece, v: int, place: int) -> Iterator[Event]:
        match code:
            case Code.POSITIONED:
                stage_id = self._names.stages[place]
                self._stage[one] = stage_id
                number = 1
                while (stage_id, number) in self.standing.occupied:
                    number += 1
                yield Moved(at, one, stage_id, number)
            case Code.STARTED if place >= 0:
                yield WorkStarted(at, one, self._stage[one], self.works.people[place].trade_id)
            case Code.ENDED if place >= 0:
                yield WorkEnded(at, one, self._stage[one], self.works.people[place].trade_id)
            case Code.FAILED:
                self._failed.add(one)
                yield Failed(at, one, self._stage[one])
            case Code.REDONE:
                yield Redone(at, one, self._stage[one])
            case Code.FINISHED:
                self._last = one
                if one in self._failed:
                    self._failed.discard(one)
                    yield Rectified(at, one, self._stage[one])
                yield StageFinished(at, one, self._stage[one])
            case Code.STORED:
                t = int(self.table.vehicles.type[v])
                self._store[t, one.assembly_id].append(one)
                yield Stored(at, one, "floor")

    def _married(self, at: datetime, v: int, _: int) -> Iterator[Event]:
        mine = self.pieces(v)
        t = int(self.table.vehicles.type[v])
        wanted = mine[1 + len(self._marrying)].assembly_id
        self._marrying.append(self._store[t, wanted].popleft())
        if len(self._marrying) == len(mine) - 1:
            self._parted.discard(v)
            others, self._marrying = tuple(self._marrying), []
            yield Married(at, self.name(v), (mine[0], *others))

    # -- units ---------------------------------------------------------------------------------

    def _chance(self, stream: Stream, key: int, k: int, j: int) -> float:
        return draw(self._base, stream, key, int(self.table.kinds.key[k]), j)

    def _units(
        self, at: datetime, minute: int, code: int, v: int, k: int, amount: int
    ) -> Iterator[Event]:
        kind = self.works.unit_kinds[k]
        match code:
            case Code.REMOVED:
                key = int(self.table.vehicles.key[v])
                units = [f.per_vehicle for f in self.works.fits if f.unit_kind_id == self._kind(k)]
                share = float(self.table.kinds.removal_share[k])
                off = [
                    j for j in range(units[0]) if self._chance(Stream.REMOVED, key, k, j) < share
                ]
                assert len(off) == amount
                for j in off:
                    unit = Unit(self._kind(k), f"{self.name(v)}-{j}")
                    self._gathered[k].append((unit, key, j))
                    yield Removed(at, unit, self._last)
            case Code.SENT:
                for _ in range(amount):
                    unit, key, j = self._gathered[k].popleft()
                    yield Sent(at, unit, kind.shop_id)
                    if self._chance(Stream.SCRAP, key, k, j) < kind.scrap_share:
                        yield Scrapped(at, unit)
                    else:
                        turn = quantile(
                            self.table.kinds.turn[k], self._chance(Stream.TURN, key, k, j)
                        )
                        due = self._clock.end_of_work(0, minute, whole_minutes(turn))
                        self._due[k].append((due, len(self._due[k]), unit))
            case Code.BOUGHT:
                self._bought += 1
                unit = Unit(self._kind(k), f"new-{self._bought}")
                self._pool[k].append(unit)
                yield Purchased(at, unit, "store")
            case Code.SERVICEABLE:
                found = min(self._due[k])
                self._due[k].remove(found)
                assert found[0] == minute or self.table.kinds.benches[k]
                self._pool[k].append(found[2])
                yield Reconditioned(at, found[2], kind.shop_id)
            case Code.FITTED:
                for _ in range(amount):
                    yield Fitted(at, self._pool[k].popleft(), self.piece(v, 0))

    def _kind(self, k: int) -> str:
        return self._names.kinds[k]


def release_moments(told: RowsTold) -> dict[str, datetime]:
    """Vehicle -> when the run released it."""
    released = told.run.released
    return {told.name(int(v)): told.moment(int(released[v])) for v in np.flatnonzero(released >= 0)}
