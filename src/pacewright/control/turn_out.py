"""What each shop must turn out today and this week: units, pieces, hours, and what not to start."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, inf, sqrt

from pacewright.control.ahead import Ahead, Stay
from pacewright.control.cover import FloatCover
from pacewright.control.demand import Demand
from pacewright.control.hours import Work, able_hours_a_day, hours_today, stage_hours, unit_hours
from pacewright.control.needs import Need
from pacewright.control.pool import Pool
from pacewright.control.shop_sheet import Advice, PiecesDue, ShopSheet, TradeHours, UnitsDue
from pacewright.events.standing import Standing
from pacewright.plans.plan import Plan
from pacewright.works import Works

_SAME = 1e-6
PILE_SIGMAS = 2.0
"""Standard deviations above the mean demand of one turn time from which units pile up."""


@dataclass(frozen=True)
class Span:
    """Today, and the days looked at together [clock]."""

    now: float
    today_ends: float
    ends: float

    @property
    def days(self) -> float:
        """Working days from now to its end."""
        return self.ends - self.now

    def share_today(self, stay: Stay) -> float:
        """Share of a stay that falls into what is left of today."""
        return _overlap(stay, self.now, self.today_ends)

    def share(self, stay: Stay) -> float:
        """Share of a stay that falls into the span."""
        return _overlap(stay, self.now, self.ends)


@dataclass(frozen=True)
class TurnOut:
    """What the sheets are made from: all of one standing.

    ``plan`` : for the floats needed; None: the store is full from its own rule on.
    """

    works: Works
    standing: Standing
    seen: Ahead
    wanted: Sequence[Need]
    pool: Mapping[str, Pool]
    covers: Sequence[FloatCover]
    asked: Demand
    plan: Plan | None = None


def shop_sheets(given: TurnOut, days: int = 5) -> tuple[ShopSheet, ...]:
    """The day sheet of every shop, in order of the shops table.

    Parameters
    ----------
    given : standing, needs, pools and covers.
    days : working days of the span, today included.

    Equations
    ---------
    Due by t = units wanted by vehicles whose fit stage begins by t, less those in store. The
    store is full from the float needed by the plan on, or without a plan from m + 2 sqrt(m), m
    the units wanted in one turn time (Poisson): it then lasts a turn time though nothing comes.
    Hours of a stage fall evenly over the stay of the piece.
    """
    start = given.seen.clock.start_of_day(given.seen.now_day)
    span = Span(given.seen.now_day, start + 1, start + days)
    return tuple(
        ShopSheet(
            shop.shop_id,
            shop.name,
            units := _units(given, span, shop.shop_id),
            _pieces(given, span, shop.shop_id),
            _hours(given, span, shop.shop_id, units),
        )
        for shop in given.works.shops
    )


def _units(given: TurnOut, span: Span, shop_id: str) -> tuple[UnitsDue, ...]:
    outs = {one.unit_kind_id: one.runs_out_day for one in given.covers}
    rows = [
        _units_due(given, span, pool, outs.get(pool.kind.unit_kind_id))
        for pool in given.pool.values()
        if pool.kind.shop_id == shop_id
    ]
    return tuple(
        sorted(
            rows,
            key=lambda one: (
                -one.due_today,
                one.runs_out_day if one.runs_out_day is not None else inf,
                -one.due_week,
                one.unit_kind_id,
            ),
        )
    )


def _units_due(given: TurnOut, span: Span, pool: Pool, out: float | None) -> UnitsDue:
    kind_id = pool.kind.unit_kind_id
    a_day = given.asked.a_day.get(kind_id, 0.0)
    today = _due(given, kind_id, span.today_ends, pool.serviceable)
    week = _due(given, kind_id, span.ends, pool.serviceable)
    to_repair = pool.unserviceable - pool.condemned
    full = full_at(pool, a_day, given.plan)
    room = max(0, full - pool.serviceable)
    at_pace = a_day * span.days
    wanted = max(week, min(ceil(at_pace - _SAME), room + week))
    return UnitsDue(
        unit_kind_id=kind_id,
        name=pool.kind.name,
        serviceable=pool.serviceable,
        to_repair=to_repair,
        due_today=today,
        due_week=week,
        at_pace=at_pace,
        turn_out=min(to_repair, wanted),
        full_at=full,
        runs_out_day=out,
        hours_each=sum(unit_hours(given.works, kind_id).values()),
        advice=_advice(today, week, to_repair, room),
    )


def _due(given: TurnOut, kind_id: str, by: float, serviceable: int) -> int:
    wanted = sum(
        one.wanted
        for one in given.wanted
        if one.unit_kind_id == kind_id and one.needed_day < by - _SAME
    )
    return max(0, ceil(wanted - serviceable - _SAME))


def full_at(pool: Pool, a_day: float, plan: Plan | None) -> int:
    """Serviceable units from which on more of the kind would only pile up."""
    mean = a_day * pool.turn.mean_days
    own = ceil(mean + PILE_SIGMAS * sqrt(mean))
    if plan is None:
        return own
    needed = {one.unit_kind_id: one.needed for one in plan.floats.lines}
    return needed.get(pool.kind.unit_kind_id, own)


def _advice(today: int, week: int, to_repair: int, room: int) -> Advice:
    if today:
        return Advice.FIRST if to_repair else Advice.NONE_HERE
    if not to_repair:
        return Advice.NOTHING
    if week:
        return Advice.TURN_OUT
    return Advice.KEEP_PACE if room else Advice.DO_NOT_START


def _pieces(given: TurnOut, span: Span, shop_id: str) -> tuple[PiecesDue, ...]:
    found = []
    for stage in given.works.stages:
        if stage.shop_id != shop_id:
            continue
        stays = [one for one in given.seen.stays if one.stage_id == stage.stage_id]
        today = [one.piece for one in stays if one.ends <= span.today_ends + _SAME]
        week = sum(one.ends <= span.ends + _SAME for one in stays)
        there = sum(one.begun for one in stays)
        found.append(
            PiecesDue(stage.stage_id, stage.name, there, len(today), week, tuple(sorted(today)))
        )
    return tuple(found)


def _hours(
    given: TurnOut, span: Span, shop_id: str, units: Sequence[UnitsDue]
) -> tuple[TradeHours, ...]:
    shops = {one.stage_id: one.shop_id for one in given.works.stages}
    today: dict[str, float] = {}
    week: dict[str, float] = {}
    for stay in given.seen.stays:
        if shops[stay.stage_id] != shop_id or stay.begins >= span.ends:
            continue
        for trade_id, each in stage_hours(given.works, stay.stage_id, stay.type_id).items():
            today[trade_id] = today.get(trade_id, 0.0) + each * span.share_today(stay)
            week[trade_id] = week.get(trade_id, 0.0) + each * span.share(stay)
    for row in units:
        first = max(row.due_today, row.turn_out * (span.today_ends - span.now) / span.days)
        for trade_id, each in unit_hours(given.works, row.unit_kind_id).items():
            today[trade_id] = today.get(trade_id, 0.0) + each * min(first, row.to_repair)
            week[trade_id] = week.get(trade_id, 0.0) + each * row.turn_out
    return _against_people(given, span, shop_id, today, week)


def _against_people(
    given: TurnOut, span: Span, shop_id: str, today: dict[str, float], week: dict[str, float]
) -> tuple[TradeHours, ...]:
    usual = able_hours_a_day(given.works)
    there = hours_today(given.works, given.standing, given.seen.now.date())
    trades = sorted({*week, *(key.trade_id for key in usual if key.shop_id == shop_id)})
    left = span.today_ends - span.now
    found = []
    for trade_id in trades:
        key = Work(shop_id, trade_id)
        day, told = there.get(key, (0.0, False))
        found.append(
            TradeHours(
                trade_id,
                today.get(trade_id, 0.0),
                day * left,
                told,
                week.get(trade_id, 0.0),
                day * left + usual.get(key, 0.0) * (span.ends - span.today_ends),
            )
        )
    return tuple(found)


def _overlap(stay: Stay, first: float, last: float) -> float:
    # Of a stay under way only what is left of it still lies ahead.
    begin = max(stay.begins, first)
    length = max(_SAME, stay.ends - stay.begins)
    return max(0.0, min(stay.ends, last) - begin) / length
