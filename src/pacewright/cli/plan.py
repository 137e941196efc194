"""``pacewright plan``."""

from pathlib import Path
from typing import Any

from pacewright.cli.answer import answering, say
from pacewright.cli.waiting import waiting


def run(path: Path, out: Path, as_json: bool) -> None:
    """Plan the works and write the report folder, whole or not at all."""
    from pacewright.office.folder import open_works
    from pacewright.office.paper import write_plan
    from pacewright.office.planning import make_plan

    with answering(as_json):
        with waiting() as progress:
            progress("reading", 0.0)
            works, notes = open_works(path)
            plan = make_plan(works, notes, progress)
            progress("writing the report", 0.0)
            figures = write_plan(plan, works, out)
        say({"out": str(out), "summary": figures}, _headline(figures, out), as_json)


def _headline(figures: dict[str, Any], out: Path) -> str:
    return f"Report: {out / 'report.html'}"
