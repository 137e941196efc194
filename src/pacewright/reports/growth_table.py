"""The path of a growth, its proof and its ramp as tables and as a dictionary."""

from dataclasses import asdict, fields
from typing import Any

from pacewright.plans.growth import Growth
from pacewright.reports.summary import plain
from pacewright.reports.table import Table, day, number, share, table, text, whole


def growth_tables(growth: Growth) -> tuple[Table, ...]:
    """Path, steps back, ramp."""
    return (_path(growth), _backs(growth), _ramp(growth))


def _path(growth: Growth) -> Table:
    """Which step bought what, in order."""
    return table(
        ("path", "Path", "What was added, in the order it was added, and what it bought"),
        (
            text("added", "what was added"),
            text("place_id", "crew (shop trade), stage, unit kind or shop"),
            whole("how_many", "so many more", "pieces"),
            number("cost", "money, or a count where no price was given", "money or pieces"),
            share("promise_chance", "vehicles in time after it"),
            share("half_width", "of its interval"),
            number("there_mean", "at the gate and inside after it", "vehicles"),
            whole("taken_back", "so many of them not needed", "pieces"),
            text("why", "what asked for it"),
        ),
        growth.steps,
    )


def _backs(growth: Growth) -> Table:
    return table(
        ("steps_back", "One less", "The answer with one less at each place, one place at a time"),
        (
            text("added", "what has one less"),
            text("place_id", "crew (shop trade), stage, unit kind or shop"),
            whole("stays", "so many more the answer has there", "pieces"),
            share("promise_chance", "vehicles in time with one less, told from pairs"),
            share("half_width", "of the difference and of the answer together"),
            whole("replications", "pairs", "pairs"),
        ),
        growth.backs,
    )


def _ramp(growth: Growth) -> Table:
    rows = [
        (month, *one)
        for month in growth.ramp
        for one in (month.needed or (("nothing more", "", 0),))
    ]
    return table(
        ("ramp", "Ramp", "Pace month by month, and what must be there for the first time"),
        (
            whole("month", "month", "months", lambda r: r[0].month),
            day("starts", "its first day", lambda r: r[0].starts),
            number("pace_a_week", "calls", "vehicles a week", lambda r: r[0].pace_a_week),
            text("added", "what must be there from then on", lambda r: r[1]),
            text("place_id", "crew (shop trade), stage, unit kind or shop", lambda r: r[2]),
            whole("how_many", "so many more than before", "pieces", lambda r: r[3]),
            number("cost_so_far", "of all that is there by then", "money or pieces",
                   lambda r: r[0].cost_so_far),
            share("promise_chance", "vehicles in time at this pace", lambda r: r[0].promise_chance),
            share("half_width", "of its interval", lambda r: r[0].half_width),
        ),
        rows,
    )  # fmt: skip


def growth_summary(growth: Growth) -> dict[str, Any]:
    """The growth for JSON; steps, steps back and months as rows."""
    head = {
        one.name: plain(getattr(growth, one.name))
        for one in fields(growth)
        if one.name not in ("steps", "works", "backs", "ramp", "notes")
    }
    return head | {
        "notes": list(growth.notes),
        "steps": [plain(asdict(one)) for one in growth.steps],
        "backs": [plain(asdict(one)) for one in growth.backs],
        "ramp": [
            plain({name: value for name, value in asdict(one).items() if name != "needed"})
            | {
                "needed": [
                    {"added": added.value, "place_id": place, "how_many": many}
                    for added, place, many in one.needed
                ]
            }
            for one in growth.ramp
        ],
    }
