"""``pacewright grow``."""

from pathlib import Path
from typing import TYPE_CHECKING

from pacewright.cli.answer import answering, say
from pacewright.cli.waiting import waiting

if TYPE_CHECKING:
    from pacewright.plans.growth import Growth, Step
    from pacewright.simulate.grow import Wanted


def run(
    path: Path, wanted: "Wanted", out: Path | None, record: tuple[str, bool], as_json: bool
) -> None:
    """Grow the works, say the path, and write the answer as a change file."""
    from pacewright.office.growing import change_file, make_growth
    from pacewright.office.paper import write_growth
    from pacewright.office.planning import open_now
    from pacewright.reports.growth_table import growth_summary

    database, with_record = record
    with answering(as_json):
        with waiting() as progress:
            progress("reading", 0.0)
            works, notes = open_now(path, database, with_record=with_record)
            growth = make_growth(works, wanted, progress, notes=notes)
            progress("writing", 0.0)
            change = change_file(works, growth)
            figures = write_growth(growth, works, change, out) if out else growth_summary(growth)
        text = _headline(growth)
        if out:
            text += f"\nPage: {out / 'growth.html'}"
            text += f"\nChange file: {out / 'change.toml'}"
        done = {"out": str(out) if out else None, "summary": figures, "notes": notes}
        say(done, text, as_json)


def _headline(growth: "Growth") -> str:
    lines = [
        f"As it is: {growth.start_chance:.1%} within {growth.turn_days:g} days at "
        f"{growth.pace_a_week:g} a week; {growth.start_there:.1f} vehicles there."
    ]
    for step in growth.steps:
        bought = ""
        if step.was_run:
            chance = f"{step.promise_chance:.1%} ± {step.half_width:.1%}"
            bought = f" -> {chance}, {step.there_mean:.1f} there"
        back = f" ({step.taken_back} taken back: not needed)" if step.taken_back else ""
        lines.append(f"  +{step.how_many} {named(step)}{bought}{back}. {step.why}")
    lines += _ramp(growth)
    if growth.backs:
        lines.append(
            f"Each of the {len(growth.backs)} places with one less: the promise is not shown to be "
            "kept. Cheaper sets of other places are not ruled out."
        )
    lines.append(
        f"With fresh chances, {growth.verified_replications} runs: {growth.verified_chance:.1%} ± "
        f"{growth.verified_half_width:.1%}; {growth.promise:.0%} "
        f"{'is reached' if growth.reached else 'is NOT shown to be reached'}. "
        f"Stopped by: {growth.stopped_by}. Cost {growth.cost:,.1f}"
        f"{'' if growth.priced else ' (a count: no prices were given)'}."
    )
    return "\n".join([*lines, *(f"Note: {note}" for note in growth.notes)])


def _ramp(growth: "Growth") -> list[str]:
    lines = []
    for month in growth.ramp:
        new = [f"+{many} {added} {place}".rstrip() for added, place, many in month.needed]
        lines.append(
            f"From {month.starts}, {month.pace_a_week:.2f} a week: "
            f"{', '.join(new) or 'nothing more'} -> {month.promise_chance:.1%} ± "
            f"{month.half_width:.1%}; cost so far {month.cost_so_far:,.1f}"
        )
    return lines


def named(step: "Step") -> str:
    """What was added and where."""
    return f"{step.added}, {step.place_id}" if step.place_id else str(step.added)
