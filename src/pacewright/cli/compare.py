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


def run(
    paths: tuple[Path, list[Path]],
    out: Path | None,
    asked: "Asked",
    record: tuple[str, bool],
    as_json: bool,
) -> None:
    """Run the works and every change through, and say what is really different.

    Parameters
    ----------
    paths : the works, and the change files.
    record : address of the record's database, and whether to start from it.
    """
    from pacewright.office.paper import write_comparison
    from pacewright.office.planning import open_now, where_from
    from pacewright.office.simulating import refuse_wrong
    from pacewright.office.whatif import make_comparison, read_changes
    from pacewright.reports.comparison_tables import comparison_summary

    (path, changes), (database, with_record) = paths, record
    with answering(as_json):
        refuse_wrong(asked)
        with waiting() as progress:
            progress("reading", 0.0)
            works, notes = open_now(path, database, with_record=with_record)
            differing = read_changes(changes, works)
            comparison = make_comparison(works, differing, asked, progress, notes=where_from(notes))
            progress("writing", 0.0)
            figures = write_comparison(comparison, out) if out else comparison_summary(comparison)
        text = _headline(comparison)
        if out:
            text += f"\nPage: {out / 'comparison.html'}"
        done = {"out": str(out) if out else None, "summary": figures, "notes": notes}
        say(done, text, as_json)


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
