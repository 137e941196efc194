"""The answer first: output, turn time, promise and the greatest hold-ups, in figures and words."""

from math import isfinite

from pacewright.plans.forecast import Estimate, Forecast
from pacewright.reports.figures import Figure
from pacewright.reports.simulation.hold_ups import place_name, ranked_hold_ups
from pacewright.reports.simulation.interval import NOT_KNOWN
from pacewright.reports.simulation.sure import estimate
from pacewright.reports.written import NONE, listed, number, rate, share, some

GREATEST = 3
"""Hold-ups named in the answer."""


def known(forecast: Forecast, key: str) -> Estimate | None:
    """A figure of the works as a whole; None where the forecast has none of the name."""
    return next((e for e in forecast.figures if e.key == key and e.mean == e.mean), None)


def answer_figures(forecast: Forecast) -> tuple[Figure, ...]:
    """The four figures that answer whether the plan will do."""
    return (
        _output(forecast),
        _turn(forecast),
        _promise(forecast),
        _standing(forecast),
    )


def answer_sentences(forecast: Forecast) -> tuple[str, ...]:
    """The answer in words: what comes out and how long it takes; what holds it up."""
    out, turn, kept = (
        known(forecast, key) for key in ("output_a_week", "turn_days_mean", "promise_chance")
    )
    said = []
    if out:
        said.append(
            f"{estimate(out)} vehicles a full week come out at a pace of"
            f" {rate(forecast.pace_a_week)}"
        )
    if turn:
        said.append(f"each takes {estimate(turn)} working days")
    if kept:
        said.append(f"{estimate(kept)} keep their promise")
    first = f"Run through {some(forecast.replications, 'time')}: {'; '.join(said)}."
    return (first, _greatest(forecast)) if said else (_greatest(forecast),)


def _greatest(forecast: Forecast) -> str:
    found = ranked_hold_ups(forecast)
    if not found:
        return "Hold-ups: nothing stands."
    whole = sum(h.vehicle_days_a_year for h in found)
    names = [
        f"{h.cause.value} ({place_name(h)}: {number(h.vehicle_days_a_year, 0)})"
        for h in found[:GREATEST]
    ]
    return (
        f"Hold-ups: vehicles stand {number(whole, 0)} working days a year, most for"
        f" {listed(names)}."
    )


def _interval(one: Estimate) -> str:
    if not isfinite(one.half_width):
        return NOT_KNOWN
    if one.unit.startswith("share"):
        return f"{share(one.low, 1)} to {share(one.high, 1)}"
    return f"{number(one.low, 2)} to {number(one.high, 2)}"


def _output(forecast: Forecast) -> Figure:
    out, came = known(forecast, "output_a_week"), known(forecast, "calls_a_week")
    called = f" {rate(came.mean)} came in." if came else ""
    return Figure(
        "run_output",
        "Output",
        rate(out.mean) if out else NONE,
        "vehicles a week",
        f"{_interval(out) if out else NOT_KNOWN}. The pace is {rate(forecast.pace_a_week)}."
        + called,
        "Vehicles released over the working days counted, times the days of a full week. The"
        " interval is of the mean over all chances: in one run, and in one year, it may be more or"
        " less.",
    )


def _turn(forecast: Forecast) -> Figure:
    turn, nine = known(forecast, "turn_days_mean"), known(forecast, "turn_days_p90")
    within = f" Nine of ten within {number(nine.mean)}." if nine else ""
    return Figure(
        "run_turn",
        "Turn time",
        number(turn.mean if turn else None),
        "working days, mean",
        f"{_interval(turn) if turn else NOT_KNOWN}.{within}",
        "From arrival at the gate to release, all waiting included, of vehicles that came in and"
        " went out while it counted. It has every hold-up in it, those for units as well.",
    )


def _promise(forecast: Forecast) -> Figure:
    kept = known(forecast, "promise_chance")
    by_type = "; ".join(
        f"{t.name} {share(t.promise_chance.mean)} of {number(t.promised_days)} days"
        for t in forecast.turns
        if t.promise_chance and t.promise_chance.mean == t.promise_chance.mean
    )
    return Figure(
        "run_promise",
        "Promise kept",
        share(kept.mean) if kept else NONE,
        "of vehicles released within the days promised",
        f"{_interval(kept) if kept else NOT_KNOWN}. {by_type + '.' if by_type else ''}".strip(),
        "Share of vehicles released within promised_days of vehicle_types, counted in working days"
        " from arrival.",
    )


def _standing(forecast: Forecast) -> Figure:
    stand, turn = known(forecast, "holdup_days"), known(forecast, "turn_days_mean")
    part = f" That is {share(stand.mean / turn.mean)} of its turn time." if stand and turn else ""
    return Figure(
        "run_standing",
        "Standing time",
        number(stand.mean if stand else None),
        "working days a vehicle",
        f"{_interval(stand) if stand else NOT_KNOWN}.{part}",
        "Working days in which a vehicle stands, whatever it waits for: gate, position, people,"
        " units, assemblies, a full charge, or work done again. Turn time less standing time is"
        " work.",
    )
