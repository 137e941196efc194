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


def run_with_record(
    folder: Path,
    kind: str,
    size: tuple[int | None, int],
    workbook: bool,
    months: int,
    as_json: bool,
) -> None:
    """Write an invented works with months of its record, and say what is in both."""
    from pacewright.office.example_record import make_example_record
    from pacewright.office.folder import what_is_in

    with answering(as_json):
        with waiting() as progress:
            made = make_example_record(folder, kind, size, months, workbook, progress)
        counts, answers = what_is_in(made.works), made.answers
        text = (
            f"{folder}: {made.works.settings.name}, an invented works of "
            f"{counts['vehicles']:,} vehicles.\n"
            f"{made.record}: its record of {months} months, {answers['kept']:,} events; as people "
            f"write, {answers['known']:,} were sent twice and {answers['refused']:,} refused.\n"
            f"See the day with: pacewright today {folder}"
        )
        told = {
            "works": str(folder),
            "rows": counts,
            "record": str(made.record),
            "entries": dict(answers),
            "refused": list(made.refused),
        }
        say(told, text, as_json)
