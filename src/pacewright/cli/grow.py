"""``pacewright grow``."""

from math import isnan
from pathlib import Path
from typing import TYPE_CHECKING

from pacewright.cli.answer import answering, say
from pacewright.cli.waiting import waiting

if TYPE_CHECKING:
    from pacewright.plans.growth import Growth
    from pacewright.simulate.grow import Wanted


def run(path: Path, wanted: "Wanted", out: Path | None, as_json: bool) -> None:
    """Grow the works, say the path, and write the answer as a change file."""
    from pacewright.office.folder import open_works
    from pacewright.office.growing import change_file, make_growth
    from pacewright.office.paper import write_growth
    from pacewright.reports.growth_table import growth_summary, growth_table

    with answering(as_json):
        with waiting() as progress:
            progress("reading", 0.0)
            works, _ = open_works(path)
            growth = make_growth(works, wanted, progress)
        figures = growth_summary(growth)
        text = _headline(growth)
        if out:
            write_growth(figures, change_file(works, growth), growth_table(growth), out)
            text += f"\nChange file: {out / 'change.toml'}"
        say({"out": str(out) if out else None, "summary": figures}, text, as_json)


def _headline(growth: "Growth") -> str:
    lines = [
        f"As it is: {growth.start_chance:.1%} within {growth.turn_days:g} days at "
        f"{growth.pace_a_week:g} a week; {growth.start_there:.1f} vehicles there."
    ]
    for step in growth.steps:
        bought = ""
        if not isnan(step.promise_chance):
            chance = f"{step.promise_chance:.1%} ± {step.half_width:.1%}"
            bought = f" -> {chance}, {step.there_mean:.1f} there"
        back = " (taken back: idle)" if step.taken_back else ""
        lines.append(f"  +{step.how_many} {step.added}, {step.place_id}{bought}{back}. {step.why}")
    lines.append(
        f"With fresh chances: {growth.verified_chance:.1%} ± {growth.verified_half_width:.1%}; "
        f"{growth.promise:.0%} {'is reached' if growth.reached else 'is NOT shown to be reached'}. "
        f"Stopped by: {growth.stopped_by}. Cost {growth.cost:,.0f}."
    )
    return "\n".join(lines)
