"""The judge of the route: every way through a vehicle's pieces, walked one by one."""

from collections.abc import Iterator
from functools import cache
from math import isclose

from pacewright.pace.judge_stays import charge_of, once_hours
from pacewright.plans.line import Line, RouteStage
from pacewright.shops.route import Route
from pacewright.shops.tables import Stage
from pacewright.works import Works

_TOLERANCE_DAYS = 1e-6


class Walk:
    """Longest ways to and from each piece of one type at each stage [working days]."""

    def __init__(self, route: Route, days: dict[str, float]) -> None:
        self.stages = {stage.stage_id: stage for stage in route.stages}
        self.route = route
        self.days = days
        self.start = cache(self._start)
        self.rest = cache(self._rest)

    def pieces(self, stage_id: str) -> range:
        """The pieces of one vehicle that pass the stage."""
        return range(self.route.passes[stage_id])

    def end(self, stage_id: str, piece: int) -> float:
        """Earliest end of the charge the piece goes with."""
        return self.start(stage_id, piece) + self.days[stage_id]

    def length(self) -> float:
        """The longest way through."""
        return max(self.end(one, piece) for one in self.stages for piece in self.pieces(one))

    def _charge(self, stage_id: str, piece: int) -> list[int]:
        size = charge_of(self.stages[stage_id])
        return [one for one in self.pieces(stage_id) if one // size == piece // size]

    def _same(self, first: str, second: str, piece: int) -> list[int]:
        """Pieces of ``second`` that piece of ``first`` has to do with."""
        if self.route.passes[first] == self.route.passes[second]:
            return [piece]
        return list(self.pieces(second))

    def _start(self, stage_id: str, piece: int) -> float:
        ready = [0.0]
        for mate in self._charge(stage_id, piece):
            for before in self.route.follows[stage_id]:
                ready += [self.end(before, one) for one in self._same(stage_id, before, mate)]
        stage = self.stages[stage_id]
        held = piece - _at_once(stage)
        if held >= 0:
            ready.append(self.end(stage_id, held))
        return max(ready)

    def _rest(self, stage_id: str, piece: int) -> float:
        """Longest way from the start of the piece to the end of the route."""
        after = [0.0]
        stage = self.stages[stage_id]
        for mate in self._charge(stage_id, piece):
            for later in self.route.leads_to[stage_id]:
                after += [self.rest(later, one) for one in self._same(stage_id, later, mate)]
            freed = mate + _at_once(stage)
            if freed in self.pieces(stage_id):
                after.append(self.rest(stage_id, freed))
        return self.days[stage_id] + max(after)


def _at_once(stage: Stage) -> int:
    """Pieces that the positions hold in full charges."""
    return stage.positions // charge_of(stage) * charge_of(stage)


def judge_route(works: Works, line: Line) -> Iterator[str]:
    """Days, slack and critical stages of every type, and the offset of every unit kind."""
    days = {
        one.stage_id: one.hours_mean / works.shop_hours_a_day[one.shop_id] for one in line.stages
    }
    shown = {(one.type_id, one.stage_id): one for one in line.route}
    walks = {
        turn.type_id: Walk(works.routes[turn.type_id], days)
        for turn in line.turns
        if turn.type_id in works.routes
    }
    passed = {(type_id, stage_id) for type_id, walk in walks.items() for stage_id in walk.stages}
    if passed != set(shown) or len(line.route) != len(shown):
        yield "The route of the line does not show each stage of each type once."
        return
    for turn in line.turns:
        length = walks[turn.type_id].length()
        if not isclose(turn.route_days, length, abs_tol=_TOLERANCE_DAYS):
            yield f"Type {turn.type_id}: the longest way takes {length:g} days."
    for (type_id, stage_id), row in shown.items():
        yield from _judge_row(walks[type_id], stage_id, row)
    once = {
        one.stage_id: once_hours(one, works.shop_hours_a_day[one.shop_id])
        / works.shop_hours_a_day[one.shop_id]
        for one in works.stages
    }
    at_first = {type_id: Walk(walk.route, once) for type_id, walk in walks.items()}
    yield from _judge_units(works, line, at_first)


def _judge_row(walk: Walk, stage_id: str, row: RouteStage) -> Iterator[str]:
    length = walk.length()
    starts = [walk.start(stage_id, piece) for piece in walk.pieces(stage_id)]
    latest = [length - walk.rest(stage_id, piece) for piece in walk.pieces(stage_id)]
    slack = min(late - start for late, start in zip(latest, starts, strict=True))
    stay = walk.days[stage_id]
    wanted = {
        "earliest_start_day": min(starts),
        "earliest_end_day": max(starts) + stay,
        "latest_start_day": min(latest),
        "latest_end_day": max(latest) + stay,
        "slack_days": slack,
    }
    for name, value in wanted.items():
        if not isclose(getattr(row, name), value, abs_tol=_TOLERANCE_DAYS):
            yield (
                f"Stage {stage_id} of type {row.type_id}: {name} is {getattr(row, name):g}, "
                f"not {value:g}."
            )
    if row.critical != (slack < 2 * _TOLERANCE_DAYS):
        yield f"Stage {stage_id} of type {row.type_id}: critical does not fit its slack."


def _judge_units(works: Works, line: Line, walks: dict[str, Walk]) -> Iterator[str]:
    kinds = {one.unit_kind_id: one for one in works.unit_kinds}
    wanted = set()
    for fit in works.fits:
        walk, kind = walks.get(fit.type_id), kinds[fit.unit_kind_id]
        if walk and {kind.strip_stage_id, kind.fit_stage_id} <= set(walk.stages):
            wanted.add((fit.type_id, fit.unit_kind_id))
    if wanted != {(one.type_id, one.unit_kind_id) for one in line.units}:
        yield "The units of the line are not those the types carry."
        return
    for one in line.units:
        kind, walk = kinds[one.unit_kind_id], walks[one.type_id]
        here = f"Unit {one.unit_kind_id} on type {one.type_id}"
        strip, fit_on = walk.pieces(kind.strip_stage_id), walk.pieces(kind.fit_stage_id)
        pairs = [
            (piece, other)
            for piece in strip
            for other in fit_on
            if piece == other or len(strip) != len(fit_on)
        ]
        offset = min(
            walk.start(kind.fit_stage_id, other) - walk.end(kind.strip_stage_id, piece)
            for piece, other in pairs
        )
        if not isclose(one.offset_days, offset, abs_tol=_TOLERANCE_DAYS) or not isclose(
            one.needed_day - one.removed_day, offset, abs_tol=_TOLERANCE_DAYS
        ):
            yield f"{here}: the offset is {offset:g} days, not {one.offset_days:g}."
        slack = offset - kind.turn_days
        if one.turn_days != kind.turn_days or not isclose(
            one.slack_days, slack, abs_tol=_TOLERANCE_DAYS
        ):
            yield f"{here}: slack is not offset less turn time."
