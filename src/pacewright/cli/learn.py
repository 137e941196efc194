"""``pacewright learn``."""

from pathlib import Path
from typing import TYPE_CHECKING

from pacewright.cli.answer import answering, say
from pacewright.cli.waiting import waiting

if TYPE_CHECKING:
    from pacewright.office.learning import Decision
    from pacewright.plans.learned import Learned, Proposal


SHOWN = 25
"""Proposals shown on the screen, the greatest changes first; JSON and --out hold them all."""


def run(
    path: Path, decision: "Decision", database: str, shown: tuple[bool, Path | None], as_json: bool
) -> None:
    """Show what the record teaches, or decide about it."""
    if decision.accept or decision.reject:
        _decide(path, decision, database, as_json)
    else:
        _show(path, database, shown, as_json)


def _show(path: Path, database: str, shown: tuple[bool, Path | None], as_json: bool) -> None:
    from pacewright.office.learning import learn_from
    from pacewright.reports.learned_tables import learned_summary

    every, out = shown
    with answering(as_json):
        with waiting() as progress:
            learned = learn_from(path, database, progress)
        figures = learned_summary(learned)
        text = _text(learned, every)
        if out:
            from pacewright.office.learning import write_learned

            write_learned(learned, out)
            text += f"\nTables: {out}"
        say({"out": str(out) if out else None, "learned": figures}, text, as_json)


def _decide(path: Path, decision: "Decision", database: str, as_json: bool) -> None:
    from pacewright.office.learning import decide

    with answering(as_json):
        with waiting() as progress:
            accepted, rejected = decide(path, decision, database, progress)
        words = [f"{o.proposal_id}: {_plain(o.old)} is now {_plain(o.proposed)}." for o in accepted]
        words += [f"{one.proposal_id}: stays {_plain(one.old)}." for one in rejected]
        words.append(f"Decided by {decision.by}; kept in the record.")
        done = {
            "accepted": [one.proposal_id for one in accepted],
            "rejected": [one.proposal_id for one in rejected],
        }
        say(done, "\n".join(words), as_json)


def _text(learned: "Learned", every: bool) -> str:
    asked = [one for one in learned.proposals if one.asked]
    lines = [
        f"{learned.works_name}: {learned.events:,} events from {learned.first:%Y-%m-%d} to "
        f"{learned.last:%Y-%m-%d}; {len(learned.proposals)} cells told of, {len(asked)} differ.",
    ]
    if learned.released_a_week:
        mean, low, high = learned.released_a_week
        lines.append(f"Released in a full week: {mean:.1f} (90 %: {low:.1f} to {high:.1f}).")
    for one in learned.proposals if every else asked[:SHOWN]:
        lines += _lines(one)
    if len(asked) > SHOWN and not every:
        lines.append(f"... and {len(asked) - SHOWN} more that change less; --all shows them.")
    lines += [f"Note: {note}" for note in learned.notes]
    if asked:
        lines.append("Nothing is changed: --accept ID or --reject ID decides, --by NAME.")
    return "\n".join(lines)


def _lines(one: "Proposal") -> list[str]:
    on = f" on {one.old_sample:,.0f}" if one.old_sample else ""
    verdict = "" if one.real else " (no real difference)"
    if one.rejected_on:
        verdict = f" (rejected on {one.rejected_on})"
    running = f", {one.running:,} not over yet" if one.running else ""
    told = (
        f"  shown {_plain(one.shown)} by {one.sample:,.0f} {one.of_what}{running}, {one.first} to "
        f"{one.last}"
    )
    return [
        f"{one.proposal_id}",
        f"  {_plain(one.old)}{on} -> {_plain(one.proposed)}, 90 %: {_plain(one.low)} to "
        f"{_plain(one.high)}{verdict}",
        told + (f"; {one.effect}" if one.effect else ""),
    ]


def _plain(figure: float | None) -> str:
    return "blank" if figure is None else f"{figure:.4g}"
