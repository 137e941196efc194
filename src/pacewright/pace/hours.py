"""Standard hours of each trade in each shop for a week at the pace: mean and spread.

Five things make a week's hours scatter, and each is kept apart: whether an operation is needed
(its occurrence factor), whether a unit comes off at all, which types the week brings, how many
tests fail, and that the factor itself was counted on a sample only. The last does not average out
over the vehicles of a week, for all of them share the one true factor.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import floor, sqrt

from pacewright.pace.problem import LineProblem
from pacewright.parts.tables import Campaign, Operation, UnitKind
from pacewright.shops.repeats import work_times
from pacewright.works import Works

JUDGED_SAMPLE = 10
"""A factor that is a judgement (sample 0) is trusted as one counted on so few (our rule)."""

ShopTrade = tuple[str, str]


@dataclass(frozen=True, slots=True)
class WeekHours:
    """Standard hours of one trade in one shop in a week at the pace [h].

    Parameters
    ----------
    mean : all work, ``campaign`` included.
    sd : square root of the sum of the five variances below.
    campaign : part of the mean that campaigns ask in the weeks in which most of them run.
    occurrence, mix, factor, site : variances from occurrence and removal, from the types of the
        week, from the factors' samples, from what a second site sends in [h^2].
    repeats : variance from tests that fail [h^2].
    """

    mean: float
    sd: float
    campaign: float
    occurrence: float
    mix: float
    factor: float
    site: float
    repeats: float = 0.0


@dataclass
class _Sum:
    type_means: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    occurrence: float = 0.0
    factor: float = 0.0
    site_mean: float = 0.0
    site: float = 0.0
    campaign: float = 0.0
    repeats: float = 0.0


def factor_variance(operation: Operation) -> float:
    """Variance of the true occurrence factor about the stated one.

    Equations
    ---------
    p (1 - p) / (n + 1): variance of the beta law with mean p that n vehicles leave behind
    (Johnson, Kotz and Balakrishnan 1995, ch. 25); 0 for what is always done.
    """
    if operation.must_change:
        return 0.0
    share = operation.occurrence_share
    return share * (1 - share) / ((operation.sample or JUDGED_SAMPLE) + 1)


def occurrence(operation: Operation) -> float:
    """How often the operation is needed; always, if it must be."""
    return 1.0 if operation.must_change else operation.occurrence_share


def week_hours(works: Works, problem: LineProblem) -> dict[ShopTrade, WeekHours]:
    """Every (shop, trade) that has work.

    Equations
    ---------
    Operation on n pieces: mean n p h, variance n p (1 - p) h^2. Operations i on a unit that
    comes off with chance r: mean r sum(p_i h_i), variance r sum(p_i (1 - p_i) h_i^2) +
    r (1 - r) (sum p_i h_i)^2, for each unit carried. Factor: (N h)^2 Var(p), N = times a week it
    may be needed. Mix: vehicles come in even order, so the week's number of a type (or of all) is
    one of the two whole numbers about its mean, with variance f (1 - f), f the fraction over the
    lower one: K / (K - 1) sum f (1 - f) (m_type - m)^2 over K types, and f (1 - f) m^2 for all.
    Tests: work Y of a piece is done M times over, M = 1 + k R as ``shops.repeats.work_times`` has
    it: mean E[M] E[Y], variance E[M^2] Var[Y] + Var[M] E[Y]^2 with all of Y that one trade does.
    """
    sums: dict[ShopTrade, _Sum] = defaultdict(_Sum)
    _add_stage_work(works, problem, sums)
    _add_unit_work(works, problem, sums)
    _add_campaigns(works, problem, sums)
    return {key: _week(problem, one) for key, one in sorted(sums.items())}


def _add_stage_work(works: Works, problem: LineProblem, sums: dict[ShopTrade, _Sum]) -> None:
    stages = {stage.stage_id: stage for stage in works.stages}
    # Stage, trade and type -> mean hours of a piece, which a failed test asks for together.
    together: dict[tuple[str, str, str], float] = defaultdict(float)
    for operation in works.operations:
        if operation.stage_id is None:
            continue
        stage, weekly = stages[operation.stage_id], 0.0
        times, scatter = work_times(stage)
        total = sums[stage.shop_id, operation.trade_id]
        share, hours = occurrence(operation), operation.standard_hours
        for type_id, vehicles in _vehicles_a_week(problem, operation.type_id):
            pieces = problem.routes[type_id].passes.get(operation.stage_id, 0)
            total.type_means[type_id] += pieces * times * share * hours
            square = (times**2 + scatter) * hours**2
            total.occurrence += vehicles * pieces * share * (1 - share) * square
            weekly += vehicles * pieces * times
            together[stage.stage_id, operation.trade_id, type_id] += share * hours
        total.factor += (weekly * hours) ** 2 * factor_variance(operation)
    for (stage_id, trade_id, type_id), hours in together.items():
        _, scatter = work_times(stages[stage_id])
        pieces = problem.routes[type_id].passes.get(stage_id, 0)
        weekly = problem.pace_a_week * problem.mix[type_id] * pieces
        sums[stages[stage_id].shop_id, trade_id].repeats += weekly * scatter * hours**2


def _add_unit_work(works: Works, problem: LineProblem, sums: dict[ShopTrade, _Sum]) -> None:
    for kind in works.unit_kinds:
        by_trade: dict[str, list[Operation]] = defaultdict(list)
        for operation in works.operations:
            if operation.unit_kind_id == kind.unit_kind_id:
                by_trade[operation.trade_id].append(operation)
        carried = {
            fit.type_id: fit.per_vehicle
            for fit in works.fits
            if fit.unit_kind_id == kind.unit_kind_id
        }
        for trade_id, operations in by_trade.items():
            _add_unit_trade(problem, kind, carried, operations, sums[kind.shop_id, trade_id])


def _add_unit_trade(
    problem: LineProblem,
    kind: UnitKind,
    carried: Mapping[str, int],
    operations: list[Operation],
    total: _Sum,
) -> None:
    removal = removal_share(kind)
    for type_id, vehicles in _vehicles_a_week(problem, None):
        units = carried.get(type_id, 0)
        mine = [one for one in operations if one.type_id in (None, type_id)]
        done = sum(occurrence(one) * one.standard_hours for one in mine)
        scatter = sum(
            occurrence(one) * (1 - occurrence(one)) * one.standard_hours**2 for one in mine
        )
        total.type_means[type_id] += units * removal * done
        one_unit = removal * scatter + removal * (1 - removal) * done**2
        total.occurrence += vehicles * units * one_unit
    anyone = [one for one in operations if one.type_id is None]
    done = sum(occurrence(one) * one.standard_hours for one in anyone)
    scatter = sum(occurrence(one) * (1 - occurrence(one)) * one.standard_hours**2 for one in anyone)
    total.site_mean += kind.site_a_week * done
    # Units of a second site come at random (Poisson): variance = rate x mean square.
    total.site += kind.site_a_week * (scatter + done**2)
    for one in operations:
        weekly = sum(
            vehicles * carried.get(type_id, 0) * removal
            for type_id, vehicles in _vehicles_a_week(problem, one.type_id)
        )
        weekly += kind.site_a_week if one.type_id is None else 0.0
        total.factor += (weekly * one.standard_hours) ** 2 * factor_variance(one)


def _add_campaigns(works: Works, problem: LineProblem, sums: dict[ShopTrade, _Sum]) -> None:
    shops = {stage.stage_id: stage.shop_id for stage in works.stages}
    grouped: dict[ShopTrade, list[Campaign]] = defaultdict(list)
    for one in works.campaigns:
        passes = one.type_id in problem.mix and one.stage_id in (problem.routes[one.type_id].passes)
        if passes:
            grouped[shops[one.stage_id], one.trade_id].append(one)
    first, last = planned_zone(works)
    for key, campaigns in grouped.items():
        for one in running_most(campaigns, problem, first, last):
            sums[key].type_means[one.type_id] += one.standard_hours
            sums[key].campaign += (
                problem.pace_a_week * problem.mix[one.type_id] * one.standard_hours
            )


def running_most(
    campaigns: Iterable[Campaign], problem: LineProblem, first: date, last: date
) -> list[Campaign]:
    """The campaigns that run together on the day from first to last that asks most hours."""
    near = [one for one in campaigns if one.first <= last and one.last >= first]
    days = {max(one.first, first) for one in near}
    choices = [[one for one in near if one.first <= day <= one.last] for day in sorted(days)]
    return max(
        choices,
        key=lambda some: sum(problem.mix[one.type_id] * one.standard_hours for one in some),
        default=[],
    )


def planned_zone(works: Works) -> tuple[date, date]:
    """First and last day of the firm and planned zones."""
    plan = works.settings.plan
    weeks = min(plan.planned_weeks, plan.horizon_weeks)
    return plan.start, plan.start + timedelta(weeks=weeks)


def removal_share(kind: UnitKind) -> float:
    """Share of vehicles on which a unit of the kind comes off; all, if it must be changed."""
    return 1.0 if kind.must_change else kind.removal_share


def _vehicles_a_week(problem: LineProblem, only: str | None) -> list[tuple[str, float]]:
    return [
        (type_id, problem.pace_a_week * share)
        for type_id, share in problem.mix.items()
        if only in (None, type_id)
    ]


def _week(problem: LineProblem, total: _Sum) -> WeekHours:
    weekly = dict(_vehicles_a_week(problem, None))
    vehicles_hours = sum(weekly[one] * total.type_means[one] for one in weekly)
    mix = _mix_variance(problem, weekly, total.type_means)
    variance = total.occurrence + total.factor + total.site + total.repeats + mix
    return WeekHours(
        mean=vehicles_hours + total.site_mean,
        sd=sqrt(variance),
        campaign=total.campaign,
        occurrence=total.occurrence,
        mix=mix,
        factor=total.factor,
        site=total.site,
        repeats=total.repeats,
    )


def _mix_variance(
    problem: LineProblem, weekly: Mapping[str, float], type_means: Mapping[str, float]
) -> float:
    """Variance from which types, and how many vehicles, a week brings in even order."""
    means = [type_means[type_id] for type_id in weekly]
    middle = sum(means) / len(means)
    typical = sum(problem.mix[type_id] * type_means[type_id] for type_id in weekly)
    of_types = sum(
        _over(number) * (1 - _over(number)) * (type_means[type_id] - middle) ** 2
        for type_id, number in weekly.items()
    )
    # What one type has too many the others have too few: K / (K - 1), exact for two types.
    together = len(means) / (len(means) - 1) if len(means) > 1 else 0.0
    vehicles = _over(problem.pace_a_week)
    return together * of_types + vehicles * (1 - vehicles) * typical**2


def _over(number: float) -> float:
    """What a number has over the whole number below it; nothing when it is as good as whole."""
    return 0.0 if abs(number - round(number)) < 1e-9 else number - floor(number)
