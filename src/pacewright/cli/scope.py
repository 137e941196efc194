"""``pacewright scope``."""

import sys
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from pacewright.cli.answer import answering, say

if TYPE_CHECKING:
    from pacewright.plans.scope import Growth, Scope, ScopePart, ScopeWork


CAUTION = (
    "Shares forecast quantities; they never decide an individual part. Must-change means always. "
    "What is found is judged by an inspector, not by this tool."
)


def run_all(works: Path, database: str, as_json: bool) -> None:
    """Say the class and growth of every vehicle inside."""
    from pacewright.office.inspecting import scopes_inside

    with answering(as_json):
        scopes = scopes_inside(works, database)
        rows = [
            {
                "vehicle_id": one.vehicle_id,
                "type_id": one.type_id,
                "scope_class": one.scope_class.value,
                "hours": one.total.hours,
                "standard_hours": one.total.standard_hours,
                "grown_hours": one.total.grown_hours,
                "looked_at_share": one.looked_at_share,
            }
            for one in scopes
        ]
        lines = [
            "Vehicle       type           class         man-hours   standard     growth   looked",
            *(_row(one) for one in scopes),
            "",
            CAUTION,
        ]
        say({"scopes": rows}, "\n".join(lines) if rows else "No vehicle is inside.", as_json)


def _row(one: "Scope") -> str:
    total = one.total
    return (
        f"{one.vehicle_id:<13} {one.type_id:<14} {one.scope_class.value:<12} "
        f"{total.hours:>10.1f} {total.standard_hours:>10.1f} {total.grown_hours:>+10.1f} "
        f"{one.looked_at_share:>8.0%}"
    )


def run(works: Path, vehicle: str, database: str, as_json: bool) -> None:
    """Say what a vehicle needs, beside the standard of its type."""
    from pacewright.office.inspecting import vehicle_scope

    with answering(as_json):
        scope, _ = vehicle_scope(works, vehicle, database)
        told = asdict(scope)
        told["total"] |= {
            "grown_hours": scope.total.grown_hours,
            "ratio": scope.total.ratio,
        }
        say(told, "\n".join(_lines(scope)), as_json)


def run_form(works: Path, vehicle: str, at: str, database: str, as_json: bool) -> None:
    """Write the inspection form on standard output, as CSV."""
    from pacewright.office.errors import CallError
    from pacewright.office.inspecting import inspection_form

    with answering(as_json):
        if not vehicle:
            raise CallError(
                "--form: no vehicle. A form is for one vehicle inside. Give its number."
            )
        try:
            moment = datetime.fromisoformat(at) if at else datetime.now()
        except ValueError:
            raise CallError(
                f"--at {at}: no moment. Date and time are written 2026-03-02T07:30. Correct it."
            ) from None
        form, count = inspection_form(works, vehicle, moment, database)
        if as_json:
            say({"items": count, "csv": form.decode()}, "", as_json)
        else:
            sys.stdout.write(form.decode())


def _lines(scope: "Scope") -> list[str]:
    total = scope.total
    lines = [
        f"Vehicle {scope.vehicle_id}, type {scope.type_id}: {scope.scope_class.value} scope, "
        f"{total.hours:.1f} man-hours, standard {total.standard_hours:.1f} "
        f"({total.grown_hours:+.1f} h, {total.ratio - 1:+.0%}).",
        f"Looked at, or not in question: {scope.looked_at_share:.0%} of the standard hours; the "
        "rest counts by its share. --json tells every operation and unit.",
        "",
        "Man-hours by trade                         scope   standard     growth",
        *(_grown(name, one) for name, one in sorted(scope.by_trade.items())),
    ]
    lines += _listed(
        "Where it differs from the standard         scope   standard     growth",
        [_grown(name, one) for name, one in scope.by_place.items() if _differs(one.grown_hours)],
    )
    lines += _listed(
        "Found needed by inspection                 trade           man-hours",
        [_work(one) for one in scope.work if one.basis.value == "found" and one.hours],
    )
    lines += _listed(
        "Must be changed, whatever is found",
        [f"  {one.carried} {one.unit_kind_id}" for one in scope.parts if _must(one)],
    )
    lines += _listed(
        "Units where it differs             carried changed standard  lost standard  basis",
        [_part(one) for one in scope.parts if _is_other(one)],
    )
    if scope.beyond:
        lines += ["", "Found beyond the standard work: " + "; ".join(scope.beyond)]
    return [*lines, "", CAUTION]


def _listed(heading: str, rows: list[str]) -> list[str]:
    return ["", heading, *rows] if rows else []


def _differs(hours: float) -> bool:
    return abs(hours) >= 0.05


def _must(one: "ScopePart") -> bool:
    return one.basis.value == "must-change"


def _is_other(one: "ScopePart") -> bool:
    changed, lost = one.changed - one.standard_changed, one.lost - one.standard_lost
    return bool(one.condemned) or _differs(changed) or _differs(lost)


def _grown(name: str, one: "Growth") -> str:
    return (
        f"  {name:<36} {one.hours:>10.1f} {one.standard_hours:>10.1f} {one.grown_hours:>+10.1f} "
        f"{one.ratio - 1:>+6.0%}"
    )


def _work(one: "ScopeWork") -> str:
    name = f"{one.operation_id} {one.name}"
    return f"  {name[:39]:<40} {one.trade_id:<14} {one.hours:>9.1f}"


def _part(one: "ScopePart") -> str:
    condemned = f" condemned: {', '.join(one.condemned)}" if one.condemned else ""
    return (
        f"  {one.unit_kind_id[:31]:<32} {one.carried:>7} {one.changed:>7.1f} "
        f"{one.standard_changed:>8.1f} {one.lost:>5.1f} {one.standard_lost:>8.1f}  "
        f"{one.basis.value}{condemned}"
    )
