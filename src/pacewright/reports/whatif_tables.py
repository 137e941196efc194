"""What-if runs of a desk as tables and drawings: side by side, and each by itself."""

from collections.abc import Sequence
from math import isnan

from pacewright.plans.comparison import ChangeOutcome, Comparison, Difference, Verdict
from pacewright.reports.comparison_page import HEADLINES, PLACES, difference_in_words, signed
from pacewright.reports.comparison_tables import comparison_tables
from pacewright.reports.drawings.changes_beside import Beside, Row, changes_beside
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.simulation.sure import is_share
from pacewright.reports.table import Table, TableColumn
from pacewright.reports.written import number, share

Named = tuple[str, Comparison]
"""Name of a run, and what it comes to: a comparison of one change."""


def beside_table(runs: Sequence[Named]) -> Table:
    """Figures down, changes across: the mean with each change and its difference in words."""
    columns = [
        TableColumn("figure", "figure of the works"),
        TableColumn("unit", "unit of its numbers"),
        TableColumn("as_it_is", "mean of the works as it is, newest run"),
        *(TableColumn(name, "mean with the change; difference and verdict") for name, _ in runs),
    ]
    outcomes = [comparison.changes[0] for _, comparison in runs]
    rows = []
    for one in outcomes[0].figures if outcomes else ():
        cells = [_across(outcome, one.key) for outcome in outcomes]
        rows.append((one.name, one.unit.removeprefix("share "), _mean(one.base, one), *cells))
    return Table(
        "beside",
        "Changes side by side",
        "Each change against the works as it is, with the same chances on both sides",
        tuple(columns),
        tuple(rows),
    )


def _across(outcome: ChangeOutcome, key: str) -> str:
    found = next((one for one in outcome.figures if one.key == key), None)
    if found is None:
        return ""
    verdict = f"{found.verdict}, {found.good}" if found.good else str(found.verdict)
    if found.verdict is Verdict.SAME:
        return f"{_mean(found.changed, found)} (same)"
    return f"{_mean(found.changed, found)} ({difference_in_words(found)}; {verdict})"


def _mean(value: float, one: Difference) -> str:
    return share(value, 1) if is_share(one.unit) else number(value, 2)


def beside_drawing(runs: Sequence[Named]) -> Drawing | None:
    """The headline figures of every change with their intervals."""
    if not runs:
        return None
    first = runs[0][1].changes[0]
    shown = [one for key in HEADLINES for one in first.figures if one.key == key]
    rows = [
        Row(name, f"{comparison.replications} pairs",
            [_beside(comparison.changes[0], one.key) for one in shown])
        for name, comparison in runs
    ]  # fmt: skip
    heads = [(one.name, "points of per cent" if is_share(one.unit) else one.unit) for one in shown]
    said = (
        "Differences of the changes",
        "For every change and headline figure the difference from the works as it is, with its "
        "interval; a filled diamond is real, an open circle not shown. The table says the same.",
    )
    return changes_beside(("changes", *said), heads, rows)


def _beside(outcome: ChangeOutcome, key: str) -> Beside | None:
    one = next((row for row in outcome.figures if row.key == key), None)
    if one is None:
        return None
    times = 100.0 if is_share(one.unit) else 1.0
    if isnan(one.difference):
        return Beside(one.difference, one.half_width, False, "not known")
    if one.verdict is Verdict.SAME:
        return Beside(0.0, 0.0, False, "same")
    said = signed(times * one.difference, times * one.half_width)
    real = one.verdict is Verdict.REAL
    word = (one.good.value or "real") if real else "not shown"
    return Beside(times * one.difference, times * one.half_width, real, f"{said} {word}")


def holdup_drawing(comparison: Comparison) -> Drawing | None:
    """Hold-ups that differ, the largest difference first, on one scale."""
    shown = comparison.changes[0].holdups[:PLACES]
    if not shown:
        return None
    rows = []
    for one in shown:
        said = signed(one.difference_days, one.half_width)
        real = one.verdict is Verdict.REAL
        cell = Beside(one.difference_days, one.half_width, real, f"{said} {one.verdict}")
        rows.append(Row(one.name, f"{one.cause.value} {one.place_id}", [cell]))
    said3 = (
        "holdups",
        "Hold-ups that differ",
        "Vehicle-days a year at each cause and place, changed less base: left of the line went, "
        "right of it came. A filled diamond is real, an open circle not shown.",
    )
    return changes_beside(said3, [("Vehicle-days a year", "changed less base")], rows)


def one_tables(comparison: Comparison) -> tuple[Table, Table, Table]:
    """What differs, every figure, every hold-up of one run; the change's name left out."""
    differs, figures, hold_ups = comparison_tables(comparison)
    return _without_change(differs), _without_change(figures), _without_change(hold_ups)


def _without_change(table: Table) -> Table:
    columns, rows = table.columns[1:], tuple(row[1:] for row in table.rows)
    return Table(table.name, table.title, table.about, columns, rows)
