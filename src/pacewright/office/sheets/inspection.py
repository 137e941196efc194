"""Strip inspection: which vehicles have items to look at, and the standard form of one of them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pacewright.control.scope import scope_of
from pacewright.control.scope_form import FormLine, form_of
from pacewright.control.scope_seen import seen_of
from pacewright.events.scan import code_of
from pacewright.events.stages import Found
from pacewright.events.standing import Phase, VehicleStanding
from pacewright.office.desk import Desk
from pacewright.office.errors import NotFoundError
from pacewright.office.inspecting import limits_said
from pacewright.office.photos import photos_of
from pacewright.plans.scope import Growth, Scope
from pacewright.reports.hazards import page_cautions
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.table import Table, number, share, table, text, whole
from pacewright.reports.written import number as said_number
from pacewright.reports.written import share as said_share
from pacewright.reports.written import some
from pacewright.works import Works

CAUTION = (
    "Shares forecast quantities; they never decide an individual part. Must-change means always.",
    "What is found is judged by an inspector. Before looking: isolate, discharge, release stored "
    "pressure, support what is lifted. Local rules and licensed people decide.",
)
FOUND_SHOWN = ("piece", "item_id", "name", "verdict", "measurement", "limit", "reading_unit", "at")
"""Columns of what was found on the page; the photos stand below, by what they show."""
_HOURS = (
    "Standard hours of each operation times the pieces that need it: what inspection found needed "
    "counts in full, what it passed counts nothing, what it has not looked at counts by its share, "
    "must-change counts in full."
)


@dataclass(frozen=True, slots=True)
class Inspected:
    """One vehicle under strip inspection.

    Parameters
    ----------
    lines : items of the standard form without a verdict yet.
    found : what was found, the newest first, each with the code of what it is on.
    names : item -> its name.
    """

    vehicle: VehicleStanding
    scope: Scope
    lines: tuple[FormLine, ...]
    found: tuple[tuple[str, Found], ...]
    names: Mapping[str, str]


def inspected(desk: Desk, vehicle_id: str) -> Inspected:
    """A vehicle inside as inspection sees it.

    Raises
    ------
    NotFoundError : it is not inside.
    """
    works = desk.works
    with desk.standing() as now:
        vehicle = now.vehicles.get(vehicle_id)
        if vehicle is None or vehicle.phase is not Phase.INSIDE:
            raise NotFoundError(
                f"vehicle {vehicle_id[:40]}: it is not inside. Inspected is what is inside the "
                "works. Check the number, or record first that it arrived and was admitted."
            )
        seen = seen_of(now, vehicle_id)
        found = [
            (code_of(one.piece), event)
            for one in (seen.whole, *seen.assemblies)
            for event in one.found.values()
        ]
        return Inspected(
            vehicle,
            scope_of(works, now, vehicle_id),
            form_of(works, now, vehicle_id),
            tuple(sorted(found, key=lambda told: told[1].at, reverse=True)),
            _names(works),
        )


def _names(works: Works) -> dict[str, str]:
    found = {one.operation_id: one.name for one in works.operations}
    found |= {one.unit_kind_id: one.name for one in works.unit_kinds}
    return found | {one.item_id: one.name for one in works.test_items}


def inspection_sheet(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """Every vehicle inside, with what is still to be looked at and how its scope has grown."""
    works, types = desk.works, {one.type_id for one in desk.works.vehicle_types}

    def made() -> list[tuple[Scope, int, str]]:
        with desk.standing() as now:
            return [
                (
                    scope_of(works, now, one.vehicle_id),
                    len(form_of(works, now, one.vehicle_id)),
                    now.stands_at(one.vehicle_id).stage_id,
                )
                for one in now.inside()
                if one.type_id in types
            ]

    rows = desk.paper("inspection", made, (desk.head_place(), id(works)))
    rows = sorted(rows, key=lambda one: (not one[1], one[0].vehicle_id))
    items = sum(count for _, count, _ in rows)
    waiting = sum(1 for _, count, _ in rows if count)
    return Sheet(
        key="inspection",
        title="Strip inspection",
        question="Which vehicle is to be inspected, and what did inspection find so far?",
        answer=(
            f"Of {some(len(rows), 'vehicle')} inside {waiting:,} still "
            f"{'has' if waiting == 1 else 'have'} items to look at, {some(items, 'item')} in all.",
        ),
        figures=(
            Figure("Items open", said_number(items, 0), "to look at",
                   "Items of the standard forms of all vehicles inside that have no verdict yet."),
        ),
        parts=(
            Part(
                "vehicles",
                "Vehicles inside",
                "Open items of the standard form, and the scope beside the standard. " + _HOURS,
                _vehicles_table(rows),
                links={"vehicle_id": "/inspection/{}"},
                empty="No vehicle is inside. One is inspected once it is admitted.",
            ),
        ),
        caution=CAUTION,
        basis=(_basis(desk),),
    )  # fmt: skip


def _vehicles_table(rows: list[tuple[Scope, int, str]]) -> Table:
    return table(
        ("vehicles", "Vehicles inside", "Those with open items first."),
        (
            text("vehicle_id", "vehicle number", lambda one: one[0].vehicle_id),
            text("type_id", "vehicle type", lambda one: one[0].type_id),
            text("stage_id", "stage at which it, or its lead, stands", lambda one: one[2]),
            whole("items_open", "items of the form without a verdict", "items", lambda one: one[1]),
            share(
                "looked_at_share",
                "share of the standard hours on which inspection has spoken, or need not",
                lambda one: one[0].looked_at_share,
            ),
            text("scope_class", "light, standard or heavy", lambda one: one[0].scope_class),
            number("hours", "scope", "man-hours", lambda one: one[0].total.hours),
            number(
                "standard_hours",
                "standard of the type",
                "man-hours",
                lambda one: one[0].total.standard_hours,
            ),
            number(
                "grown_hours",
                "scope less standard",
                "man-hours",
                lambda one: one[0].total.grown_hours,
            ),
        ),
        rows,
    )


def inspect_sheet(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """The standard form of one vehicle, what was found, and how its scope grows.

    Raises
    ------
    NotFoundError : the vehicle is not inside.
    """
    number_asked = asked.get("vehicle_id", "")
    one = inspected(desk, number_asked)
    total = one.scope.total
    return Sheet(
        key="inspect",
        title=f"Strip inspection of {one.vehicle.vehicle_id}",
        question=f"What does vehicle {one.vehicle.vehicle_id} need?",
        answer=(
            f"{some(len(one.lines), 'item')} of the standard form still to look at; "
            f"{some(len(one.found), 'item')} with a verdict. The scope is "
            f"{said_number(total.hours, 0)} man-hours beside a standard of "
            f"{said_number(total.standard_hours, 0)}: {one.scope.scope_class.value}.",
        ),
        figures=_figures(one),
        parts=(
            Part(
                "open",
                "Still to look at",
                "The standard form of this type: every operation and unit whose need is a "
                "question, and what is must-change.",
                _open_table(one),
                empty="Every item of the form has its verdict.",
            ),
            Part(
                "growth",
                "Scope by trade",
                _HOURS,
                _growth_table(one.scope.by_trade, {t.trade_id: t.name for t in desk.works.trades}),
                empty="The type has no work in the tables.",
            ),
            Part(
                "found",
                "Found so far",
                "Findings of this visit on the vehicle and the assemblies it came with.",
                _found_table(one),
                columns=FOUND_SHOWN,
                photos=photos_of((event for _, event in one.found), one.names),
                empty="Nothing was written down yet.",
            ),
        ),
        caution=(*CAUTION, *_hazards(desk.works, one.lines)),
        basis=(_basis(desk), *map(_beyond, one.scope.beyond)),
    )


def _basis(desk: Desk) -> str:
    return f"Record up to event {said_number(desk.head_place(), 0)}."


def _beyond(said: str) -> str:
    return f"Found, but no work of the tables stands for it: {said}."


def _figures(one: Inspected) -> tuple[Figure, ...]:
    total = one.scope.total
    return (
        Figure(
            "To look at",
            said_number(len(one.lines), 0),
            "items",
            "Items of the standard form of its type without a verdict in this visit.",
        ),
        Figure(
            "Looked at",
            said_share(one.scope.looked_at_share),
            "of standard hours",
            "Share of the standard hours on which inspection has spoken, or need not because the "
            "work is always done.",
        ),
        Figure("Scope", said_number(total.hours), "man-hours", _HOURS),
        Figure(
            "Growth",
            f"{total.grown_hours:+,.1f}",
            "man-hours",
            "Scope less the standard of the type, which is the same reckoning with nothing found.",
        ),
    )


def _open_table(one: Inspected) -> Table:
    return table(
        ("open", "Still to look at", "One row an item of the form."),
        (
            text("piece", "code of what it is on"),
            text("item_id", "operation or unit kind"),
            text("name", "what is inspected"),
            text("verdict", "set where it is must-change"),
            text(
                "limits",
                "limits of the measurement; blank: by eye",
                lambda row: limits_said(row.least, row.most, row.reading_unit).strip(" ()"),
            ),
        ),
        one.lines,
    )


def _growth_table(by_trade: Mapping[str, Growth], names: Mapping[str, str]) -> Table:
    return table(
        ("growth", "Scope by trade", "The scope beside the standard of the type."),
        (
            text("trade_id", "trade", lambda row: row[0]),
            text("name", "its name", lambda row: names.get(row[0], "")),
            number("hours", "scope", "man-hours", lambda row: row[1].hours),
            number("standard_hours", "standard", "man-hours", lambda row: row[1].standard_hours),
            number("grown_hours", "scope less standard", "man-hours",
                   lambda row: row[1].grown_hours),
        ),
        sorted(by_trade.items(), key=lambda row: -row[1].grown_hours),
    )  # fmt: skip


def _found_table(one: Inspected) -> Table:
    return table(
        ("found", "Found so far", "The last finding of each item."),
        (
            text("piece", "code of what it is on", lambda row: row[0]),
            text("item_id", "operation, unit kind or test item", lambda row: row[1].item_id),
            text("name", "what was inspected", lambda row: one.names.get(row[1].item_id, "")),
            text("verdict", "what is to be done", lambda row: row[1].verdict),
            number("measurement", "what was measured", "in its unit",
                   lambda row: row[1].measurement),
            number("limit", "limit it was held against", "in its unit", lambda row: row[1].limit),
            text("reading_unit", "unit of both", lambda row: row[1].reading_unit),
            text("at", "when, works clock", lambda row: f"{row[1].at:%F %H:%M}"),
            text("photo", "SHA-256 of its photo; blank: none", lambda row: row[1].photo),
        ),
        one.found,
    )  # fmt: skip


def _hazards(works: Works, lines: Sequence[FormLine]) -> tuple[str, ...]:
    items = {one.item_id for one in lines}
    return page_cautions(works, items, (o for o in works.operations if o.operation_id in items))
