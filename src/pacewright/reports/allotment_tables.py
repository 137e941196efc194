"""The allotment as tables and as a dictionary."""

from dataclasses import asdict
from typing import Any

from pacewright.plans.allotment import Allotment
from pacewright.reports.iso import in_iso
from pacewright.reports.table import Table, day, number, table, text, yes_no


def allotment_tables(made: Allotment) -> tuple[Table, ...]:
    """Units, assemblies, what is waited for, and vehicles that stand."""
    return (_units(made), _assemblies(made), _awaiting(made), _outcomes(made))


def _units(made: Allotment) -> Table:
    return table(
        ("units", "Units to issue", "Serviceable units and the vehicle each is proposed for"),
        (
            text("unit", "kind:serial"),
            text("to", "what it is issued to"),
            text("vehicle_id", "vehicle that waits for it"),
            text("fit_stage_id", "stage where it goes on"),
            day("needed", "day on which that stage begins"),
            text("with_unit", "matched unit that goes with it"),
            yes_no("scarce", "yes: fewer are in store than are needed soon"),
            text("reason", "why this vehicle"),
        ),
        made.units,
    )


def _assemblies(made: Allotment) -> Table:
    return table(
        ("assemblies", "Assemblies to marry", "Loose assemblies and the vehicle each is for"),
        (
            text("assembly", "assembly:serial"),
            text("vehicle_id", "vehicle it is for"),
            day("done", "day it is done"),
            day("needed", "day the vehicle's lead is done"),
            yes_no("own", "yes: it came off this vehicle"),
        ),
        made.assemblies,
    )


def _awaiting(made: Allotment) -> Table:
    return table(
        ("awaiting", "Still waited for", "Needs that nothing there now is proposed for"),
        (
            text("sort", "unit kind or assembly"),
            text("vehicle_id", "vehicle that needs it"),
            day("needed", "day it is needed"),
            text("gets", "what it is to get; blank: none in sight"),
            day("expected", "day that is expected"),
            number("days_late", "expected less needed", "working days"),
            day("first_need", "day of the shortage list, where the first need takes the first"),
            text("why", "why the two days differ; blank: they do not"),
        ),
        made.awaiting,
    )


def _outcomes(made: Allotment) -> Table:
    return table(
        ("outcomes", "Vehicles that stand", "What the best allotment leaves standing"),
        (
            text("vehicle_id", "vehicle"),
            day("promise", "current promise"),
            number("slack_days", "from when it would be ready to its promise", "working days"),
            number("stands_days", "it stands for the last of its needs", "working days"),
            number("late_days", "of those, beyond its promise", "working days"),
        ),
        made.outcomes,
    )


def allotment_summary(made: Allotment) -> dict[str, Any]:
    """The allotment for JSON."""
    said: dict[str, Any] = in_iso(asdict(made))
    return said
