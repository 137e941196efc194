"""``pacewright import``."""

import json
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from pacewright.cli.answer import SHOWN, Exit, answering, say
from pacewright.cli.waiting import waiting

if TYPE_CHECKING:
    from pacewright.office.importing import Imported


def run_template(folder: Path, as_json: bool) -> None:
    """Write the empty sheets."""
    from pacewright.office.importing import write_templates

    with answering(as_json):
        names = write_templates(folder)
        text = f"{folder}: {len(names)} empty files; fill in the sheets you need, leave the rest."
        say({"out": str(folder), "files": list(names)}, text, as_json)


def called_wrongly(as_json: bool) -> None:
    """Say what a call of this command needs."""
    from pacewright.office.errors import CallError

    with answering(as_json):
        raise CallError(
            "import: WORKS, one FILE or more and --by NAME are needed, each row being of a works "
            "and handed in by somebody. Give them; --template DIR writes empty sheets."
        )


def run(
    works: Path, files: list[Path], by: str, database: str, how: tuple[bool, bool], as_json: bool
) -> None:
    """Take daily sheets into the record; refused rows end with code 1.

    Parameters
    ----------
    how : all or none; only say what would be kept.
    """
    from pacewright.office.importing import import_daily

    together, dry_run = how
    with answering(as_json):
        with waiting() as progress:
            progress("reading", 0.0)
            done = import_daily(works, files, by, database, together=together, dry_run=dry_run)
        told = {**asdict(done), "refused": [asdict(one) for one in done.refused]}
        if not done.refused:
            say(told, _counts(done), as_json)
            return
        if as_json:
            print(json.dumps({"status": "refused", **told}, ensure_ascii=False))
        else:
            typer.echo(_counts(done))
            typer.echo("\n".join(_reasons(done)), err=True)
        raise typer.Exit(Exit.FAULTS)


def _counts(done: "Imported") -> str:
    would = "would be kept" if done.dry_run else "kept"
    return (
        f"Events {would}: {done.kept}; known already: {done.known}; refused: {len(done.refused)}."
    )


def _reasons(done: "Imported") -> list[str]:
    lines = [
        f"{one.where}, {one.kind}: {reason}"
        for one in done.refused[:SHOWN]
        for reason in one.reasons
    ]
    if len(done.refused) > SHOWN:
        lines.append(f"... and {len(done.refused) - SHOWN} more rows; --json shows all.")
    return lines
