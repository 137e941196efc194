"""``pacewright check``."""

from pathlib import Path

from pacewright.cli.answer import answering, say
from pacewright.cli.waiting import waiting


def run(path: Path, as_json: bool) -> None:
    """Read and cross-check the works; say what is in it and what is assumed."""
    from pacewright.office.folder import open_works, what_is_in

    with answering(as_json):
        with waiting() as progress:
            progress("reading", 0.0)
            works, notes = open_works(path)
        counts = what_is_in(works)
        lines = [f"{works.settings.name}: no fault found."]
        lines += [f"  {count:>9,} {table}" for table, count in counts.items()]
        lines += [f"Note: {note}" for note in notes]
        say(
            {"works": works.settings.name, "rows": counts, "notes": notes},
            "\n".join(lines),
            as_json,
        )
