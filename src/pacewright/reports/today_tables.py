"""The tables of a day: shortages, moves, what is blocked, cover, shop sheets, idle, changes."""

from collections.abc import Sequence
from datetime import date
from math import inf, isfinite

from pacewright.control.ahead import Ahead
from pacewright.control.day import Today
from pacewright.control.shortages import Shortage
from pacewright.reports.shop_tables import (
    hours_table,
    minute,
    pieces_due_table,
    schedule_table,
    units_due_table,
)
from pacewright.reports.table import Spec, Table, day, number, share, table, text, whole, yes_no

SHORTAGE = "shortages"


def today_tables(one: Today, shop_id: str = "") -> tuple[Table, ...]:
    """Every table of the day, in the order of the page.

    Parameters
    ----------
    shop_id : only this shop's part of the tables that belong to shops; empty: all.
    """
    return (
        shortage_table(one.seen, [s for s in one.short if shop_id in ("", s.owner)]),
        blocked_table(one),
        moves_table(one),
        units_due_table(one, shop_id),
        pieces_due_table(one, shop_id),
        hours_table(one, shop_id),
        schedule_table(one, shop_id),
        cover_table(one, shop_id),
        idle_table(one),
        idle_sums_table(one),
        ahead_table(one),
        entry_table(one),
        changes_table(one),
    )


def shortage_table(seen: Ahead, rows: Sequence[Shortage]) -> Table:
    """The shortage list."""
    date_of = seen.clock.date_of
    return table(
        (SHORTAGE, "Shortages", "Units that come later than a vehicle needs them, dearest first. "
         "The vehicle-days of one vehicle's rows overlap; the four conditions are never summed."),
        (whole("rank", "1 costs most", "place"),
         text("unit_kind_id", "unit kind"), text("name", "its name"),
         text("vehicle_id", "vehicle that waits for it"),
         text("piece", "vehicle or assembly that owes it"),
         text("fit_stage_id", "stage where it goes on"),
         number("units", "units short for it", "units"),
         yes_no("must_change", "yes: changed on every vehicle, never left out"),
         day("needed", "day its stage begins", lambda r: date_of(r.needed_day)),
         day("expected", "day the unit is expected; blank: none in sight",
             lambda r: date_of(r.expected_day) if r.expected_day is not None else None),
         number("late_days", "expected less needed; none in sight: to the end of the look ahead",
                "working days", "days_late"),
         text("source", "in repair, on order, none in sight"),
         text("serial", "unit it would get"), text("owner", "shop that must turn it out"),
         whole("behind", "vehicles or assemblies that come to the stage meanwhile", "pieces"),
         number("vehicle_days", "what it costs: its own days late, and the others' over the "
                "positions of the stage", "vehicle working days"),
         share("chance", "chance that the unit comes in time after all"),
         yes_no("overdue", "yes: longer in repair than the law of its kind speaks of; ask"),
         *_conditions(), text("turn_source", "where the turn time comes from")),
        rows,
    )  # fmt: skip


def _conditions() -> tuple[Spec, ...]:
    return (
        whole("serviceable", "ready, given out for nothing", "units"),
        whole("issued", "ready, given out for one vehicle", "units"),
        whole("unserviceable", "waiting for repair or in it", "units"),
        whole("quarantine", "set aside", "units"),
    )


def blocked_table(one: Today) -> Table:
    """What can neither go on nor be worked on."""
    return table(
        ("blocked", "Blocked", "What stands and cannot go on, why, and what opens it."),
        (text("piece", "vehicle or assembly"), text("vehicle_id", "number, or where it would go"),
         text("stage_id", "where it stands"), text("next_stage_id", "where it wants to go"),
         text("cause", "cause"), text("waits_for", "unit kind, stage, trade or assembly"),
         text("by", "what is in the way"), text("opens", "what opens it"),
         day("opens_on", "day on which that is expected; blank: not known",
             lambda r: one.seen.clock.date_of(r.opens_day) if r.opens_day is not None else None),
         text("since", "since when", lambda r: minute(r.since)),
         text("must_by", "longest wait after its stage ends", lambda r: minute(r.must_by))),
        one.found.blocked,
    )  # fmt: skip


def moves_table(one: Today) -> Table:
    """What can move now."""
    return table(
        ("moves", "Next moves", "What can be done now. What presses chooses first, then the "
         "earliest promise. A person decides; book what was done."),
        (text("what", "move, part, marry, ready for release"), text("piece", "piece"),
         text("vehicle_id", "number, or where it would go"),
         text("from_stage_id", "where it stands"), text("to_stage_id", "where to"),
         whole("position", "position proposed; 0: none is taken", "number"),
         day("promise", "current promise of its vehicle"),
         text("since", "could go since", lambda r: minute(r.since)),
         text("must_by", "longest wait after its stage ends", lambda r: minute(r.must_by))),
        one.found.moves,
    )  # fmt: skip


def cover_table(one: Today, shop_id: str = "") -> Table:
    """How long each float lasts."""
    date_of = one.seen.clock.date_of
    return table(
        ("cover", "Float cover", "The first to run out first."),
        (text("unit_kind_id", "unit kind"), text("name", "its name"),
         text("shop_id", "shop that makes it good"), text("word", "how it stands"),
         number("cover_days", "serviceable over demand a day: lasts so long if none came back",
                "working days"),
         day("runs_out", "day on which, with the returns expected, none is left; blank: not in "
             "sight", lambda r: None if r.runs_out_day is None else date_of(r.runs_out_day)),
         share("chance_out", "chance to run out within 10 working days"),
         number("demand_a_day", "units a working day at the pace", "units a day"),
         *_conditions(), text("demand_source", "where the demand comes from"),
         text("turn_source", "where the turn time comes from")),
        [row for row in one.cover if shop_id in ("", row.shop_id)],
    )  # fmt: skip


def idle_table(one: Today) -> Table:
    """What stands idle."""
    return table(
        ("idle", "Idle now", "Nobody works on it and it does not move; longest first."),
        (text("piece", "vehicle or assembly"), text("vehicle_id", "number, or where it would go"),
         yes_no("is_vehicle", "yes: it carries a vehicle number"), text("place", "where it stands"),
         text("cause", "cause"), text("waits_for", "what for"), text("opens", "what ends it"),
         text("since", "since when", lambda r: minute(r.since)),
         number("days", "so far", "working days")),
        one.idle,
    )  # fmt: skip


def idle_sums_table(one: Today) -> Table:
    """What stands idle, by cause."""
    return table(
        ("idle_by_cause", "Idle by cause", "Vehicles and loose assemblies apart."),
        (text("cause", "cause"), whole("vehicles", "vehicles", "vehicles"),
         number("vehicle_days", "days so far, together", "vehicle working days"),
         whole("assemblies", "loose assemblies", "assemblies"),
         number("assembly_days", "days so far, together", "assembly working days")),
        one.idle_sums,
    )  # fmt: skip


def ahead_table(one: Today) -> Table:
    """Every vehicle inside, where it is and when it would be ready."""
    seen, ready = one.seen, one.schedule.ready_day
    date_of = seen.clock.date_of
    return table(
        ("ahead", "Vehicles inside", "Ready by the critical path: when nothing more goes wrong; by "
         "the schedule: with positions, people and missing units. Chances: see the promises."),
        (text("vehicle_id", "vehicle", lambda r: r.vehicle.vehicle_id),
         text("type_id", "type", lambda r: r.vehicle.type_id),
         text("stage_id", "where it, or its lead, is",
              lambda r: r.on_way.known.stage_id or r.on_way.known.place_id),
         yes_no("parted", "yes: in pieces", lambda r: r.vehicle.parted),
         text("waits_for", "assembly that comes last to marriage", lambda r: r.waits_for),
         day("marries", "day all for marriage is there; blank: behind, or no date",
             lambda r: date_of(r.marries_day) if r.vehicle.parted else None),
         day("ready", "ready by the critical path; blank: no date",
             lambda r: date_of(r.ready_day)),
         number("days_left", "working days until then", "working days",
                lambda r: seen.days_from_now(r.ready_day) if isfinite(r.ready_day) else None),
         day("scheduled", "ready by the schedule; blank: no date",
             lambda r: date_of(ready.get(r.vehicle.vehicle_id, inf))),
         day("promise", "current promise", lambda r: r.vehicle.promise),
         day("first_promise", "first promise", lambda r: r.vehicle.first_promise),
         yes_no("late", "yes: the schedule ends after the current promise; blank: none given",
                lambda r: _late(one, r.vehicle.vehicle_id, r.vehicle.promise))),
        seen.vehicles.values(),
    )  # fmt: skip


def late_vehicles(one: Today) -> list[str]:
    """Vehicles whose schedule ends after their current promise, in order of number."""
    return [
        vehicle_id
        for vehicle_id, row in one.seen.vehicles.items()
        if _late(one, vehicle_id, row.vehicle.promise)
    ]


def _late(one: Today, vehicle_id: str, promise: date | None) -> bool | None:
    if promise is None:
        return None
    ready = one.seen.clock.date_of(one.schedule.ready_day.get(vehicle_id, inf))
    return ready is None or ready > promise


def entry_table(one: Today) -> Table:
    """Places before the next vehicle, most loaded first."""
    return table(
        ("entry", "Places before the next vehicle", "What the vehicle let in next would find."),
        (text("place", "stage, or shop and trade"), text("sort", "positions or people"),
         text("shop_id", "shop"),
         number("reached_days", "when it would come there", "working days from now",
                "reached_day"),
         number("work_days", "work ahead of it, over what is done a day", "working days"),
         number("wait_days", "how long it would wait", "working days")),
        one.entry.loads if one.entry else (),
    )  # fmt: skip


def changes_table(one: Today) -> Table:
    """What changed since the day before."""
    return table(
        ("changes", "Changed since yesterday", "The same hour of the day before against now."),
        (text("kind", "what sort of change"), text("what", "vehicle, or unit kind for a vehicle"),
         text("before", "how it was"), text("now", "how it is"),
         number("days", "by how much a ready day moved; later is positive", "working days")),
        one.changed,
    )  # fmt: skip
