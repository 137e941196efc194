"""A record as people write it: late, twice, with wrong serials, and mended afterwards."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from heapq import heappop, heappush
from random import Random

from pacewright.events.gate import OdometerRead
from pacewright.events.record import Attended, Corrected, Overridden
from pacewright.events.stages import Moved, StageFinished, WorkEnded
from pacewright.events.things import WHOLE, Event, Overridable, Piece, Unit
from pacewright.events.units import Fitted, Issued, Received, UnitEvent, UnitFound
from pacewright.events.written import write_event
from pacewright.invent.not_yet import NotYetWritten
from pacewright.invent.writers import writer_of
from pacewright.works import Works


class Meant(StrEnum):
    """What a record should say to a slip."""

    KEPT = "kept"
    KNOWN = "known"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Slip:
    """One thing written down.

    Parameters
    ----------
    event_id : its own; the same again when it is sent twice.
    event : what is told.
    recorded_by : who wrote it: a role and a number.
    written_at : when, works clock.
    meant : what a record should say to it.
    """

    event_id: str
    event: Event
    recorded_by: str
    written_at: datetime
    meant: Meant = Meant.KEPT


@dataclass(frozen=True, slots=True)
class Dirt:
    """How often something goes wrong, each as a share of the events it can happen to.

    Parameters
    ----------
    late : written hours or days afterwards.
    wrong : written first with a serial that is none.
    twice : sent twice.
    mended : hours written ten times too high, and corrected; no more than ``most_mended`` in all,
        since to mend a large record takes it a second.
    unfinished : the end of a stage not told, and the next step overridden.
    """

    late: float = 0.02
    wrong: float = 0.002
    twice: float = 0.001
    mended: float = 0.002
    unfinished: float = 0.01
    most_mended: int = 30


_LATE = (Attended, OdometerRead, Received, UnitFound)
_LATE_HOURS_MOST = 60
_MENDED_AFTER_HOURS = 3


def slips(
    events: Iterable[Event],
    works: Works,
    seed: int,
    dirt: Dirt | None = None,
    behind_from: datetime | None = None,
) -> Iterator[Slip]:
    """Events as they are written down.

    The order of writing is not the order of happening across things; of one thing it is. The same
    events, works and seed give the same slips.

    Parameters
    ----------
    events : what happened, in order of time.
    works : whose they are; its route says which ends of stages may be left out.
    seed : of what goes wrong.
    dirt : how often; None: as usual.
    behind_from : moves, issues and fittings from this moment on, and what follows them, are not
        written yet; None: all are.
    """
    not_yet = NotYetWritten(behind_from)
    written = (event for event in events if not not_yet.holds_back(event))
    return _Writing(works, Random(seed), dirt or Dirt()).write(written)


class _Writing:
    """Keeps what is not written yet."""

    def __init__(self, works: Works, chance: Random, dirt: Dirt) -> None:
        self._chance, self._dirt = chance, dirt
        self._serial = self._mistakes = 0
        self._skippable = _skippable(works)
        self._late: dict[Unit, list[Event]] = {}
        self._due: list[tuple[datetime, int, Event]] = []
        self._mending: list[tuple[datetime, int, Corrected]] = []
        self._unfinished: set[Piece] = set()

    def write(self, events: Iterable[Event]) -> Iterator[Slip]:
        """Every slip."""
        last = None
        for event in events:
            last = event
            yield from self._due_by(event.at)
            yield from self._one(event)
        if last is not None:
            yield from self._due_by(last.at + timedelta(days=30), last.at)

    def _slip(self, event: Event, at: datetime, meant: Meant = Meant.KEPT) -> Slip:
        self._serial += 1
        return Slip(f"e{self._serial:08d}", event, writer_of(event), at, meant)

    def _happens(self, share: float) -> bool:
        return self._chance.random() < share

    # -- late --------------------------------------------------------------------------------

    def _due_by(self, moment: datetime, at: datetime | None = None) -> Iterator[Slip]:
        """What is late and written by now."""
        while self._due and self._due[0][0] <= moment:
            due, _, event = heappop(self._due)
            if isinstance(event, UnitEvent):
                yield from self._of_unit(event.unit, at or due)
            else:
                yield self._slip(event, at or due)
        while self._mending and self._mending[0][0] <= moment:
            due, _, correction = heappop(self._mending)
            yield self._slip(replace(correction, at=at or due), at or due)

    def _of_unit(self, unit: Unit, at: datetime) -> Iterator[Slip]:
        for event in self._late.pop(unit, ()):
            yield self._slip(event, at)

    def _keeps(self, event: Event) -> None:
        self._serial += 1
        hours = 2 + int(_LATE_HOURS_MOST * self._chance.random())
        heappush(self._due, (event.at + timedelta(hours=hours), self._serial, event))
        if isinstance(event, UnitEvent):
            self._late.setdefault(event.unit, []).append(event)

    # -- one event ---------------------------------------------------------------------------

    def _one(self, event: Event) -> Iterator[Slip]:
        if isinstance(event, _LATE) and self._happens(self._dirt.late):
            self._keeps(event)
            return
        if isinstance(event, UnitEvent):
            yield from self._of_unit(event.unit, event.at)
        if isinstance(event, StageFinished) and self._left_out(event):
            self._unfinished.add(event.piece)
            return
        if isinstance(event, Moved) and event.piece in self._unfinished:
            self._unfinished.discard(event.piece)
            yield self._slip(_override(event), event.at)
        if isinstance(event, (Issued, Fitted, Moved)) and self._happens(self._dirt.wrong):
            yield self._slip(_wrong(event), event.at, Meant.REFUSED)
        if isinstance(event, WorkEnded) and event.man_hours and self._is_mistaken():
            yield self._mistaken(event, event.man_hours)
            return
        slip = self._slip(event, event.at)
        yield slip
        if self._happens(self._dirt.twice):
            yield replace(slip, meant=Meant.KNOWN)

    def _left_out(self, event: StageFinished) -> bool:
        return event.stage_id in self._skippable and self._happens(self._dirt.unfinished)

    def _is_mistaken(self) -> bool:
        return self._mistakes < self._dirt.most_mended and self._happens(self._dirt.mended)

    def _mistaken(self, event: WorkEnded, hours: float) -> Slip:
        self._mistakes += 1
        slip = self._slip(replace(event, man_hours=10 * hours), event.at)
        after = event.at + timedelta(hours=_MENDED_AFTER_HOURS)
        mends = Corrected(
            after, slip.event_id, (write_event(event),), "hours written ten times too high"
        )
        heappush(self._mending, (after, self._serial, mends))
        return slip


def _skippable(works: Works) -> frozenset[str]:
    """Stages of an assembly that one other stage of it follows, and nothing else does."""
    after: dict[str, list[str]] = {one.stage_id: [] for one in works.stages}
    assembly = {one.stage_id: one.assembly_id for one in works.stages}
    for one in works.stages:
        for earlier in one.follows:
            after[earlier].append(one.stage_id)
    return frozenset(
        one
        for one, later in after.items()
        if assembly[one] != WHOLE and len(later) == 1 and assembly[later[0]] == assembly[one]
    )


def _override(event: Moved) -> Overridden:
    return Overridden(
        event.at,
        event.piece,
        Overridable.ROUTE,
        "rest of the stage before is done here, a fixture stands idle otherwise",
        "shop superintendent 1",
    )


def _wrong(event: Issued | Fitted | Moved) -> Event:
    """The event with a serial as a hurried hand writes it."""
    if isinstance(event, Moved):
        return replace(event, piece=event.piece._replace(serial=f"{event.piece.serial}O"))
    return replace(event, unit=event.unit._replace(serial=f"{event.unit.serial}O"))
