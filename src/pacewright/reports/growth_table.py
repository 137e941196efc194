"""The path of a growth as a table and as a dictionary."""

from dataclasses import fields
from typing import Any

from pacewright.plans.growth import Growth
from pacewright.reports.summary import plain
from pacewright.reports.table import Table, number, share, table, text, whole, yes_no


def growth_table(growth: Growth) -> Table:
    """Which step bought what, in order."""
    return table(
        ("path", "Path", "What was added, in the order it was added, and what it bought"),
        (
            text("added", "what was added"),
            text("place_id", "crew (shop trade), stage or unit kind"),
            whole("how_many", "so many more", "pieces"),
            number("cost", "money, or a count where no price was given", "money or pieces"),
            share("promise_chance", "vehicles in time after it"),
            share("half_width", "of its interval"),
            number("there_mean", "at the gate and inside after it", "vehicles"),
            yes_no("taken_back", "yes: the trimming found it idle"),
            text("why", "what asked for it"),
        ),
        growth.steps,
    )


def growth_summary(growth: Growth) -> dict[str, Any]:
    """The growth for JSON; the steps as rows of the path."""
    path = growth_table(growth)
    names = [column.name for column in path.columns]
    head = {
        one.name: plain(getattr(growth, one.name))
        for one in fields(growth)
        if one.name not in ("steps", "works")
    }
    return head | {"steps": [dict(zip(names, row, strict=True)) for row in path.rows]}
