"""``pacewright book``."""

import json
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from pacewright.cli.answer import Exit, answering, say

if TYPE_CHECKING:
    from pacewright.office.booking import Answer, By


def run_kinds(as_json: bool) -> None:
    """List every kind of event with its fields."""
    from pacewright.office.booking import kinds_told

    told = list(kinds_told())
    lines = ["Fields in brackets may be left out; left out, `at` is now.", ""]
    for one in told:
        lines.append(f"{one.kind}: {one.meaning}")
        for name, meaning, needed in one.fields:
            lines.append(f"    {name if needed else f'[{name}]'}  {meaning}")
    rows = [
        {
            "kind": one.kind,
            "meaning": one.meaning,
            "fields": [
                {"field": name, "meaning": meaning, "needed": needed}
                for name, meaning, needed in one.fields
            ],
        }
        for one in told
    ]
    say({"kinds": rows}, "\n".join(lines), as_json)


def called_wrongly(as_json: bool) -> None:
    """Say what a call of this command needs."""
    from pacewright.office.errors import CallError

    with answering(as_json):
        raise CallError(
            "book: WORKS, KIND and --by NAME are needed, each event being of a kind, in the record "
            "of a works, written down by somebody. Give them; --kinds lists the kinds."
        )


def run(
    works: Path,
    kind: str,
    words: list[str],
    by: "By",
    record: "Record",
    as_json: bool,
) -> None:
    """Book one event; a refused one says why and ends with code 1."""
    from pacewright.office.booking import book, entry_from_text, in_its_place

    with answering(as_json):
        now = datetime.now()
        entry = entry_from_text(kind, _cells(words), by, now, record.event_id)
        if record.mends:
            entry = in_its_place(entry, record.mends, record.reason, now)
        (answer,) = book(works, [entry], record.database, dry_run=record.dry_run)
        tell(kind, answer, as_json, dry_run=record.dry_run)


class Record:
    """How an event is to be kept.

    Parameters
    ----------
    database : address of the record; empty: the one of the works.
    event_id : its id; empty: made from what it says.
    mends, reason : the event in whose place it stands, and why; empty: none.
    dry_run : only judge it.
    """

    def __init__(
        self, database: str, event_id: str, mends: str, reason: str, *, dry_run: bool
    ) -> None:
        self.database, self.event_id = database, event_id
        self.mends, self.reason, self.dry_run = mends, reason, dry_run


def _cells(words: list[str]) -> dict[str, str]:
    from pacewright.office.booking import NotAnEventError

    faults, cells = [], {}
    for word in words:
        name, mark, text = word.partition("=")
        if not mark:
            faults.append(f"'{word}': a field is written FIELD=VALUE. Write it so.")
        elif name in cells:
            faults.append(f"{name}: given twice. A field is given once. Leave one out.")
        cells[name] = text
    if faults:
        raise NotAnEventError(faults)
    return cells


def tell(kind: str, answer: "Answer", as_json: bool, *, dry_run: bool) -> None:
    """Say what became of an entry.

    Raises
    ------
    typer.Exit : with code 1 when it was refused.
    """
    told: dict[str, Any] = {
        "event_id": answer.event_id,
        "kind": kind,
        "outcome": answer.outcome.value,
        "place": answer.place,
        "reasons": list(answer.reasons),
    }
    if answer.outcome.value != "refused":
        word = "would be kept" if dry_run and answer.outcome.value == "kept" else told["outcome"]
        place = f" at place {answer.place}" if answer.place else ""
        say(told, f"{kind}: {word}{place}. Event {answer.event_id}.", as_json)
        return
    if as_json:
        print(json.dumps({"status": "refused", **told}, ensure_ascii=False))
    else:
        typer.echo("\n".join([f"{kind}: refused. Nothing was changed.", *answer.reasons]), err=True)
    raise typer.Exit(Exit.FAULTS)
