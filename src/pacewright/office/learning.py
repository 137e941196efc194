"""Learn from the record of a works, and write into its tables what a person accepts."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from fnmatch import fnmatchcase
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from pacewright.base.faults import CallError, NameHint
from pacewright.base.progress import Progress, silent
from pacewright.events.record import FactorDecided
from pacewright.events.things import Event
from pacewright.plans.learned import Learned, Proposal
from pacewright.works import Works

if TYPE_CHECKING:
    from pacewright.ledger.entry import Entry, Manner

NO_RECORD = (
    "{works} has no record; factors are learned from what is recorded. Book or import what "
    "happens in the works first."
)
_TOLD_EVERY = 20_000


def learn_from(works_path: Path, database: str = "", progress: Progress = silent) -> Learned:
    """What the record of a works teaches; nothing is changed.

    Parameters
    ----------
    works_path : works folder or workbook.
    database : address of the record; empty: as ``office.record.record_address`` says.

    Raises
    ------
    WorksFaultyError : the works cannot be read; with every fault.
    CallError : there is no record, or it cannot be opened.
    """
    from pacewright.office.folder import open_works

    works, _ = open_works(works_path)
    return _learned(works, works_path, database, progress)


def _learned(works: Works, works_path: Path, database: str, progress: Progress) -> Learned:
    from pacewright.life.learn import learn
    from pacewright.office.record import has_record, open_record

    if not has_record(works_path, database):
        raise CallError(NO_RECORD.format(works=works_path))
    with open_record(works_path, database, create=False, read_only=True) as record:
        count = record.head().place
        return learn(works, _told(record.mended(), count, progress))


def _told(events: Iterator[Event], count: int, progress: Progress) -> Iterator[Event]:
    for place, event in enumerate(events):
        if place % _TOLD_EVERY == 0:
            progress("reading the record", min(place / max(count, 1), 1.0))
        yield event


@dataclass(frozen=True, slots=True)
class Decision:
    """What a person decides about proposals.

    Parameters
    ----------
    accept, reject : proposal ids; with stars every one of the pattern that is asked.
    by : who decides.
    reason : why; needed for a rejection.
    at : moment of the decision, works clock; None: the last the record tells of.
    """

    accept: tuple[str, ...]
    reject: tuple[str, ...]
    by: str
    reason: str = ""
    at: datetime | None = None


def decide(
    works_path: Path, decision: Decision, database: str = "", progress: Progress = silent
) -> tuple[tuple[Proposal, ...], tuple[Proposal, ...]]:
    """Write accepted figures into the tables, and every decision into the record.

    Parameters
    ----------
    works_path : works folder; a workbook is not rewritten.

    Returns
    -------
    The proposals accepted, and those rejected.

    Raises
    ------
    WorksFaultyError : the works cannot be read, now or with the new figures; nothing was changed.
    CallError : an unknown proposal, no name, no reason, a workbook, a table or record that cannot
        be written; nothing was changed.
    """
    from pacewright.office.folder import open_works
    from pacewright.office.rewriting import Rewritten

    _refuse_wrong(works_path, decision)
    works, _ = open_works(works_path)
    learned = _learned(works, works_path, database, progress)
    known = {one.proposal_id: one for one in learned.proposals}
    accepted = [known[one] for one in _named(decision.accept, known)]
    rejected = [known[one] for one in _named(decision.reject, known)]
    _refuse_both(accepted, rejected)
    entries = [(one, True) for one in accepted] + [(one, False) for one in rejected]
    with Rewritten(works_path, accepted) as kept:
        moment = _moment(decision, learned)
        told = decision_entries(decision, entries, moment)
        _record(works, works_path, database, told, _manner(learned, moment))
        kept.stay()
    return tuple(accepted), tuple(rejected)


def _named(asked: Iterable[str], known: Mapping[str, Proposal]) -> list[str]:
    """The proposals named; a name with stars stands for those of the pattern that are asked."""
    found: dict[str, None] = {}
    hint = NameHint(known)
    for name in asked:
        if "*" in name:
            named = [one for one in known if known[one].asked and fnmatchcase(one, name)]
        else:
            named = [name] if name in known else []
        if not named:
            raise CallError(
                f"{name}: the record proposes nothing of that name. A decision names a "
                f"proposal as `pacewright learn` lists it.{hint(name)}"
            )
        found |= dict.fromkeys(named)
    return list(found)


def _moment(decision: Decision, learned: Learned) -> datetime:
    """By the works clock, so that a record of another time is not told of the machine's."""
    last = learned.last
    if decision.at is None:
        return last or datetime.now().replace(second=0, microsecond=0)
    if last is not None and decision.at < last:
        raise CallError(
            f"--at {decision.at:%Y-%m-%d %H:%M}: the record tells of {last:%Y-%m-%d %H:%M} "
            "already, and the decision rests on that. Give that moment or a later one."
        )
    return decision.at


def _manner(learned: Learned, moment: datetime) -> "Manner":
    """A record that is ahead of the machine's clock has a time of its own."""
    from pacewright.ledger.entry import Manner

    last = learned.last
    own_time = last is not None and (last == moment or last > datetime.now())
    return Manner(ahead=None) if own_time else Manner()


def _refuse_both(accepted: Sequence[Proposal], rejected: Sequence[Proposal]) -> None:
    both = sorted({one.proposal_id for one in accepted} & {one.proposal_id for one in rejected})
    if both:
        raise CallError(f"{', '.join(both)}: accepted and rejected at once. Leave one of both out.")


def _refuse_wrong(works_path: Path, decision: Decision) -> None:
    if not decision.by.strip():
        raise CallError("No name. Whoever decides is named; give --by NAME.")
    if decision.reject and not decision.reason.strip():
        raise CallError("No reason. A rejection says why; give --reason TEXT.")
    if decision.accept and works_path.is_file():
        raise CallError(
            f"{works_path} is a workbook, which is not rewritten here: its formats would be lost. "
            "Write the accepted figures into its sheets yourself, or keep the works as a folder of "
            "CSV tables."
        )


def _record(
    works: Works,
    works_path: Path,
    database: str,
    told: "Sequence[Entry]",
    manner: "Manner",
) -> None:
    from pacewright.control.door import door_of
    from pacewright.ledger.entry import Outcome
    from pacewright.office.record import open_record

    door = door_of(works)
    with open_record(works_path, database, door, create=False, manner=manner) as record:
        answers = record.append(told, together=True)
    refused = [
        reason for one in answers if one.outcome is Outcome.REFUSED for reason in one.reasons
    ]
    if refused:
        raise CallError("\n".join(["The record refused the decision; nothing changed.", *refused]))


def decision_entries(
    decision: Decision, decided: Sequence[tuple[Proposal, bool]], now: datetime
) -> "list[Entry]":
    """What the record is told of decisions.

    Parameters
    ----------
    decided : each proposal, and whether it was accepted.
    now : moment of the decision, works clock.
    """
    from pacewright.ledger.entry import Entry

    return [
        Entry(_event_id(one, accepted), _event(one, accepted, decision, now), decision.by)
        for one, accepted in decided
    ]


def _event(one: Proposal, accepted: bool, decision: Decision, now: datetime) -> FactorDecided:
    from pacewright.files.write import cell_text

    return FactorDecided(
        now,
        one.table,
        one.row,
        one.column,
        cell_text(one.old),
        cell_text(one.proposed),
        accepted,
        float(one.new_sample if accepted else one.sample),
        decision.by,
        decision.reason,
    )


def _event_id(one: Proposal, accepted: bool) -> str:
    told = repr((one.proposal_id, one.old, one.proposed, one.sample, str(one.last), accepted))
    return f"factor-{sha256(told.encode()).hexdigest()[:24]}"


def write_learned(learned: Learned, out: Path) -> None:
    """Write ``summary.json`` and ``tables/*.csv`` into ``out``.

    Raises
    ------
    CallError : the folder cannot be written; what stood there still stands.
    """
    import json

    from pacewright.files.whole import write_whole
    from pacewright.reports.csvfile import csv_bytes
    from pacewright.reports.learned_tables import learned_summary, learned_tables

    text = json.dumps(learned_summary(learned), indent=2, ensure_ascii=False) + "\n"
    files = {"summary.json": text.encode()}
    files |= {f"tables/{one.name}.csv": csv_bytes(one) for one in learned_tables(learned)}
    try:
        write_whole(out, files)
    except OSError as error:
        raise CallError(f"{out}: {error}. Nothing was written; choose another folder.") from error
