"""A comparison as tables for files, and as a dictionary for machines."""

from dataclasses import asdict
from typing import Any

from pacewright.plans.comparison import Comparison
from pacewright.reports.summary import plain
from pacewright.reports.table import Table, number, table, text, whole


def comparison_tables(comparison: Comparison) -> tuple[Table, ...]:
    """Every figure and every hold-up of every change."""
    return (_differs(comparison), _figures(comparison), _hold_ups(comparison))


def _differs(comparison: Comparison) -> Table:
    return table(
        ("changes", "Changes", "What differs from the works as it is, one row each"),
        (
            text("change", "change", lambda r: r[0]),
            text("differs", "what differs", lambda r: r[1]),
        ),
        [(change.name, line) for change in comparison.changes for line in change.differs],
    )


def _figures(comparison: Comparison) -> Table:
    return table(
        ("differences", "Figures of the works", "Changed less base, same chances on both sides"),
        (
            text("change", "change", lambda r: r[0]),
            text("figure", "key of the figure", lambda r: r[1].key),
            text("name", "figure", lambda r: r[1].name),
            text("unit", "unit of the four numbers that follow", lambda r: r[1].unit),
            number("base", "mean of the works as it is", "unit", lambda r: r[1].base),
            number("changed", "mean with the change", "unit", lambda r: r[1].changed),
            number("difference", "mean of the paired differences", "unit",
                   lambda r: r[1].difference),
            number("half_width", "of the interval of the difference", "unit",
                   lambda r: r[1].half_width),
            text("verdict", "real, not shown, or same", lambda r: r[1].verdict),
            text("good", "better or worse, where the difference is real and it is either",
                 lambda r: r[1].good),
            whole("replications", "pairs that know the figure", "pairs",
                  lambda r: r[1].replications),
            number("times_fewer", "times fewer replications than with chances drawn apart",
                   "times", lambda r: r[1].times_fewer),
        ),
        [(change.name, one) for change in comparison.changes for one in change.figures],
    )  # fmt: skip


def _hold_ups(comparison: Comparison) -> Table:
    return table(
        ("hold_ups", "Hold-ups that differ", "Working days vehicles stand in a year of 52 weeks"),
        (
            text("change", "change", lambda r: r[0]),
            text("cause", "why vehicles stand", lambda r: r[1].cause),
            text("place_id", "where", lambda r: r[1].place_id),
            text("name", "where, in words", lambda r: r[1].name),
            text("shop_id", "shop", lambda r: r[1].shop_id),
            number("base_days", "as it is", "vehicle-days a year", lambda r: r[1].base_days),
            number("changed_days", "with the change", "vehicle-days a year",
                   lambda r: r[1].changed_days),
            number("difference_days", "mean of the paired differences", "vehicle-days a year",
                   lambda r: r[1].difference_days),
            number("half_width", "of its interval", "vehicle-days a year",
                   lambda r: r[1].half_width),
            text("verdict", "real or not shown", lambda r: r[1].verdict),
        ),
        [(change.name, one) for change in comparison.changes for one in change.holdups],
    )  # fmt: skip


def comparison_summary(comparison: Comparison) -> dict[str, Any]:
    """The comparison for JSON: dates in ISO 8601, what has no number is None.

    Figures stand under their keys; ``hold_ups`` holds those whose difference is real.
    """
    head = asdict(comparison)
    del head["changes"]
    changes = {}
    for change in comparison.changes:
        real = [asdict(one) for one in change.holdups if one.verdict == "real"]
        changes[change.name] = {
            "differs": list(change.differs),
            "figures": {one.key: plain(asdict(one)) for one in change.figures},
            "hold_ups": [plain(one) for one in real],
            "notes": list(change.notes),
        }
    made: dict[str, Any] = plain(head) | {"notes": list(comparison.notes), "changes": changes}
    return made
