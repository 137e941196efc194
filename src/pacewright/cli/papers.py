"""``pacewright paper``."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from pacewright.cli.answer import answering, say
from pacewright.cli.waiting import waiting

MOST_LACKING = 5
"""Texts with signs of no font that are told; all stand in the answer as JSON."""


@dataclass(frozen=True, slots=True)
class Wish:
    """What paper is wanted: its sort, picks as ``name=value``, and what it is made from."""

    sort: str
    words: Sequence[str]
    database: str
    at: datetime | None
    with_plan: bool


def run(works: Path, wish: Wish, out: Path | None, as_json: bool) -> None:
    """Write one paper as PDF and say where it is."""
    from pacewright.office.papers import asked_from_words, paper_of_folder, write_paper

    with answering(as_json):
        with waiting() as progress:
            asked = asked_from_words(wish.words)
            found = (wish.database, wish.at, wish.with_plan)
            file = paper_of_folder(works, wish.sort, asked, found, progress)
        path = out or Path(file.name)
        write_paper(path, file.made)
        told = [*file.lacking[:MOST_LACKING]]
        if len(file.lacking) > MOST_LACKING:
            told.append(f"and {len(file.lacking) - MOST_LACKING:,} more texts with such signs.")
        answer = {"paper": str(path), "bytes": len(file.made), "lacking": list(file.lacking)}
        say(answer, "\n".join([*told, f"Paper: {path}"]), as_json)


def run_sorts(as_json: bool) -> None:
    """List every sort of paper and what it is picked by."""
    from pacewright.office.papers import sorts

    lines, rows = [], []
    for one in sorts():
        lines += [f"{one.key}: {one.about}"]
        lines += [f"    {name}  {meaning}" for name, meaning in one.picks.items()]
        rows.append({"sort": one.key, "about": one.about, "picks": dict(one.picks)})
    say({"sorts": rows}, "\n".join(lines), as_json)


def called_wrongly(as_json: bool) -> None:
    """Say what a call of this command needs."""
    from pacewright.office.errors import CallError

    with answering(as_json):
        raise CallError(
            "paper: WORKS and SORT are needed. A paper is of a sort and of a works. Give them; "
            "--sorts lists the sorts."
        )
