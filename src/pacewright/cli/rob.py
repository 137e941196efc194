"""``pacewright rob``."""

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from pacewright.cli.answer import Exit, answering, say
from pacewright.cli.waiting import waiting

if TYPE_CHECKING:
    from pacewright.office.booking import Answer
    from pacewright.office.robbing import RobAsked
    from pacewright.plans.robbing import RobberyEntry, RobCost, RobSide


def run(path: Path, asked: "RobAsked", as_json: bool) -> None:
    """Say what it would cost; book it on two approvals. Refused: code 1."""
    from pacewright.office.robbing import robbed
    from pacewright.reports.iso import in_iso

    with answering(as_json):
        with waiting() as progress:
            cost, answer = robbed(path, asked, progress)
        said = in_iso(asdict(cost))
        said |= {"hours": cost.hours, "vehicle_days": cost.vehicle_days}
        said["booked"] = in_iso(asdict(answer)) if answer else None
        say(said, "\n".join(_lines(cost, answer)), as_json)
    if cost.refused or (answer is not None and answer.outcome.value == "refused"):
        raise typer.Exit(Exit.FAULTS)


def run_register(path: Path, database: str, as_json: bool) -> None:
    """Every robbing of the record."""
    from pacewright.office.robbing import robbery_register
    from pacewright.reports.iso import in_iso

    with answering(as_json):
        rows = robbery_register(path, database)
        lines = [_entry(one) for one in rows] or ["Nothing was robbed."]
        say({"robberies": in_iso([asdict(one) for one in rows])}, "\n".join(lines), as_json)


def _lines(cost: "RobCost", answer: "Answer | None") -> list[str]:
    head = f"{cost.unit} off {cost.off} for {cost.to}, record as of {cost.now:%Y-%m-%d %H:%M}:"
    if cost.refused:
        return [head, *(f"  refused: {one}" for one in cost.refused)]
    assert cost.robbed is not None
    assert cost.helped is not None
    lines = [
        head,
        _side("robbed", cost.robbed),
        _side("helped", cost.helped),
        f"  all others together: {cost.others_days:+.1f} vehicle-days",
        f"  in all {cost.vehicle_days:+.1f} vehicle-days and {cost.hours:.1f} working hours "
        f"({cost.runs} runs with and without it, chance shared)",
        *(f"Caution: {one}" for one in cost.cautions),
    ]
    if answer is None:
        lines.append("Nothing was booked. Two named approvals book it: --approve NAME --approve "
                     "NAME --reason WORDS.")  # fmt: skip
    else:
        lines.append(f"{answer.outcome.value.capitalize()} in the record.")
        lines += [f"  {one}" for one in answer.reasons]
    return lines


def _side(word: str, one: "RobSide") -> str:
    kept = ""
    if one.keeps_before is not None and one.keeps_after is not None:
        kept = (
            f"; promise {one.promise} kept in {one.keeps_before:.0%} of the runs, then "
            f"{one.keeps_after:.0%}"
        )
    return (
        f"  {word}: vehicle {one.vehicle_id}, {one.hours:.1f} h, release {_day(one.before)}, then "
        f"{_day(one.after)}: {one.days_later:+.1f} ± {one.half_width:.1f} working days{kept}"
    )


def _day(moment: object) -> str:
    return f"{moment:%Y-%m-%d}" if moment is not None else "not in sight"


def _entry(one: "RobberyEntry") -> str:
    good = f"made good {one.made_good}" if one.made_good else "not made good yet"
    return (
        f"{one.at:%Y-%m-%d %H:%M} {one.unit} off {one.off} for {one.to}; approved by "
        f"{one.approved_by} and {one.second_approval}"
        + (f", {one.reason}" if one.reason else "")
        + f"; {one.hours:.1f} h; vehicle {one.robbed_id} without one for {one.owed_days:.1f} "
        f"working days, {good}"
    )
