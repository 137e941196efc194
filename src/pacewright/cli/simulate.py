"""``pacewright simulate``."""

from math import isnan
from pathlib import Path
from typing import TYPE_CHECKING

from pacewright.cli.answer import answering, say
from pacewright.cli.waiting import waiting

if TYPE_CHECKING:
    from pacewright.office.simulating import Asked
    from pacewright.plans.forecast import Estimate, Forecast

SHOWN = 3
"""Hold-ups named on the screen."""


def run(
    path: Path, out: Path | None, asked: "Asked", record: tuple[str, bool], as_json: bool
) -> None:
    """Plan the works, run the plan through, write the report with what came of it."""
    from pacewright.office.paper import write_plan
    from pacewright.office.planning import make_plan, open_now, where_from
    from pacewright.office.simulating import make_forecast, refuse_wrong
    from pacewright.reports.summary import summary

    database, with_record = record
    with answering(as_json):
        refuse_wrong(asked)
        with waiting() as progress:
            progress("reading", 0.0)
            works, notes = open_now(path, database, with_record=with_record)
            plan = make_plan(works, notes, progress)
            progress("compiling the works", 0.0)
            plan, forecast = make_forecast(works, plan, asked, progress)
            progress("writing the report", 0.0)
            figures = write_plan(plan, works, out, forecast) if out else summary(plan, forecast)
        text = _headline(plan.works_name, forecast)
        if out:
            text += f"\nReport: {out / 'report.html'}"
        text += "".join(f"\n{note}" for note in where_from(notes))
        done = {"out": str(out) if out else None, "summary": figures, "notes": notes}
        say(done, text, as_json)


def _headline(name: str, forecast: "Forecast") -> str:
    lines = [f"{name}, run through {forecast.replications} times: {_stop(forecast)}."]
    for key, words in (
        ("output_a_week", "Output a week"),
        ("turn_days_mean", "Turn time, working days"),
        ("promise_chance", "Promised turn time kept, share of vehicles"),
        ("inside_mean", "Inside"),
        ("holdup_days", "Held up, working days a vehicle"),
    ):
        lines.append(f"{words}: {_interval(forecast.figure(key))}")
    lines[1] += f"; pace {forecast.pace_a_week:.1f}."
    lines += [
        f"Stands for {one.cause}, {one.name}: {one.vehicle_days_a_year:,.0f} vehicle-days a year "
        f"± {one.half_width:,.0f}."
        for one in forecast.holdups[:SHOWN]
    ]
    differ = sum(not one.agrees for one in forecast.beside)
    lines.append(f"Plan and simulation differ in {differ} of {len(forecast.beside)} figures.")
    return "\n".join([*lines, *(f"Note: {note}" for note in forecast.notes)])


def _stop(forecast: "Forecast") -> str:
    return {
        "replications": "as many as asked",
        "precision": f"{forecast.card.unit} is {forecast.card.objective:.2%}, as asked",
        "limit": f"the limit; {forecast.card.unit} is {forecast.card.objective:.2%}, "
        f"{forecast.card.bound:.2%} was asked",
        "interrupted": "stopped before the end; the figures rest on these",
    }[forecast.stopped_by]


def _interval(one: "Estimate") -> str:
    return "none to tell" if isnan(one.mean) else f"{one.mean:.2f} ± {one.half_width:.2f}"
