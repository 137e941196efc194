"""How sure the figures are, and where they differ from the plan's."""

from collections.abc import Callable
from dataclasses import dataclass
from math import isfinite

from pacewright.plans.forecast import Beside, Estimate, Forecast
from pacewright.reports.simulation.interval import plus_minus, share_plus_minus
from pacewright.reports.written import day, number, sentence, share, some

FIRST = 12
"""Rows of plan beside simulation shown before the rest is folded away."""

STOPPED = {
    "replications": "as many runs as were asked for",
    "precision": "the precision asked for was reached",
    "limit": "the most runs allowed; the precision asked for was not reached",
    "interrupted": "stopped by hand before its end",
}
STARTS = {
    "empty": "from an empty works",
    "now": "from what is inside today",
    "steady": "from an empty works until it is settled; the settling does not count",
}


@dataclass(frozen=True, slots=True)
class BesideRow:
    """One figure of the plan beside the simulated one."""

    figure: str
    unit: str
    plan: str
    simulated: str
    agrees: bool
    why: str


@dataclass(frozen=True, slots=True)
class Sure:
    """What the template needs."""

    facts: tuple[tuple[str, str], ...]
    figures: tuple[tuple[str, str, str], ...]
    beside: tuple[BesideRow, ...]
    first: int
    agree: int
    notes: tuple[str, ...]


def how_sure(forecast: Forecast) -> Sure:
    """How sure one forecast is."""
    rows = tuple(beside_row(one) for one in sorted(forecast.beside, key=_order))
    return Sure(
        facts=_facts(forecast),
        figures=tuple((e.name, estimate(e), _unit(e.unit)) for e in forecast.figures),
        beside=rows,
        first=FIRST,
        agree=sum(row.agrees for row in rows),
        notes=forecast.notes,
    )


def _order(one: Beside) -> tuple[bool, bool, bool, float]:
    """Those that differ first; the works as a whole, then days and numbers, then shares by gap."""
    gap = abs(one.simulated - one.plan) if is_share(one.unit) else 0.0
    return one.agrees, bool(one.place_id), is_share(one.unit), -gap


def _facts(forecast: Forecast) -> tuple[tuple[str, str], ...]:
    card, weeks = forecast.card, sum(week.measured for week in forecast.weeks)
    reached, asked = card.objective, card.bound
    precision = share(reached, 1) if isfinite(reached) else "not known"
    precision += f", {share(asked, 1)} asked for" if asked > 0 else ", none asked for"
    return (
        ("Runs", f"{forecast.replications:,}: {STOPPED.get(forecast.stopped_by, '')}"),
        ("Seed", f"{card.seed}: the same seed and files give the same figures"),
        ("Start", STARTS.get(forecast.start, forecast.start)),
        ("Left out", f"{some(round(forecast.warm_up_days), 'working day')} at the start"),
        ("Counted", f"{day(forecast.first)} to {day(forecast.last)}, {weeks:,} weeks"),
        (
            "Intervals",
            f"{share(forecast.confidence)} sure of the mean of endlessly many runs; bands hold nine"
            " of ten single runs",
        ),
        ("Half width over mean", precision),
        ("Method", card.method),
    )


def is_share(unit: str) -> bool:
    """True for units of figures that are written as per cent."""
    return unit.startswith("share")


def estimate(one: Estimate) -> str:
    """A figure with its interval; shares as per cent."""
    write = share_plus_minus if is_share(one.unit) else plus_minus
    return write(one.mean, one.half_width)


def _unit(unit: str) -> str:
    return unit.removeprefix("share ") if is_share(unit) else unit


def beside_row(one: Beside) -> BesideRow:
    """The row of one figure."""
    shares = is_share(one.unit)
    plain: Callable[[float], str] = (lambda v: share(v, 1)) if shares else (lambda v: number(v, 2))
    both = share_plus_minus if shares else plus_minus
    return BesideRow(
        one.figure,
        _unit(one.unit),
        plain(one.plan),
        both(one.simulated, one.half_width),
        one.agrees,
        sentence(one.why),
    )
