"""Work at the stages: what passed at first, what hours it took beside the standard ones.

Hours are summed by stage and trade, never by person: job-card times are not for ranking people.
"""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, datetime

from pacewright.events.gate import Released
from pacewright.events.identity import Married, Parted
from pacewright.events.record import Attended
from pacewright.events.stages import Failed, Moved, StageFinished, Stored, WorkEnded
from pacewright.events.things import WHOLE, Piece
from pacewright.events.units import Reconditioned
from pacewright.life.cells import Cell, Counted, Ratio
from pacewright.life.inspections import Inspections
from pacewright.life.whereabouts import Heard, Whereabouts
from pacewright.life.working_time import week_of
from pacewright.parts.tables import Campaign, Operation
from pacewright.works import Works

Crew = tuple[str, str]


@dataclass(slots=True)
class _Trade:
    """Hours of a trade at the stage where a piece stands; ``whole``: every time was told."""

    hours: float = 0.0
    whole: bool = True
    at: datetime = datetime.min


@dataclass(slots=True)
class _AtStage:
    stage_id: str
    failed: bool = False
    finished: bool = False
    trades: dict[str, _Trade] = field(default_factory=dict)


class StageWork:
    """First passes, hours taken against standard ones, standard hours earned week by week.

    Parameters
    ----------
    works : its stages, operations and unit kinds.
    where : which type a piece is of.
    inspections : what was found needed, which makes the standard hours of one piece.
    """

    def __init__(self, works: Works, where: Whereabouts, inspections: Inspections) -> None:
        self.first_pass: dict[Cell, Counted] = {}
        self.hours: defaultdict[tuple[str, str], Ratio] = defaultdict(Ratio)
        self.earned: defaultdict[Crew, defaultdict[int, float]] = defaultdict(
            lambda: defaultdict(float)
        )
        self.attended: dict[tuple[str, str, date], float] = {}
        self._where, self._inspections = where, inspections
        self._shop = {one.stage_id: one.shop_id for one in works.stages}
        self._kind_shop = {one.unit_kind_id: one.shop_id for one in works.unit_kinds}
        self._at_stage: defaultdict[tuple[str, str], list[Operation]] = defaultdict(list)
        self._on_kind: defaultdict[str, list[Operation]] = defaultdict(list)
        for one in works.operations:
            if one.stage_id is not None:
                self._at_stage[one.stage_id, one.trade_id].append(one)
            elif one.unit_kind_id is not None:
                self._on_kind[one.unit_kind_id].append(one)
        self._campaigns: defaultdict[tuple[str, str], list[Campaign]] = defaultdict(list)
        for campaign in works.campaigns:
            self._campaigns[campaign.stage_id, campaign.trade_id].append(campaign)
        self._now: dict[Piece, _AtStage] = {}

    def heard(self) -> Heard:
        """What it listens to."""
        return {
            Moved: self._moved,
            Stored: self._left,
            Parted: self._parted,
            Married: self._married,
            WorkEnded: self._work_ended,
            StageFinished: self._finished,
            Failed: self._failed,
            Released: self._released,
            Reconditioned: self._made_good,
            Attended: self._attended,
        }

    def forget(self, cell: Cell) -> None:
        """What was counted is in the table now."""
        self.first_pass.pop(cell, None)
        if cell.table == "people":
            crew = tuple(cell.row.split(" ", 1))
            self._forget_crew(crew[0], crew[1], cell.column)
        elif cell.column == "standard_hours":
            for (stage, trade), operations in self._at_stage.items():
                if any(one.operation_id == cell.row for one in operations):
                    self.hours.pop((stage, trade), None)

    def _forget_crew(self, shop: str, trade: str, column: str) -> None:
        if column == "shown_hours_a_week":
            self.earned.pop((shop, trade), None)
        elif column == "attendance_share":
            for key in [one for one in self.attended if one[:2] == (shop, trade)]:
                del self.attended[key]
        elif column == "performance":
            for place in [one for one in self.hours if self.crew_of(one) == (shop, trade)]:
                del self.hours[place]

    def crew_of(self, place: tuple[str, str]) -> Crew:
        """Shop and trade of (stage, trade)."""
        return self._shop[place[0]], place[1]

    def _moved(self, event: Moved) -> None:
        self._leaves(event.piece)
        self._now[event.piece] = _AtStage(event.stage_id)

    def _left(self, event: Stored) -> None:
        self._leaves(event.piece)

    def _parted(self, event: Parted) -> None:
        self._leaves(Piece(WHOLE, event.vehicle_id))

    def _married(self, event: Married) -> None:
        for piece in event.pieces:
            self._leaves(piece)

    def _released(self, event: Released) -> None:
        self._leaves(Piece(WHOLE, event.vehicle_id))

    def _work_ended(self, event: WorkEnded) -> None:
        here = self._now.get(event.piece)
        # What is done after a failure puts it right; it is no part of the standard.
        if here is None or here.stage_id != event.stage_id or here.failed:
            return
        trade = here.trades.get(event.trade_id)
        if trade is None:
            trade = here.trades[event.trade_id] = _Trade()
        trade.at = event.at
        if event.man_hours is None:
            trade.whole = False
        else:
            trade.hours += event.man_hours

    def _failed(self, event: Failed) -> None:
        self._first_result(event.piece, event.stage_id, event.at, passed=False)

    def _finished(self, event: StageFinished) -> None:
        self._first_result(event.piece, event.stage_id, event.at, passed=True)

    def _first_result(self, piece: Piece, stage_id: str, at: datetime, *, passed: bool) -> None:
        here = self._now.get(piece)
        if here is None or here.stage_id != stage_id or here.failed or here.finished:
            return
        here.failed, here.finished = not passed, passed
        cell = Cell("stages", stage_id, "first_pass_share")
        self.first_pass.setdefault(cell, Counted()).add(passed, at)

    def _leaves(self, piece: Piece) -> None:
        here = self._now.pop(piece, None)
        if here is None or here.stage_id not in self._shop:
            return
        for trade_id, work in here.trades.items():
            if (here.stage_id, trade_id) not in self._at_stage:
                continue
            # Hours booked where nothing was found needed count too, or the rest would look quick.
            standard = self._standard(piece, here.stage_id, trade_id)
            crew = self._shop[here.stage_id], trade_id
            self.earned[crew][week_of(work.at)] += standard
            if work.whole:
                self.hours[here.stage_id, trade_id].add(work.hours, standard, work.at.date())

    def _standard(self, piece: Piece, stage_id: str, trade_id: str) -> float:
        """Standard hours of a trade's work on one piece: as found, else by the share."""
        type_id = self._where.type_of(piece)
        place = stage_id, trade_id
        hours = self._campaign_hours(piece, place, type_id)
        for one in self._at_stage.get(place, ()):
            if one.type_id is not None and one.type_id != type_id:
                continue
            hours += one.standard_hours * self._done(
                one, self._inspections.needs(piece, one.operation_id)
            )
        return hours

    def _campaign_hours(self, piece: Piece, place: tuple[str, str], type_id: str) -> float:
        called = self._where.called_for.get(self._where.vehicle_of(piece))
        return sum(
            one.standard_hours
            for one in self._campaigns.get(place, ())
            if one.type_id == type_id and called and one.first <= called <= one.last
        )

    def _done(self, one: Operation, needed: bool | None) -> float:
        if one.must_change or needed:
            return 1.0
        return one.occurrence_share if needed is None else 0.0

    def _made_good(self, event: Reconditioned) -> None:
        shop = self._kind_shop.get(event.unit.unit_kind_id)
        if shop is None:
            return
        week = week_of(event.at)
        for one in self._on_kind.get(event.unit.unit_kind_id, ()):
            needed = self._inspections.unit_needs(event.unit, one.operation_id)
            self.earned[shop, one.trade_id][week] += one.standard_hours * self._done(one, needed)

    def _attended(self, event: Attended) -> None:
        self.attended[event.shop_id, event.trade_id, event.day] = event.hours
