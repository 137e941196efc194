"""``pacewright allot``."""

from collections import defaultdict
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from pacewright.cli.answer import Exit, answering, say
from pacewright.cli.waiting import waiting

if TYPE_CHECKING:
    from pacewright.office.allotting import AllotAsked
    from pacewright.office.booking import Answer
    from pacewright.plans.allotment import Allotment

SHOWN = 40
"""Rows of a list shown as text; JSON always holds all."""


def run(path: Path, asked: "AllotAsked", as_json: bool) -> None:
    """Say who is to get what; book it when told to. A refused issue ends with code 1."""
    from pacewright.office.allotting import allotted
    from pacewright.reports.allotment_tables import allotment_summary

    with answering(as_json):
        with waiting() as progress:
            made, answers = allotted(path, asked, progress)
        booked = [
            {"unit": one.unit, "outcome": answer.outcome.value, "reasons": answer.reasons}
            for one, answer in zip(made.units, answers, strict=False)
        ]
        done = allotment_summary(made) | {"booked": booked}
        say(done, "\n".join([*_lines(made), *_booked(made, answers, asked.by)]), as_json)
    if any(one["outcome"] == "refused" for one in booked):
        raise typer.Exit(Exit.FAULTS)


def _lines(made: "Allotment") -> list[str]:
    lines = [
        f"From the record as of {made.now:%Y-%m-%d %H:%M}, needs until {made.until}: "
        f"{made.card.objective:.1f} weighted vehicle-days, least possible {made.card.bound:.1f} "
        f"({made.card.status})."
    ]
    lines += [f"Issue: {len(made.units) or 'nothing'}", *_issues(made)]
    lines += _some(
        "Marry",
        [
            f"  {one.assembly} to vehicle {one.vehicle_id}, done {one.done}, needed {one.needed}"
            + ("" if one.own else " (came off another vehicle)")
            for one in made.assemblies
        ],
    )
    lines += _some(
        "Waits",
        [
            f"  vehicle {one.vehicle_id} for {one.sort}, needed {one.needed}: "
            + (f"{one.gets}, expected {one.expected}" if one.gets else "none in sight")
            + (f" (shortage list: {one.first_need or 'none in sight'}; {one.why})" * bool(one.why))
            for one in made.awaiting
        ],
    )
    if made.held_back:
        held = ", ".join(made.held_back)
        lines.append(f"Held back until the unit each is matched with is serviceable: {held}.")
    return lines + [f"Note: {note}." for note in made.notes]


def _issues(made: "Allotment") -> list[str]:
    """What is scarce with its reason, a line each; then, by what it goes to, the rest."""
    lines, rest = [], defaultdict(list)
    for one in made.units:
        place = f"{one.to}, needed {one.needed} at {one.fit_stage_id}"
        pair = f" with {one.with_unit}" if one.with_unit else ""
        if one.scarce:
            lines.append(f"  {one.unit}{pair} to {place}: {one.reason}")
        else:
            rest[place].append(one.unit + pair)
    return [*lines, *(f"  to {place}: {', '.join(units)}" for place, units in rest.items())]


def _some(head: str, rows: list[str]) -> list[str]:
    more = [f"  ... and {len(rows) - SHOWN} more; --json shows all."] if len(rows) > SHOWN else []
    return [f"{head}: {len(rows) or 'nothing'}", *rows[:SHOWN], *more]


def _booked(made: "Allotment", answers: "tuple[Answer, ...]", by: str) -> list[str]:
    if not by:
        return ["Nothing was booked. --book --by NAME books the issues; marriages are booked as "
                "they are done."]  # fmt: skip
    kept = sum(one.outcome.value != "refused" for one in answers)
    lines = [f"Booked {kept} of {len(answers)} issues."]
    for one, answer in zip(made.units, answers, strict=True):
        lines += [f"  refused {one.unit}: {reason}" for reason in answer.reasons]
    return lines
