"""The float question as plain data: what each unit kind must cover, and what is held."""

import math
from dataclasses import dataclass

from pacewright.floats.turn_time import TurnLaw, turn_law
from pacewright.parts.tables import FloatHeld, UnitKind
from pacewright.plans.line import Line
from pacewright.works import Works


@dataclass(frozen=True, slots=True)
class TypeNeed:
    """What one vehicle type gives and wants of a unit kind.

    Parameters
    ----------
    share : share of the vehicles called in that are of the type.
    per_vehicle : units one vehicle carries, q.
    removed_day, needed_day : from gate-in [working days]; the offset is their difference.
    """

    type_id: str
    share: float
    per_vehicle: int
    removed_day: float
    needed_day: float


@dataclass(frozen=True, slots=True)
class Stream:
    """The stream of one unit kind through its shop, one vehicle every takt.

    Parameters
    ----------
    takt_days : working days between vehicles.
    needs : the types that carry the kind; the rest of the call-in carries none.
    turn : law of the time from sent-off to serviceable.
    removal_share : chance that a unit carried is removed (and then wanted again), p.
    lot_size : units gathered before they are sent off, Q.
    despatch_days : interval between despatches; 0 = at once.
    scrap_share : share of the removed that is condemned at removal and bought anew, c.
    purchase_days, purchase_lot : lead time of the new ones, and how many are bought at a time.
    site_a_day : units a working day that a second site draws at random.
    site_transit_days : one way to or from the second site.
    """

    takt_days: float
    needs: tuple[TypeNeed, ...]
    turn: TurnLaw
    removal_share: float = 1.0
    lot_size: int = 1
    despatch_days: float = 0.0
    scrap_share: float = 0.0
    purchase_days: float = 0.0
    purchase_lot: int = 1
    site_a_day: float = 0.0
    site_transit_days: float = 0.0

    @property
    def units_a_takt(self) -> float:
        """Mean units removed from one vehicle of the mix."""
        carried = sum(need.share * need.per_vehicle for need in self.needs)
        return carried * self.removal_share


@dataclass(frozen=True, slots=True)
class Bench:
    """The benches of a shop that can work on so many units at once.

    ``bench_days`` is the time of one unit on a bench [working days of the shop].
    """

    benches: int
    bench_days: float

    def use_share(self, units_a_day: float) -> float:
        """Load against what the benches can do: 1 = no minute to spare."""
        return units_a_day * self.bench_days / self.benches

    def benches_wanted(self, units_a_day: float) -> int:
        """Benches at which the load is 85 % or less."""
        return max(1, math.ceil(units_a_day * self.bench_days / 0.85 - 1e-9))


@dataclass(frozen=True, slots=True)
class UnitQuestion:
    """One unit kind: its stream, its benches, what is held, and what one more costs."""

    kind: UnitKind
    stream: Stream
    bench: Bench | None
    held: int
    serviceable: int
    quarantine: int


@dataclass(frozen=True, slots=True)
class FloatProblem:
    """All unit kinds of a works at the pace of its line."""

    takt_days: float
    pace_a_week: float
    week_days: int
    days_a_year: float
    target: float
    shares: tuple[tuple[str, float], ...]
    units: tuple[UnitQuestion, ...]


def float_problem(works: Works, line: Line) -> FloatProblem:
    """The question from the works (parts, floats held) and its line (pace, mix, offsets)."""
    held = {row.unit_kind_id: row for row in works.floats}
    total = sum(turn.share for turn in line.turns) or 1.0
    shares = {turn.type_id: turn.share / total for turn in line.turns}
    questions = []
    for kind in works.unit_kinds:
        needs = _needs(works, line, kind, shares)
        if not needs:
            continue
        stock = held.get(kind.unit_kind_id) or FloatHeld(kind.unit_kind_id, 0, 0)
        questions.append(
            UnitQuestion(
                kind=kind,
                stream=_stream(works, line, kind, needs),
                bench=_bench(works, kind),
                held=stock.serviceable + stock.unserviceable,
                serviceable=stock.serviceable,
                quarantine=stock.quarantine,
            )
        )
    return FloatProblem(
        takt_days=line.takt_days,
        pace_a_week=line.pace_a_week,
        week_days=works.week_days,
        days_a_year=_days_a_year(works),
        target=works.settings.plan.readiness_target,
        shares=tuple(shares.items()),
        units=tuple(questions),
    )


def _needs(
    works: Works, line: Line, kind: UnitKind, shares: dict[str, float]
) -> tuple[TypeNeed, ...]:
    places = {u.type_id: u for u in line.units if u.unit_kind_id == kind.unit_kind_id}
    return tuple(
        TypeNeed(
            type_id=fit.type_id,
            share=shares[fit.type_id],
            per_vehicle=fit.per_vehicle,
            removed_day=places[fit.type_id].removed_day,
            needed_day=places[fit.type_id].needed_day,
        )
        for fit in works.fits
        if fit.unit_kind_id == kind.unit_kind_id
        and shares.get(fit.type_id, 0.0) > 0
        and fit.type_id in places
    )


def _stream(works: Works, line: Line, kind: UnitKind, needs: tuple[TypeNeed, ...]) -> Stream:
    return Stream(
        takt_days=line.takt_days,
        needs=needs,
        turn=turn_law(kind.turn_days, kind.turn_sd_days),
        removal_share=1.0 if kind.must_change else kind.removal_share,
        lot_size=kind.lot_size,
        despatch_days=kind.despatch_days,
        scrap_share=kind.scrap_share,
        purchase_days=kind.purchase_days,
        purchase_lot=kind.purchase_lot,
        site_a_day=kind.site_a_week / works.week_days,
        site_transit_days=kind.site_transit_days,
    )


def _bench(works: Works, kind: UnitKind) -> Bench | None:
    if kind.benches is None or kind.bench_hours <= 0:
        return None
    return Bench(kind.benches, kind.bench_hours / works.shop_hours_a_day[kind.shop_id])


def _days_a_year(works: Works) -> float:
    # The calendar knows holidays only where they are listed: take the mean over the whole plan.
    first, last = works.settings.plan.start, works.horizon_end()
    span = (last - first).days + 1
    return works.calendar.count(first, last) / span * 365.25
