"""Tables of the float list: held against needed, readiness, lateness, money."""

from pacewright.plans.floatlist import FloatList
from pacewright.reports.table import Table, number, share, table, text, whole


def float_tables(floats: FloatList) -> tuple[Table, ...]:
    """Every table that comes from the float list."""
    late = [
        (line, days, chance)
        for line in floats.lines
        for days, chance in zip(line.late_days, line.late_chance, strict=True)
    ]
    return (
        _floats(floats),
        table(
            ("readiness_curve", "Readiness against money", "Least cost for each readiness."),
            (number("cost", "price of all units of the float", "money"),
             share("readiness", "chance that a vehicle has all its units on the day"),
             whole("units", "units in all floats together", "units")),
            floats.curve,
        ),
        table(
            ("lateness", "Lateness curves", "Chance that a vehicle waits longer for a unit."),
            (text("unit_kind_id", "unit kind", lambda r: r[0].unit_kind_id),
             text("name", "its name", lambda r: r[0].name),
             number("late_days", "longer than so many days", "working days", lambda r: r[1]),
             share("late_chance", "chance, with the float held", lambda r: r[2])),
            late,
        ),
    )  # fmt: skip


def _floats(floats: FloatList) -> Table:
    return table(
        ("floats", "Floats held against needed", "One row a unit kind, set together."),
        (text("unit_kind_id", "unit kind"), text("name", "its name"),
         text("shop_id", "shop that makes it good"),
         number("per_vehicle", "units a vehicle carries, mean of the types", "units"),
         number("removed_a_week", "units taken off", "units a week"),
         number("turn_days", "removal to serviceable, all waiting included", "working days"),
         number("turn_sd_days", "its standard deviation", "working days"),
         number("offset_days", "removal to need, shortest of the types", "working days"),
         number("pipeline_mean", "units in the pipeline beyond the offset, mean", "units"),
         text("law", "which law set the float"),
         whole("held", "serviceable and under repair", "units"),
         whole("serviceable", "of them ready to fit", "units"),
         whole("quarantine", "set aside, not counted as held", "units"),
         whole("needed", "needed for the readiness target, even call-in", "units"),
         whole("needed_random", "the same under random call-in", "units"),
         whole("short", "needed less held, where positive", "units"),
         share("ready_held", "chance a unit is there on the day, float held"),
         share("ready_needed", "the same, float needed"),
         share("ready_random_held", "the same, float held, random call-in"),
         number("bought_a_year", "units to buy for scrap", "units a year"),
         whole("purchase_stock", "stock that bridges their lead time", "units"),
         whole("buy", "units to buy, least money, with all that is held kept", "units"),
         share("ready_bought", "the same, once they are bought"),
         share("shop_use_share", "load of the shop's benches; blank: benches not stated"),
         share("site_ready", "chance the second site has one; blank: no second site"),
         number("unit_cost", "price of one more unit", "money"),
         number("cost_short", "price of the units short", "money"),
         share("ready_one_more", "readiness with one unit more than held"),
         share("ready_one_takt", "readiness with one takt more offset"),
         number("takt_worth_units", "units of float that one takt of offset replaces", "units"),
         text("note", "what the planner must know of it")),
        floats.lines,
    )  # fmt: skip
