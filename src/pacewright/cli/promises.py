"""``pacewright promises``."""

from pathlib import Path
from typing import TYPE_CHECKING

from pacewright.cli.answer import answering, say
from pacewright.cli.waiting import waiting

if TYPE_CHECKING:
    from pacewright.office.promising import PromisesAsked
    from pacewright.plans.promise import PromiseList, VehiclePromise


def run(path: Path, vehicle: str, asked: "PromisesAsked", out: Path | None, as_json: bool) -> None:
    """Say what was promised and what is forecast."""
    from dataclasses import replace

    from pacewright.office.errors import CallError
    from pacewright.office.promising import promise_list, write_promises
    from pacewright.reports.promise_tables import promise_summary

    with answering(as_json):
        with waiting() as progress:
            made = promise_list(path, asked, progress)
        if vehicle:
            mine = tuple(one for one in made.vehicles if one.vehicle_id == vehicle)
            if not mine:
                raise CallError(
                    f"--vehicle {vehicle}: not inside, at the gate or called in soon by the "
                    "record. Check the number."
                )
            changes = tuple(one for one in made.changes if one.vehicle_id == vehicle)
            made = replace(made, vehicles=mine, changes=changes, came=(), gone=())
        if out:
            write_promises(made, out)
        text = "\n".join(_lines(made)) + (f"\nTables: {out}" if out else "")
        say(promise_summary(made) | {"out": str(out) if out else None}, text, as_json)


def _lines(made: "PromiseList") -> list[str]:
    head = (
        f"From the record as of {made.now:%Y-%m-%d %H:%M}: "
        f"{len(made.vehicles)} {'vehicle' if len(made.vehicles) == 1 else 'vehicles'}, "
        f"{made.runs} runs. Range: {made.confidence:.0%} of the runs. A promise of the day "
        f"under 'to give' is kept in {made.promise_target:.0%}."
    )
    titles = (
        f"{'vehicle':<12} {'stage':<12} {'first':<10} {'promise':<10} {'expected':<10} "
        f"{'range':<23} {'to give':<10} {'kept':>5}  threat"
    )
    return [head, titles, *(_line(one) for one in made.vehicles), *_changes(made), *_notes(made)]


def _line(one: "VehiclePromise") -> str:
    from pacewright.reports.promise_tables import threat_words

    kept = "" if one.keeps_share is None else f"{one.keeps_share:.0%}"
    place = one.stage_id or one.phase
    days = f", {one.threat.days:.1f} days" if one.threat and one.threat.cause else ""
    return (
        f"{one.vehicle_id:<12} {place:<12} {_day(one.first_promise):<10} {_day(one.promise):<10} "
        f"{_day(one.expected):<10} {_day(one.earliest)} - {_day(one.latest)} "
        f"{_day(one.to_promise)} {kept:>5}  "
        f"{threat_words(one)}{days}"
    )


def _day(moment: object) -> str:
    return f"{moment:%Y-%m-%d}" if moment is not None else "-".ljust(10)


def _changes(made: "PromiseList") -> list[str]:
    if made.since is None:
        return []
    lines = [f"Since {made.since:%Y-%m-%d %H:%M}, beyond the noise of the runs:"]
    for one in made.changes:
        moved = "later" if one.days_later > 0 else "sooner"
        promise = ""
        if one.promise_was != one.promise_now:
            promise = (
                f"; promise {_day(one.promise_was).strip()} -> {_day(one.promise_now).strip()}"
            )
        lines.append(
            f"  {one.vehicle_id}: {abs(one.days_later):.1f} ± {one.half_width:.1f} working days "
            f"{moved}{promise}"
        )
    if not made.changes:
        lines.append("  nothing")
    if made.came:
        lines.append(f"  new: {', '.join(made.came)}")
    if made.gone:
        lines.append(f"  no more on the list: {', '.join(made.gone)}")
    return lines


def _notes(made: "PromiseList") -> list[str]:
    return [
        *(f"Note: {note}" for note in made.notes),
        "A promise is made by booking it (pacewright book WORKS promised ...); a person decides.",
    ]
