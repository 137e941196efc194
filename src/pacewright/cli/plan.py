"""``pacewright plan``."""

from pathlib import Path
from typing import Any

from pacewright.cli.answer import answering, say
from pacewright.cli.waiting import waiting


def run(path: Path, out: Path, record: tuple[str, bool], as_json: bool) -> None:
    """Plan the works and write the report folder, whole or not at all."""
    from pacewright.office.paper import write_plan
    from pacewright.office.planning import make_plan, open_now, where_from

    database, with_record = record

    with answering(as_json):
        with waiting() as progress:
            progress("reading", 0.0)
            works, notes = open_now(path, database, with_record=with_record)
            plan = make_plan(works, notes, progress)
            progress("writing the report", 0.0)
            figures = write_plan(plan, works, out)
        text = _headline(figures, out)
        text += "".join(f"\n{note}" for note in where_from(notes))
        say({"out": str(out), "summary": figures, "notes": notes}, text, as_json)


def _headline(figures: dict[str, Any], out: Path) -> str:
    called, line, floats = figures["programme"], figures["line"], figures["floats"]
    late, unplaced = called["vehicles_past_limit"], called["vehicles_unplaced"]
    slow = sum(line[f"{what}_by_gear"].get("holds_up", 0) for what in ("stages", "trades", "plant"))
    return "\n".join(
        [
            f"{figures['works']['name']}: {called['vehicles_called']:,} vehicles in "
            f"{called['weeks']} weeks at {line['pace_vehicles_a_week']:.1f} a week "
            f"(least pace that fits {called['least_pace_vehicles_a_week']:.1f}).",
            f"Past their limit when called in: {late}. Without a place: {unplaced}.",
            f"Places that hold up: {slow}; slowest {line['slowest']}, able "
            f"{line['able_vehicles_a_week']:.1f} a week.",
            f"Vehicles with all units ready: {floats['ready_held_share']:.0%} as held, target "
            f"{floats['target_share']:.0%}; {floats['units_to_buy']} units to buy.",
            f"Report: {out / 'report.html'}",
        ]
    )
