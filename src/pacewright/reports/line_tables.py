"""Tables of the line: what the pace asks of stages, trades, plant and route."""

from collections.abc import Mapping

from pacewright.plans.line import Line
from pacewright.reports.table import Spec, Table, number, share, table, text, whole, yes_no
from pacewright.works import Works

_VERDICT: tuple[Spec, ...] = (
    number("able_a_week", "vehicles a week it can pass at full use", "vehicles a week"),
    share("over_share", "able over pace, less one; negative: slower than the pace"),
    text("gear", "holds up, tight, geared or runs ahead"),
    text("reason", "why"),
)


def line_tables(line: Line, works: Works) -> tuple[Table, ...]:
    """Every table that comes from the line."""
    return (
        _stages(line),
        _trades(line),
        _plant(line),
        _route(line, works),
        _unit_slack(line, works),
        table(
            ("type_turns", "Turn time by type", "Time from gate-in to release, waits included."),
            (text("type_id", "vehicle type"), share("share", "its share of the vehicles called in"),
             number("route_days", "longest path of the route, no waiting", "working days"),
             number("expected_days", "with mean waits for positions", "working days"),
             number("promised_days", "promised in vehicle_types", "working days"),
             number("inside_mean", "vehicles of the type inside on average", "vehicles")),
            line.turns,
        ),
    )  # fmt: skip


def _stages(line: Line) -> Table:
    return table(
        ("stage_loads", "Stages against the pace", "Positions held against positions needed."),
        (text("stage_id", "stage"), text("name", "its name"), text("shop_id", "its shop"),
         text("assembly_id", "what passes: the vehicle or an assembly"),
         number("pieces_a_day", "pieces that pass on a working day", "pieces a day"),
         number("hours_mean", "mean time on the position, repeats included", "working hours"),
         number("hours_sd", "its standard deviation", "working hours"),
         whole("batch_size", "pieces that go through together, each on a position", "pieces"),
         whole("positions", "positions there are, each for one piece", "positions"),
         number("positions_mean", "positions busy on average (Little)", "positions"),
         whole("positions_wanted", "positions for the wanted confidence", "positions"),
         share("use_share", "busy positions over positions"),
         share("wait_chance", "chance that a piece finds all positions taken"),
         number("wait_hours", "mean wait for a position", "working hours"),
         *_VERDICT),
        line.stages,
    )  # fmt: skip


def _trades(line: Line) -> Table:
    return table(
        ("trade_loads", "Trades against the pace", "Hours needed against hours able, full week."),
        (text("shop_id", "shop"), text("trade_id", "trade"),
         number("hours_mean", "standard hours needed, repeats included", "hours a week"),
         number("hours_sd", "their standard deviation from week to week", "hours a week"),
         number("hours_able", "attendance times performance", "hours a week"),
         number("hours_shown", "what the records show; blank: no record", "hours a week"),
         share("use_share", "needed over able"),
         share("short_chance", "chance that a week needs more than is able"),
         number("people", "people on the roll", "people"),
         number("people_mean", "people for the mean need", "people"),
         number("people_wanted", "people with the allowance for spread", "people"),
         *_VERDICT),
        line.trades,
    )  # fmt: skip


def _plant(line: Line) -> Table:
    return table(
        ("plant_loads", "Ovens, booths and tanks", "Charges needed against charges able."),
        (text("plant_id", "oven, booth or tank"), text("name", "its name"),
         text("shop_id", "its shop"), whole("how_many", "how many alike there are", "pieces"),
         whole("batch_size", "places of one charge", "pieces"),
         number("pieces_a_day", "places taken up on a working day", "pieces a day"),
         number("charges_able_a_day", "charges it can make", "charges a day"),
         number("charges_needed_a_day", "charges needed", "charges a day"),
         share("use_share", "needed over able"),
         share("fill_share", "how full a charge is"),
         number("wait_hours", "mean wait for a charge", "hours"),
         whole("how_many_wanted", "how many are wanted", "pieces"),
         *_VERDICT),
        line.plant,
    )  # fmt: skip


def _route(line: Line, works: Works) -> Table:
    names = {stage.stage_id: stage.name for stage in works.stages}
    return table(
        ("route", "Route by type", "Earliest and latest times from gate-in, critical path method."),
        (text("type_id", "vehicle type"), text("stage_id", "stage"),
         text("name", "its name", lambda r: names.get(r.stage_id, r.stage_id)),
         number("earliest_start_day", "earliest start from gate-in", "working days"),
         number("earliest_end_day", "earliest end", "working days"),
         number("latest_start_day", "latest start that delays no release", "working days"),
         number("latest_end_day", "latest end that delays no release", "working days"),
         number("slack_days", "latest less earliest", "working days"),
         yes_no("critical", "yes: any delay here delays the release")),
        line.route,
    )  # fmt: skip


def _unit_slack(line: Line, works: Works) -> Table:
    names: Mapping[str, str] = {kind.unit_kind_id: kind.name for kind in works.unit_kinds}
    return table(
        ("unit_slack", "Unit turn time against offset", "Negative slack: a float must carry it."),
        (text("type_id", "vehicle type"), text("unit_kind_id", "unit kind"),
         text("name", "its name", lambda u: names.get(u.unit_kind_id, u.unit_kind_id)),
         number("removed_day", "end of its strip stage from gate-in", "working days"),
         number("needed_day", "start of its fit stage from gate-in", "working days"),
         number("offset_days", "from removal to need", "working days"),
         number("turn_days", "mean time from removal to serviceable", "working days"),
         number("slack_days", "offset less turn time", "working days")),
        line.units,
    )  # fmt: skip
