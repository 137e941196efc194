"""An overhaul written down as a clerk would, sheet by sheet, and read back: the same events."""

import csv
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from typing import Any

from door_story import Visit
from pacewright.events.registry import KIND_OF
from pacewright.files.daily import read_daily

Row = tuple[str, dict[str, Any]]


def code(thing: Any) -> str:
    """The label of a piece or unit."""
    return f"{thing[0]}:{thing[1]}"


def at_stage(what: str) -> Callable[[Any], Row]:
    """A row of the sheet of work."""
    return lambda e: (
        "work",
        {
            "piece": code(e.piece),
            "stage_id": e.stage_id,
            "what": what,
            "trade_id": e.trade_id,
            "man_hours": getattr(e, "man_hours", ""),
        },
    )


def assembled(what: str) -> Callable[[Any], Row]:
    """A row of the sheet of assemblies."""
    return lambda e: (
        "assemblies",
        {
            "vehicle_id": e.vehicle_id,
            "what": what,
            "pieces": " ".join(code(one) for one in e.pieces),
        },
    )


AS_A_CLERK: dict[str, Callable[[Any], Row]] = {
    "arrived": lambda e: (
        "arrivals",
        {"vehicle_id": e.vehicle_id, "type_id": e.type_id, "depot_id": e.depot_id},
    ),
    "admitted": lambda e: ("admissions", {"vehicle_id": e.vehicle_id}),
    "odometer_read": lambda e: ("odometer", {"vehicle_id": e.vehicle_id, "odometer": e.odometer}),
    "moved": lambda e: (
        "moves",
        {"piece": code(e.piece), "to_stage_id": e.stage_id, "position": e.position},
    ),
    "stage_finished": lambda e: (
        "moves",
        {"piece": code(e.piece), "finished_stage_id": e.stage_id},
    ),
    "work_started": at_stage("started"),
    "work_ended": at_stage("ended"),
    "parted": assembled("parted"),
    "married": assembled("married"),
    "removed": lambda e: ("removals", {"unit": code(e.unit), "off": code(e.off)}),
    "purchased": lambda e: (
        "receipts",
        {"unit": code(e.unit), "what": "bought", "place_id": e.place_id},
    ),
    "fitted": lambda e: ("fittings", {"unit": code(e.unit), "onto": code(e.onto)}),
    "tested": lambda e: (
        "tests",
        {
            "piece": code(e.piece),
            "item_id": e.item_id,
            "passed": "yes" if e.passed else "no",
            "reading": "" if e.reading is None else e.reading,
            "reading_unit": e.reading_unit,
        },
    ),
    "released": lambda e: (
        "releases",
        {"vehicle_id": e.vehicle_id, "signed_by": e.signed_by},
    ),
}


def test_two_overhauls_come_back_as_they_were_told(tmp_path: Path) -> None:
    """Every event, in the order in which it happened, though the sheets are by kind."""
    visit = Visit()
    visit.overhaul("101")
    visit.overhaul("102")
    sheets: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for event in reversed(visit.told):
        sheet, cells = AS_A_CLERK[KIND_OF[type(event)]](event)
        sheets[sheet].append({"date": f"{event.at:%Y-%m-%d}", "time": f"{event.at:%H:%M}", **cells})
    paths = []
    for sheet, rows in sheets.items():
        paths.append(tmp_path / f"{sheet}.csv")
        with paths[-1].open("w", newline="") as file:
            names = list(dict.fromkeys(name for row in rows for name in row))
            writer = csv.DictWriter(file, names, restval="")
            writer.writeheader()
            writer.writerows(rows)
    assert [one.event for one in read_daily(paths)] == visit.told
