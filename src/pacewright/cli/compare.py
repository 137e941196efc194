"""``pacewright compare``."""

from pathlib import Path
from typing import TYPE_CHECKING

from pacewright.cli.answer import answering, say
from pacewright.cli.waiting import waiting

if TYPE_CHECKING:
    from pacewright.office.simulating import Asked
    from pacewright.plans.comparison import Comparison

SHOWN = (
    "output_a_week",
    "turn_days_mean",
    "promise_chance",
    "inside_mean",
    "holdup_days",
)
"""Figures named on the screen."""


def run(path: Path, changes: list[Path], out: Path | None, asked: "Asked", as_json: bool) -> None:
    """Run the works and every change through, and say what is really different."""
    from pacewright.office.folder import open_works
    from pacewright.office.paper import write_comparison
    from pacewright.office.simulating import refuse_wrong
    from pacewright.office.whatif import make_comparison, read_changes
    from pacewright.reports.comparison_tables import comparison_summary

    with answering(as_json):
        refuse_wrong(asked)
        with waiting() as progress:
            progress("reading", 0.0)
            works, _ = open_works(path)
            comparison = make_comparison(works, read_changes(changes, works), asked, progress)
            progress("writing", 0.0)
            figures = write_comparison(comparison, out) if out else comparison_summary(comparison)
        text = _headline(comparison)
        if out:
            text += f"\nPage: {out / 'comparison.html'}"
        say({"out": str(out) if out else None, "summary": figures}, text, as_json)


def _headline(comparison: "Comparison") -> str:
    from pacewright.reports.comparison_page import difference_in_words

    lines = [
        f"{comparison.works_name}: {len(comparison.changes)} compared with it as it is, "
        f"{comparison.replications} replications each, chances shared"
        f"{_ended(comparison)}."
    ]
    for change in comparison.changes:
        lines.append(f"\n{change.name}")
        for one in change.figures:
            if one.key in SHOWN:
                good = f", {one.good}" if one.good else ""
                lines.append(f"  {one.name}: {difference_in_words(one)} ({one.verdict}{good})")
        lines += [f"  Note: {note}" for note in change.notes]
    return "\n".join([*lines, *(f"Note: {note}" for note in comparison.notes)])


def _ended(comparison: "Comparison") -> str:
    asked = ""
    if comparison.precision is not None:
        asked = f"; half width of the differences of {comparison.of} over the base"
    return {
        "interrupted": "; stopped before the end, the figures rest on these",
        "precision": f"{asked} is {comparison.precision} or less, as asked",
        "limit": f"{asked} is not yet {comparison.precision}: the limit came first",
    }.get(comparison.stopped_by, "")
