"""``pacewright example``."""

from pathlib import Path

from pacewright.cli.answer import answering, say
from pacewright.cli.waiting import waiting


def run(
    folder: Path, kind: str, size: tuple[int | None, int], workbook: bool, as_json: bool
) -> None:
    """Write an invented works and say what is in it."""
    from pacewright.office.example import make_example
    from pacewright.office.folder import what_is_in

    with answering(as_json):
        with waiting() as progress:
            works = make_example(folder, kind, size, workbook, progress)
        counts = what_is_in(works)
        text = (
            f"{folder}: {works.settings.name}, an invented works of {counts['vehicles']:,} "
            f"vehicles.\nPlan it with: pacewright plan {folder} --out {folder}-plan"
        )
        say({"works": str(folder), "rows": counts}, text, as_json)
