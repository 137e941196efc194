"""What the record teaches, as tables and as a dictionary."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from pacewright.plans.learned import Learned, Proposal
from pacewright.reports.table import Table, day, number, table, text, whole, yes_no


def learned_tables(learned: Learned) -> tuple[Table, ...]:
    """Proposals, turn times, lives of parts."""
    proposals = proposals_table(
        learned.proposals,
        "proposals",
        "Proposals",
        "What the record shows beside what stands in the tables",
    )
    return (proposals, _turn_times(learned), _lives(learned))


def learned_summary(learned: Learned) -> dict[str, Any]:
    """Everything as plain values; dates in ISO 8601."""
    tree = asdict(learned)
    for line, one in zip(tree["proposals"], learned.proposals, strict=True):
        line["proposal_id"], line["asked"] = one.proposal_id, one.asked
        for name in ("first", "last", "rejected_on"):
            line[name] = str(line[name]) if line[name] else None
    for name in ("first", "last"):
        tree[name] = tree[name].isoformat() if tree[name] else None
    return tree


def proposals_table(
    proposals: Sequence[Proposal], name: str, title: str, about: str = "The largest change first"
) -> Table:
    """Proposals as rows."""
    return table(
        (name, title, about),
        (
            text("proposal_id", "name for --accept and --reject"),
            yes_no("asked", "yes: it differs for real and was not rejected before"),
            text("table", "table"),
            text("row", "key of the row"),
            text("column", "column"),
            number("old", "what stands there", "as the column"),
            number("old_sample", "on how many that rests; blank: not told", "cases"),
            number("shown", "what the record alone shows", "as the column"),
            number("sample", "on how many that was counted", "cases"),
            text("of_what", "what was counted"),
            whole("running", "not over yet, reckoned in", "cases"),
            day("first", "first day counted"),
            day("last", "last day counted"),
            number("proposed", "shown, drawn to the old value by its weight", "as the column"),
            number("low", "the true figure lies above this with a chance of 95 %", "as the column"),
            number("high", "and below this with a chance of 95 %", "as the column"),
            yes_no("real", "yes: the old value lies outside the range of 99 %"),
            text("effect", "what it would change"),
            day("rejected_on", "day it was rejected on evidence not much smaller"),
        ),
        proposals,
    )


def _turn_times(learned: Learned) -> Table:
    return table(
        ("turn_times", "Turn times", "From removal to serviceable, those in repair reckoned in"),
        (
            text("unit_kind_id", "unit kind"),
            number("mean_days", "mean, drawn to the table's by its weight", "working days"),
            number("sd_days", "standard deviation", "working days"),
            number("median_days", "half were made good by then; blank: not seen", "working days"),
            whole("sample", "made good", "units"),
            whole("in_repair", "not made good yet", "units"),
        ),
        learned.turn_times,
    )


def _lives(learned: Learned) -> Table:
    return table(
        ("part_lives", "Lives of parts", "From fitting to removal, those on vehicles reckoned in"),
        (
            text("unit_kind_id", "unit kind"),
            text("measure", "days of the calendar, or the distance unit"),
            whole("removed", "seen fitted and removed again", "units"),
            whole("on_vehicle", "seen fitted, still on", "units"),
            number("median", "half were removed by then; blank: not seen", "as the measure"),
            number("shape", "Weibull shape: above 1 wear, at 1 chance", "none"),
            number("shape_low", "of its 90 % range", "none"),
            number("shape_high", "of its 90 % range", "none"),
            number("scale", "Weibull scale: 63 % removed by then", "as the measure"),
        ),
        learned.lives,
    )
