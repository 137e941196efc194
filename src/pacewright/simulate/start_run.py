"""The plain engine's first moment when the record knows it."""

from pacewright.simulate.chance import Stream, beyond, quantile, whole_minutes
from pacewright.simulate.crew_work import CrewWork
from pacewright.simulate.flow_state import FlowState, Piece, Rank
from pacewright.simulate.shop_floor import ShopFloor
from pacewright.simulate.start_table import UNKNOWN, Stand, Way
from pacewright.simulate.unit_pipeline import UnitPipeline


class LiveBegin:
    """Puts pieces and units where the record knows them.

    Parameters
    ----------
    state, floor, pipeline, crews : the parts of the run.
    """

    def __init__(
        self, state: FlowState, floor: ShopFloor, pipeline: UnitPipeline, crews: CrewWork
    ) -> None:
        self.state = state
        self._floor, self._pipeline, self._crews = floor, pipeline, crews
        self._live = state.table.live

    def crews(self) -> None:
        """Who is there on the day under way."""
        if self._live.today >= 0:
            self._crews.morning(self._live.today)

    def units(self) -> None:
        """Units on their way to the pool."""
        for k, count in enumerate(self._live.scrapped.tolist()):
            self._pipeline.scrapped[k] = count
        away = self._live.away
        rows = (away.kind, away.key, away.way, away.minutes, away.share)
        for k, key, way, minutes, share in zip(*(one.tolist() for one in rows), strict=True):
            unit = key, 0
            match way:
                case Way.GATHERS:
                    self._pipeline.gather(k, unit)
                case Way.BOUGHT:
                    self._pipeline.due(k, Rank.BOUGHT_IN, minutes)
                case Way.OVERDUE:
                    u = self.state.chance(Stream.TURN, key, self.state.kind_key[k], 0)
                    left = self.state.exponential_minutes(minutes, u)
                    self._pipeline.due(k, Rank.MADE_GOOD, left)
                case _:
                    self._pipeline.goes_on(k, unit, way == Way.MAY_GO, (minutes, share))

    def pieces(self) -> None:
        """Pieces inside, in the order in which they came to where they are."""
        starts, pieces = self._live.starts, self.state.pieces
        for row, p in enumerate(starts.piece.tolist()):
            asks = starts.asks[row].tolist()
            pieces[p].known = {k: units for k, units in enumerate(asks) if units != UNKNOWN}
            late = starts.late[row].tolist()
            pieces[p].late = {k: units for k, units in enumerate(late) if units > 0}
            pieces[p].finished = int(starts.finished[row])
            pieces[p].more = int(starts.more[row])
        for row, p in enumerate(starts.piece.tolist()):
            self._stands(row, pieces[p], int(starts.step[row]))

    def _stands(self, row: int, piece: Piece, step: int) -> None:
        floor, starts = self._floor, self._live.starts
        match int(starts.stand[row]):
            case Stand.ASKS:
                floor.hold(piece, int(starts.held[row]))
                floor.ready(piece, step)
            case Stand.PARTED:
                floor.hold_together(piece, int(starts.held[row]))
                floor.ready(piece, step)
            case Stand.POSITIONED:
                floor.begin_at(piece, step)
                floor.ask(piece)
            case Stand.LACKS:
                floor.begin_at(piece, step)
                piece.left = self._left(row, piece)
                floor.ask(piece)
            case Stand.AT_WORK:
                floor.begin_at(piece, step)
                self._works(row, piece)
            case Stand.PASSED:
                floor.begin_at(piece, step)
                floor.go_on(piece)
            case Stand.WAITS:
                piece.step, piece.since = step, self.state.worked
                floor.go_on(piece)

    def _works(self, row: int, piece: Piece) -> None:
        """The work of the piece goes on: what is left of it, by the crews that are not done."""
        state, starts = self.state, self._live.starts
        piece.attempt = int(starts.attempt[row])
        if piece.attempt:
            piece.failed = state.worked
        piece.minutes = self._left(row, piece)
        self._floor.note_charged(piece, state.stage_of[piece.step])
        self._crews.resume(piece, int(starts.begun[row]), int(starts.ended[row]))

    def _left(self, row: int, piece: Piece) -> int:
        """What is left of the work that was begun [min]."""
        state, starts = self.state, self._live.starts
        stage = state.stage_of[piece.step]
        number = self._floor.draw_number(piece)
        key = state.vehicle_key[piece.vehicle]
        u = state.chance(Stream.STAGE_TIME, key, state.stage_key[stage], number)
        drawn = quantile(state.table.stages.minutes[stage], beyond(float(starts.share[row]), u))
        if piece.attempt:
            whole = int(state.table.stages.rectify_minutes[stage]) + whole_minutes(drawn)
        else:
            whole = self._floor.with_scope(piece, stage, drawn)
        return max(1, whole - int(starts.done_minutes[row]))
