"""The page of a comparison: the answer first, then each change with what it comes to."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, isnan

from pacewright.plans.comparison import (
    ChangeOutcome,
    Comparison,
    Difference,
    Good,
    HoldUpDifference,
    Verdict,
)
from pacewright.reports.comparison_tables import comparison_tables
from pacewright.reports.drawings.cause_marks import cause_mark
from pacewright.reports.drawings.difference_bar import difference_bar, difference_scale
from pacewright.reports.drawings.scale import Scale
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.glossary import CAUTION
from pacewright.reports.html_table import html_table
from pacewright.reports.shell import asset, environment, hash_of
from pacewright.reports.simulation.interval import NOT_KNOWN, PLUS_MINUS, digits_of
from pacewright.reports.simulation.sure import STARTS, is_share
from pacewright.reports.written import NONE, listed, number, share

HEADLINES = (
    "output_a_week",
    "turn_days_mean",
    "turn_days_p90",
    "promise_chance",
    "inside_mean",
    "holdup_days",
)
"""Figures of the first table, and those said in words."""
PLACES = 12
"""Hold-ups drawn; all stand in the table behind."""


@dataclass(frozen=True, slots=True)
class FigureRow:
    """One figure of one change."""

    name: str
    unit: str
    base: str
    changed: str
    difference: str
    verdict: str
    fewer: str


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """One hold-up that went or came."""

    cause: str
    mark: Drawing
    name: str
    bar: Drawing
    base: str
    changed: str
    difference: str
    verdict: str


@dataclass(frozen=True, slots=True)
class ChangePart:
    """The part of one change."""

    place: int
    name: str
    differs: tuple[str, ...]
    sentences: tuple[str, ...]
    figures: tuple[FigureRow, ...]
    places: tuple[PlaceRow, ...]
    left: int
    notes: tuple[str, ...]


def comparison_page(comparison: Comparison) -> str:
    """The whole page as text; the same comparison gives the same page."""
    style, script = _style(), asset("report.js")
    return (
        environment()
        .get_template("comparison.html.j2")
        .render(
            comparison=comparison,
            start=STARTS.get(comparison.start, comparison.start),
            sentences=[_answer(one) for one in comparison.changes],
            heads=_heads(comparison.changes),
            overview=[(one.name, _overview(one)) for one in comparison.changes],
            parts=[_part(n, one) for n, one in enumerate(comparison.changes, start=1)],
            sure=f"{share(comparison.confidence)}",
            tables=[html_table(one) for one in comparison_tables(comparison)[1:]],
            caution=CAUTION,
            style=style,
            script=script,
            style_hash=hash_of(style),
            script_hash=hash_of(script),
        )
    )


def _style() -> str:
    return asset("report.css") + asset("forecast.css") + asset("comparison.css")


def difference_in_words(one: Difference) -> str:
    """A difference with its sign, its interval and its unit."""
    if isnan(one.difference):
        return "not known"
    if one.verdict is Verdict.SAME:
        return "no difference at all"
    unit = f"points {one.unit.removeprefix('share ')}" if is_share(one.unit) else one.unit
    return f"{_difference(one)} {unit}"


def _answer(change: ChangeOutcome) -> str:
    """One sentence: what is real among the headlines, and what is not shown."""
    real = [one for one in change.figures if one.verdict is Verdict.REAL]
    said = [
        f"{one.name} {difference_in_words(one)}{f' ({one.good})' if one.good else ''}"
        for one in real
        if one.key in HEADLINES
    ]
    if said:
        return f"{change.name}: {listed(said)}."
    if all(one.verdict is Verdict.SAME for one in change.figures):
        return f"{change.name}: changes nothing, in no replication."
    return (
        f"{change.name}: no difference of the main figures is shown; more replications may show it."
    )


def _heads(changes: Sequence[ChangeOutcome]) -> list[tuple[str, str]]:
    return [
        (one.name, one.unit.removeprefix("share "))
        for key in HEADLINES
        for one in changes[0].figures
        if one.key == key
    ]


def _overview(change: ChangeOutcome) -> list[tuple[str, str]]:
    return [
        (_difference(one), _verdict(one.verdict, one.good))
        for key in HEADLINES
        for one in change.figures
        if one.key == key
    ]


def _part(place: int, change: ChangeOutcome) -> ChangePart:
    shown = change.holdups[:PLACES]
    scale = difference_scale([_reach(one) for one in shown])
    return ChangePart(
        place=place,
        name=change.name,
        differs=change.differs,
        sentences=tuple(_places_said(change)),
        figures=tuple(_figure(one) for one in change.figures),
        places=tuple(_place(one, scale) for one in shown),
        left=len(change.holdups) - len(shown),
        notes=change.notes,
    )


def _places_said(change: ChangeOutcome) -> list[str]:
    """The hold-ups that surely went, and those that surely came."""
    said = []
    real = [one for one in change.holdups if one.verdict is Verdict.REAL]
    for word, mine in (
        ("Went", [one for one in real if one.difference_days < 0]),
        ("Came", [one for one in real if one.difference_days > 0]),
    ):
        names = [
            f"{one.cause.value}, {one.name} ({signed(one.difference_days, one.half_width)}"
            " vehicle-days a year)"
            for one in mine
        ]
        said.append(f"{word}: {listed(names, 4)}." if names else f"{word}: none that is shown.")
    return said


def _figure(one: Difference) -> FigureRow:
    base, changed = (
        share(value, 1) if is_share(one.unit) else number(value, 2)
        for value in (one.base, one.changed)
    )
    return FigureRow(
        name=one.name,
        unit=one.unit.removeprefix("share "),
        base=base,
        changed=changed,
        difference=_difference(one),
        verdict=_verdict(one.verdict, one.good),
        fewer=_fewer(one.times_fewer),
    )


def _fewer(times: float) -> str:
    if isnan(times):
        return NONE
    return number(times) if isfinite(times) else "exact"


def _difference(one: Difference) -> str:
    if one.verdict is Verdict.SAME:
        return "0"
    times = 100 if is_share(one.unit) else 1
    return signed(times * one.difference, times * one.half_width)


def signed(difference: float, half_width: float) -> str:
    """A difference with its sign and half width, one decimal more than it is sure of.

    With it an interval just clear of nothing seldom looks as if it were not.

    Examples
    --------
    >>> signed(2.06, 0.69).split(), signed(-1176.2, 684.0).split(), signed(0.0004, 0.02).split()
    (['+2.06', '±', '0.69'], ['-1,176', '±', '684'], ['0.000', '±', '0.020'])
    """
    if isnan(difference):
        return NONE
    digits = digits_of(half_width, 3)
    digits += half_width < 10
    rounded = round(difference, digits) + 0.0
    shown = f"{rounded:{'+' if rounded else ''},.{digits}f}"
    if not isfinite(half_width):
        return f"{shown} ({NOT_KNOWN})"
    return f"{shown}{PLUS_MINUS}{number(half_width, digits)}"


def _verdict(verdict: Verdict, good: Good) -> str:
    return f"{verdict.value}, {good.value}" if good else verdict.value


def _reach(one: HoldUpDifference) -> float:
    return abs(one.difference_days) + (one.half_width if isfinite(one.half_width) else 0.0)


def _place(one: HoldUpDifference, scale: Scale) -> PlaceRow:
    cause = one.cause.value
    difference = signed(one.difference_days, one.half_width)
    says = f"{cause}, {one.name}: {difference} vehicle-days a year, {one.verdict.value}"
    return PlaceRow(
        cause=cause,
        mark=cause_mark(cause),
        name=one.name,
        bar=difference_bar((one.difference_days, one.half_width), scale, cause, says),
        base=number(one.base_days, 0),
        changed=number(one.changed_days, 0),
        difference=difference,
        verdict=one.verdict.value,
    )
