"""Turn time by type: how it scatters, and the chance of keeping what was promised."""

from dataclasses import dataclass

from pacewright.plans.forecast import Forecast, TurnForecast
from pacewright.reports.drawings.day_bars import Times, day_bars
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.simulation.interval import plus_minus, share_plus_minus
from pacewright.reports.written import number


@dataclass(frozen=True, slots=True)
class TypeTimes:
    """One type: what is said of it, and its drawing."""

    type_id: str
    name: str
    kept: str
    mean: str
    nine_of_ten: str
    drawing: Drawing


def turn_times(forecast: Forecast) -> tuple[TypeTimes, ...]:
    """Every type of which vehicles came out, the commonest first."""
    order = sorted(forecast.turns, key=lambda t: (-t.released_a_year, t.type_id))
    return tuple(_type(place, turn) for place, turn in enumerate(order) if turn.histogram_share)


def _type(place: int, turn: TurnForecast) -> TypeTimes:
    nine = quantile(turn, 0.9)
    marks = [(turn.mean.mean, f"mean {number(turn.mean.mean)}")]
    if nine is not None:
        marks.append((nine, f"nine of ten within {number(nine)}"))
    if turn.route_days is not None:
        marks.append((turn.route_days, f"{number(turn.route_days)} by the route alone"))
    kept = turn.promise_chance
    return TypeTimes(
        turn.type_id,
        turn.name,
        share_plus_minus(kept.mean, kept.half_width) if kept else "",
        plus_minus(turn.mean.mean, turn.mean.half_width),
        number(nine),
        day_bars(
            Times(f"turn{place}", f"Turn time of {turn.name} in working days",
                  turn.histogram_from, turn.histogram_share, turn.promised_days, marks)
        ),
    )  # fmt: skip


def quantile(turn: TurnForecast, level: float) -> float | None:
    """Days that the share ``level`` of the vehicles takes at most; None when it is not listed."""
    found = zip(turn.quantile_shares, turn.quantile_days, strict=True)
    return next((days for share, days in found if abs(share - level) < 1e-9), None)


def days_over(turn: TurnForecast) -> float:
    """Mean working days a vehicle of the type is over its promise, the others counting nothing.

    Equations
    ---------
    E[(turn - promise)+], each bar of the distribution taken at its middle.
    """
    if turn.promised_days is None:
        return 0.0
    bars = zip(turn.histogram_from, turn.histogram_share, strict=True)
    return sum(max(0.0, day + 0.5 - turn.promised_days) * share for day, share in bars)
