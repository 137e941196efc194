"""``pacewright record``."""

import json
from dataclasses import asdict, dataclass
from datetime import datetime
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from pacewright.cli.answer import SHOWN, Exit, answering, say
from pacewright.cli.waiting import waiting

if TYPE_CHECKING:
    from pacewright.office.record import Kept, Verified


@dataclass(frozen=True, slots=True)
class Shown:
    """Which entries are shown; what is empty does not matter."""

    about: str
    kind: str
    by: str
    since: str
    limit: int
    oldest_first: bool


def run_show(works: Path, shown: Shown, database: str, as_json: bool) -> None:
    """Show entries of the record."""
    from pacewright.office.errors import CallError
    from pacewright.office.record import faults_of_filters, open_record

    with answering(as_json):
        faults = faults_of_filters(shown.about, shown.kind)
        if faults:
            raise CallError("\n".join(f"--{one}" for one in faults))
        since = _moment(shown.since) if shown.since else None
        with open_record(works, database, create=False, read_only=True) as ledger:
            found = ledger.entries(
                about=shown.about,
                kind=shown.kind,
                by=shown.by,
                since=since,
                newest_first=not shown.oldest_first,
                limit=shown.limit,
            )
            rows = [_row(one) for one in islice(found, shown.limit)]
        text = "\n".join(_line(one) for one in rows) or "No such entry in the record."
        say({"entries": rows}, text, as_json)


def _moment(written: str) -> datetime:
    from pacewright.office.errors import CallError

    try:
        moment = datetime.fromisoformat(written)
    except ValueError:
        moment = None
    if moment is None or moment.tzinfo is not None:
        raise CallError(
            f"--since {written}: a moment of the works clock is wanted. "
            "Write it as 2026-03-02T07:30, or 2026-03-02."
        )
    return moment


def _row(kept: "Kept") -> dict[str, Any]:
    from pacewright.events.written import write_event

    entry = kept.entry
    return {
        "place": kept.place,
        "event_id": entry.event_id,
        "event": write_event(entry.event),
        "recorded_at": kept.recorded_at.isoformat(),
        "recorded_by": entry.recorded_by,
        "device": entry.device,
        "reference": entry.reference,
        "digest": kept.digest,
    }


def _line(row: dict[str, Any]) -> str:
    told = dict(row["event"])
    kind, at, _ = told.pop("kind"), told.pop("at"), told.pop("version")
    fields = "  ".join(
        f"{name}={_cell(cell)}" for name, cell in told.items() if cell not in ("", None)
    )
    by = " ".join(filter(None, (row["recorded_by"], row["device"], row["reference"])))
    return f"{row['place']:>8}  {at[:16]}  {kind}  {fields}  ({by}; {row['event_id']})"


def _cell(cell: Any) -> str:
    # A piece or unit is a list of two texts, and is scanned with a colon between them.
    if isinstance(cell, list) and len(cell) == 2 and all(isinstance(one, str) for one in cell):
        return ":".join(cell)
    if isinstance(cell, list):
        return ",".join(map(_cell, cell))
    return json.dumps(cell, ensure_ascii=False) if isinstance(cell, dict) else str(cell)


def run_verify(works: Path, head: str, drop: bool, database: str, as_json: bool) -> None:
    """Go through the record; with faults the command ends with code 1."""
    from pacewright.office.record import drop_snapshots, verify_record

    with answering(as_json):
        if drop:
            drop_snapshots(works, database)
        with waiting() as progress:
            found = verify_record(works, database, head, progress)
        if found.sound:
            say(_told(found), _sound_text(found), as_json)
            return
        lines = [
            f"{len(found.faults)} faults found. {found.head.place:,} events were gone through."
        ]
        lines += map(str, found.faults[:SHOWN])
        if as_json:
            print(json.dumps({"status": "faults", **_told(found)}, ensure_ascii=False))
        else:
            typer.echo("\n".join(lines), err=True)
        raise typer.Exit(Exit.FAULTS)


def _told(found: "Verified") -> dict[str, Any]:
    return {
        "events": found.head.place,
        "head": _head(found),
        "snapshots": found.snapshots,
        "faults": [asdict(one) for one in found.faults],
        "notes": list(found.notes),
    }


def _head(found: "Verified") -> str:
    return f"{found.head.place}:{found.head.digest}"


def _sound_text(found: "Verified") -> str:
    lines = [
        f"{found.head.place:,} events: none changed, none missing, every one possible.",
        f"Head {_head(found)}",
        "Note the head elsewhere; record verify --head then shows that nothing was taken off.",
    ]
    if found.notes:
        lines.append(f"Clocks set back: {len(found.notes)}. The first: {found.notes[0]}")
    return "\n".join(lines)


def run_backup(works: Path, file: Path, database: str, as_json: bool) -> None:
    """Copy the record to a file."""
    from pacewright.office.record import backup_record

    with answering(as_json):
        with waiting() as progress:
            found = backup_record(works, file, database, progress)
        say(
            {"backup": str(file), **_told(found)}, f"{file}: backup.\n{_sound_text(found)}", as_json
        )


def run_restore(works: Path, file: Path, database: str, as_json: bool) -> None:
    """Put a backup in place."""
    from pacewright.office.record import restore_record

    with answering(as_json):
        with waiting() as progress:
            found = restore_record(works, file, database, progress)
        say(
            {"restored": str(file), **_told(found)},
            f"{file}: restored.\n{_sound_text(found)}",
            as_json,
        )
