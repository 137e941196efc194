"""The way of one vehicle through the works: stages done, now and to come, with their days."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from pacewright.control.marriage import VehicleAhead
from pacewright.control.way import Way
from pacewright.events.scan import code_of
from pacewright.events.stages import Failed, Moved, Redone, StageFinished
from pacewright.events.standing import PieceStanding
from pacewright.events.things import WHOLE, Event, Piece
from pacewright.office.desk import Desk
from pacewright.office.sheets.today_made import DayPaper
from pacewright.office.sheets.vehicle_story import story_of
from pacewright.reports.drawings.route_days import COMING, DONE, NOW, Bar, Lane, route_days
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.table import Table, day, table, text, whole
from pacewright.shops.tables import Stage

HOW = (
    "Done: from the record, first moved there to last finished. Now: since when it is there, and "
    "when the stage is expected to end. To come: by the schedule of the days ahead (positions, "
    "people, missing units; the earliest promise first), or by the critical path where the "
    "schedule has none. While it is in pieces, its other lanes show the assemblies that would be "
    "married to it: parts are interchangeable, so they may have come off others."
)


@dataclass(frozen=True, slots=True)
class Stop:
    """One stage on the way of one thing.

    Parameters
    ----------
    lane : the vehicle, or the assembly.
    piece : what passes it; empty: an assembly not parted off yet.
    state : done, now or coming.
    begins, ends : None: not told, or no date.
    failed : times it did not pass there.
    """

    lane: str
    stage_id: str
    name: str
    shop_id: str
    piece: str
    state: str
    begins: datetime | None
    ends: datetime | None
    failed: int = 0


@dataclass(slots=True)
class _Seen:
    """What the record tells of one piece at one stage."""

    begins: datetime
    ends: datetime | None = None
    failed: int = 0


class RouteOf:
    """Puts the stops of one vehicle inside together.

    Parameters
    ----------
    desk : for the record. ``paper`` : the day.
    ahead : what lies ahead of the vehicle.
    """

    def __init__(self, desk: Desk, paper: DayPaper, ahead: VehicleAhead) -> None:
        self._desk, self._paper, self._ahead = desk, paper, ahead
        self._way: Way = paper.today.seen.all_ways[ahead.on_way.type_id]
        self._vehicle_id = ahead.vehicle.vehicle_id
        self._planned = {
            (one.piece, one.stage_id): (one.begins, one.ends)
            for one in paper.today.schedule.planned
            if one.vehicle_id == self._vehicle_id
        }
        self._since = ahead.vehicle.arrived_at or ahead.vehicle.admitted_at

    def lanes(self) -> Iterator[tuple[str, list[Stop]]]:
        """Lanes in the order of the way: whole, each assembly, whole again."""
        whole = self._paper.standing.whole(self._vehicle_id)
        seen = self._seen(whole.piece)
        married = "after marriage" if self._way.after else ""
        yield "Whole vehicle", self._stops("vehicle", self._way.before, whole, seen)
        for assembly_id, leg in self._way.parts.items():
            pieces = self._pieces(assembly_id)
            for known in pieces or (None,):
                name = str(known.piece) if known is not None else self._to_come(assembly_id)
                told = self._seen(known.piece) if known is not None else {}
                yield name, self._stops(assembly_id, leg, known, told)
        if self._way.after:
            yield f"Whole vehicle, {married}", self._stops("vehicle", self._way.after, whole, seen)

    def _to_come(self, assembly_id: str) -> str:
        count = self._way.counts.get(assembly_id, 1)
        return f"{assembly_id}, not parted off yet" + (f" ({count})" if count > 1 else "")

    def _pieces(self, assembly_id: str) -> list[PieceStanding]:
        """The assemblies that are on it, carry its number, or would be married to it."""
        known = self._paper.standing.pieces
        vehicle = self._ahead.vehicle
        if self._ahead.on_way.married:
            on = self._paper.standing.parts_of(self._vehicle_id)[1:]
            return [known[one] for one in on if one.assembly_id == assembly_id]
        found = [known[vehicle.lead]] if vehicle.parted and vehicle.lead else []
        found += [
            known[one.piece]
            for one in self._paper.today.seen.assemblies.values()
            if one.goes_to == self._vehicle_id
        ]
        return [one for one in found if one.piece.assembly_id == assembly_id]

    def _seen(self, piece: Piece) -> dict[str, _Seen]:
        since = self._since
        if piece.assembly_id != WHOLE:
            since = self._paper.standing.pieces[piece].came_in or since
        return stages_seen(story_of(self._desk, code_of(piece), since), piece)

    def _stops(
        self,
        lane: str,
        leg: Sequence[Stage],
        known: PieceStanding | None,
        seen: Mapping[str, _Seen],
    ) -> list[Stop]:
        return [self._stop(lane, stage, known, seen.get(stage.stage_id)) for stage in leg]

    def _stop(
        self, lane: str, stage: Stage, known: PieceStanding | None, seen: _Seen | None
    ) -> Stop:
        state = self._state(stage, known)
        begins, ends = (seen.begins, seen.ends) if seen else (None, None)
        name = str(known.piece) if known is not None else ""
        if state != DONE:
            first, last = self._expected(lane, stage, known)
            begins, ends = (begins or first, last) if state == NOW else (first, last)
        failed = seen.failed if seen else 0
        return Stop(
            lane, stage.stage_id, stage.name, stage.shop_id, name, state, begins, ends, failed
        )

    def _state(self, stage: Stage, known: PieceStanding | None) -> str:
        if known is None:
            return COMING
        if known.stage_id == stage.stage_id:
            return DONE if known.finished and not known.failed else NOW
        if stage.stage_id in known.done or self._is_behind(stage, known):
            return DONE
        return COMING

    def _is_behind(self, stage: Stage, known: PieceStanding) -> bool:
        # Whole stages are behind once it was parted; an assembly's, once it is on a vehicle.
        if known.piece.assembly_id != WHOLE:
            return self._ahead.on_way.married
        parted = self._ahead.vehicle.parted or self._ahead.on_way.married
        return parted and stage in self._way.before

    def _expected(
        self, lane: str, stage: Stage, known: PieceStanding | None
    ) -> tuple[datetime | None, datetime | None]:
        name = str(known.piece) if known is not None else f"{lane} of {self._vehicle_id}"
        own = self._planned.get((name, stage.stage_id))
        if own is None and lane in (WHOLE, next(iter(self._way.parts), WHOLE)):
            # The schedule tells the whole way of the number under the piece that has it now.
            own = self._planned.get((str(self._ahead.on_way.known.piece), stage.stage_id))
        days = own or self._by_path(lane, stage, known)
        if days is None:
            return None, None
        clock = self._paper.today.seen.clock
        return clock.moment_of(days[0]), clock.end_of(days[1])

    def _by_path(
        self, lane: str, stage: Stage, known: PieceStanding | None
    ) -> tuple[float, float] | None:
        coming = list(self._ahead.coming)
        if known is not None and known.piece in self._paper.today.seen.assemblies:
            coming = list(self._paper.today.seen.assemblies[known.piece].coming)
        for one in coming:
            if one.stage_id == stage.stage_id:
                return one.begins, one.ends
        begins = self._ahead.parts_coming.get(lane, {}).get(stage.stage_id)
        if begins is None:
            return None
        return begins, begins + self._paper.today.seen.times[stage.stage_id].mean_days


def stages_seen(story: Iterable[Event], piece: Piece) -> dict[str, _Seen]:
    """Stage -> when a piece came there first, was last finished, and how often it failed."""
    found: dict[str, _Seen] = {}
    for event in story:
        if isinstance(event, Moved) and event.piece == piece:
            found.setdefault(event.stage_id, _Seen(event.at))
        elif isinstance(event, StageFinished | Redone) and event.piece == piece:
            found.setdefault(event.stage_id, _Seen(event.at)).ends = event.at
        elif isinstance(event, Failed) and event.piece == piece:
            found.setdefault(event.stage_id, _Seen(event.at)).failed += 1
    return found


def route_drawing(
    lanes: Sequence[tuple[str, Sequence[Stop]]],
    now: datetime,
    promises: tuple[date | None, date | None],
) -> Drawing:
    """The stops as a drawing."""
    drawn = [
        Lane(name, [Bar(one.name, one.state, one.begins, one.ends) for one in stops])
        for name, stops in lanes
    ]
    return route_days(drawn, now, promises)


def route_table(lanes: Sequence[tuple[str, Sequence[Stop]]]) -> Table:
    """The stops as rows."""
    return table(
        ("route", "Its way", "Stages in order, lane by lane."),
        (text("lane", "the vehicle, or the assembly"),
         text("piece", "what passes it; blank: not parted off yet"),
         text("stage_id", "stage"), text("name", "its name"), text("shop_id", "shop"),
         text("state", "done, now or coming"),
         day("begins", "day it came, or is expected to begin",
             lambda r: r.begins and r.begins.date()),
         day("ends", "day it was finished, or is expected to end",
             lambda r: r.ends and r.ends.date()),
         whole("failed", "times it did not pass there", "times")),
        [stop for _, stops in lanes for stop in stops],
    )  # fmt: skip
