"""The tables of a day that belong to shops: units, pieces, hours, schedule."""

from datetime import datetime

from pacewright.control.day import Today
from pacewright.control.shop_sheet import ShopSheet
from pacewright.reports.table import Table, day, number, table, text, whole, yes_no


def units_due_table(one: Today, shop_id: str = "") -> Table:
    """Units each shop must turn out."""
    rows = [(sheet, row) for sheet in _sheets(one, shop_id) for row in sheet.units]
    date_of = one.seen.clock.date_of
    return table(
        ("units_due", "Units to turn out", "By shop; what a vehicle stands for, then what runs "
         "out first."),
        (text("shop_id", "shop", lambda r: r[0].shop_id),
         text("unit_kind_id", "unit kind", lambda r: r[1].unit_kind_id),
         text("name", "its name", lambda r: r[1].name),
         text("advice", "what to do", lambda r: r[1].advice),
         whole("due_today", "must be ready today so that no vehicle stands", "units",
               lambda r: r[1].due_today),
         whole("due_span", "the same by the end of the span", "units", lambda r: r[1].due_week),
         whole("turn_out", "to turn out in the span, of those in repair", "units",
               lambda r: r[1].turn_out),
         number("at_pace", "what the pace takes in the span", "units", lambda r: r[1].at_pace),
         whole("to_repair", "unserviceable, those beyond repair left out", "units",
               lambda r: r[1].to_repair),
         whole("serviceable", "ready in store", "units", lambda r: r[1].serviceable),
         whole("full_at", "ready units from which on more pile up", "units",
               lambda r: r[1].full_at),
         day("runs_out", "day the float runs out; blank: not in sight",
             lambda r: None if r[1].runs_out_day is None else date_of(r[1].runs_out_day)),
         number("hours_each", "standard hours a unit", "man-hours", lambda r: r[1].hours_each)),
        rows,
    )  # fmt: skip


def pieces_due_table(one: Today, shop_id: str = "") -> Table:
    """Vehicles and assemblies each shop must turn out."""
    return table(
        ("pieces_due", "Vehicles and assemblies to turn out", "By shop and stage."),
        (text("shop_id", "shop", lambda r: r[0].shop_id),
         text("stage_id", "stage", lambda r: r[1].stage_id),
         text("name", "its name", lambda r: r[1].name),
         whole("there", "stand there, not done", "pieces", lambda r: r[1].there),
         whole("due_today", "should be done today", "pieces", lambda r: r[1].due_today),
         whole("due_span", "should be done by the end of the span", "pieces",
               lambda r: r[1].due_week),
         text("pieces_today", "those of today", lambda r: ", ".join(r[1].pieces_today))),
        [(sheet, row) for sheet in _sheets(one, shop_id) for row in sheet.pieces],
    )  # fmt: skip


def hours_table(one: Today, shop_id: str = "") -> Table:
    """Hours of each shop against its people."""
    return table(
        ("hours", "Work against people", "Standard hours of what is due against what the people "
         "there can do; not for ranking people."),
        (text("shop_id", "shop", lambda r: r[0].shop_id),
         text("trade_id", "trade", lambda r: r[1].trade_id),
         number("needed_today", "hours of what is due today", "man-hours",
                lambda r: r[1].needed_today),
         number("able_today", "hours left today", "man-hours", lambda r: r[1].able_today),
         yes_no("attended", "yes: by the attendance told; no: the usual day",
                lambda r: r[1].attended),
         number("needed_span", "hours of what is due in the span", "man-hours",
                lambda r: r[1].needed_week),
         number("able_span", "hours of the span", "man-hours", lambda r: r[1].able_week)),
        [(sheet, row) for sheet in _sheets(one, shop_id) for row in sheet.hours],
    )  # fmt: skip


def schedule_table(one: Today, shop_id: str = "") -> Table:
    """Who stands where when in the span."""
    clock = one.seen.clock
    until = clock.start_of_day(one.seen.now_day) + one.span_days
    rows = [p for p in one.schedule.planned if p.begins < until and shop_id in ("", p.shop_id)]
    rows.sort(key=lambda p: (p.shop_id, p.begins, p.stage_id, p.piece))
    return table(
        ("schedule", "Schedule of the days ahead", "By shop and time; promises first, positions "
         "and people as they are, units when they are expected."),
        (text("shop_id", "shop"), text("stage_id", "stage"), text("piece", "vehicle or assembly"),
         text("vehicle_id", "number, or where it would go"),
         text("begins", "begins; now for what is under way",
              lambda p: minute(clock.moment_of(p.begins))),
         text("works_from", "its work begins; later where its charge must be full first, at latest "
              "in the morning", lambda p: minute(clock.moment_of(p.works_from))),
         text("ends", "ends", lambda p: minute(clock.end_of(p.ends))),
         yes_no("under_way", "yes: it stands there already", "begun"),
         text("waits_for", "unit kind that sets its begin or end"),
         yes_no("people_short", "yes: it asks for more people than there are")),
        rows,
    )  # fmt: skip


def _sheets(one: Today, shop_id: str) -> list[ShopSheet]:
    return [sheet for sheet in one.sheets if shop_id in ("", sheet.shop_id)]


def minute(moment: datetime | None) -> str:
    """A moment to the minute; empty: not known."""
    return f"{moment:%Y-%m-%d %H:%M}" if moment else ""
