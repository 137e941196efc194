"""Tables of the forecast: figures, weeks, turn times, hold-ups, use, queues, floats, piles."""

from collections.abc import Mapping
from typing import Any

from pacewright.plans.forecast import Forecast
from pacewright.reports.table import Spec, Table, day, number, share, table, text, whole, yes_no
from pacewright.works import Works

_HALF = "half width of its interval; blank: too few runs to tell"


def forecast_tables(works: Works, forecast: Forecast) -> tuple[Table, ...]:
    """Every table that comes from the forecast."""
    shops = {shop.shop_id: shop.name for shop in works.shops}
    return (
        _figures(forecast),
        _weeks(forecast),
        _turns(forecast),
        _turn_days(forecast),
        _hold_ups(forecast, shops),
        _uses(forecast, shops),
        _queues(forecast, shops),
        _readiness(forecast, shops),
        _piles(forecast),
        _beside(forecast),
    )


def _shop(shops: Mapping[str, str]) -> Spec:
    return text("shop", "its shop", lambda r: shops.get(r.shop_id, r.shop_id))


def _figures(forecast: Forecast) -> Table:
    return table(
        ("run_figures", "The works run through: figures", "Each with the interval of its mean."),
        (text("key", "stable name"), text("name", "what it is"), text("unit", "its unit"),
         number("mean", "mean of the runs", "see unit"), number("half_width", _HALF, "see unit"),
         number("low", "lower end of the interval", "see unit"),
         number("high", "upper end of the interval", "see unit"),
         whole("runs", "runs in which it could be measured", "runs", "replications")),
        forecast.figures,
    )  # fmt: skip


def _weeks(forecast: Forecast) -> Table:
    def band(what: str, said: str) -> tuple[Spec, ...]:
        return (
            number(f"{what}_mean", f"{said}, mean of the runs", "vehicles", f"{what}.mean"),
            number(f"{what}_low", "nine runs of ten lie above or at", "vehicles", f"{what}.low"),
            number(f"{what}_high", "and below or at", "vehicles", f"{what}.high"),
        )

    return table(
        ("run_weeks", "The works run through, by week", "Nine runs of ten lie from low to high."),
        (text("week", "ISO 8601 week", "label"), day("monday", "its Monday"),
         whole("working_days", "days worked in it", "days"),
         whole("called", "vehicles called in", "vehicles"),
         whole("able", "vehicles the pace can take; blank: the programme has no such week",
               "vehicles"),
         *band("released", "vehicles released"),
         *band("inside", "vehicles inside at its end"),
         yes_no("measured", "yes: it counts in the figures")),
        forecast.weeks,
    )  # fmt: skip


def _turns(forecast: Forecast) -> Table:
    def kept(part: str) -> Any:
        return lambda t: getattr(t.promise_chance, part) if t.promise_chance else None

    return table(
        ("run_turns", "Turn time by type, simulated", "Gate to gate, all waiting included."),
        (text("type_id", "vehicle type"), text("name", "its name"),
         number("released_a_year", "vehicles released", "vehicles a year"),
         number("mean_days", "mean turn time", "working days", "mean.mean"),
         number("half_width_days", _HALF, "working days", "mean.half_width"),
         number("promised_days", "promised in vehicle_types", "working days"),
         share("promise_chance", "share released within it", kept("mean")),
         share("promise_half_width", _HALF, kept("half_width")),
         number("to_promise_days", "a promise kept as often as promise_target of the settings asks",
                "working days"),
         number("route_days", "longest path of the route, no waiting", "working days"),
         number("expected_days", "with the plan's mean waits for positions", "working days")),
        forecast.turns,
    )  # fmt: skip


def _turn_days(forecast: Forecast) -> Table:
    rows = [
        (turn, level, days)
        for turn in forecast.turns
        for level, days in zip(turn.quantile_shares, turn.quantile_days, strict=True)
    ]
    return table(
        ("run_turn_days", "How turn times scatter", "So many vehicles take at most so long."),
        (text("type_id", "vehicle type", lambda r: r[0].type_id),
         text("name", "its name", lambda r: r[0].name),
         share("share", "share of the vehicles", lambda r: r[1]),
         number("days", "take at most so long", "working days", lambda r: r[2])),
        rows,
    )  # fmt: skip


def _hold_ups(forecast: Forecast, shops: Mapping[str, str]) -> Table:
    return table(
        ("run_hold_ups", "Hold-ups", "What vehicles stand for, and where; heaviest first."),
        (text("cause", "why they stand"), text("place_id", "stage, unit kind, assembly or crew"),
         text("name", "its name"), _shop(shops),
         number("vehicle_days_a_year", "working days vehicles stand for it",
                "vehicle-days a year"),
         number("half_width", _HALF, "vehicle-days a year"),
         share("touched_share", "share of the vehicles that stand for it at all"),
         number("days_each", "mean stay of a vehicle that does", "working days")),
        forecast.holdups,
    )  # fmt: skip


def _uses(forecast: Forecast, shops: Mapping[str, str]) -> Table:
    return table(
        ("run_use", "Use of stages and crews", "Positions held; people at work of those there."),
        (text("of", "stage or crew"), text("place_id", "stage, or shop and trade"),
         text("name", "its name"), _shop(shops),
         share("use_share", "share in use, simulated"), share("half_width", _HALF),
         share("plan_share", "the plan's use; blank: the line has none")),
        forecast.uses,
    )  # fmt: skip


def _queues(forecast: Forecast, shops: Mapping[str, str]) -> Table:
    return table(
        ("run_queues", "Work at every stage", "Mean numbers over the time counted."),
        (text("stage_id", "stage"), text("name", "its name"), _shop(shops),
         text("assembly_id", "what passes: the vehicle or an assembly"),
         whole("positions", "positions there are", "positions"),
         number("waiting_mean", "pieces that wait for a position of it", "pieces"),
         number("half_width", _HALF, "pieces"),
         number("on_positions_mean", "pieces on its positions", "pieces"),
         number("passed_a_week", "pieces that finish it", "pieces a week")),
        forecast.queues,
    )  # fmt: skip


def _readiness(forecast: Forecast, shops: Mapping[str, str]) -> Table:
    return table(
        ("run_floats", "Floats, simulated beside the closed form", "One row a unit kind."),
        (text("unit_kind_id", "unit kind"), text("name", "its name"), _shop(shops),
         whole("held", "units of the float", "units"),
         whole("needed", "units needed by the closed form", "units"),
         share("ready_share", "demands that found all their units there, simulated"),
         share("half_width", _HALF),
         share("ready_plan", "the closed form's chance, with the units held"),
         number("on_shelf_mean", "serviceable units on the shelf", "units"),
         number("owed_mean", "units that are waited for", "units"),
         number("wait_days_mean", "mean wait of a demand, none included", "working days"),
         number("demands_a_year", "demands", "demands a year")),
        forecast.floats,
    )  # fmt: skip


def _piles(forecast: Forecast) -> Table:
    return table(
        ("run_piles", "What waits for vehicles", "Finished assemblies, units on the shelf."),
        (text("kind", "assembly or unit"), text("place_id", "type and assembly, or unit kind"),
         text("name", "its name"),
         number("pieces_mean", "pieces that wait on average", "pieces"),
         number("half_width", _HALF, "pieces")),
        forecast.piles,
    )  # fmt: skip


def _beside(forecast: Forecast) -> Table:
    return table(
        ("run_beside_plan", "Plan beside simulation", "Where they differ, and why."),
        (text("figure", "what is compared"), text("unit", "its unit"),
         text("place_id", "stage, crew, unit kind or type; blank: the whole works"),
         number("plan", "the plan's value", "see unit"),
         number("simulated", "mean of the runs", "see unit"),
         number("half_width", _HALF, "see unit"),
         number("within", "difference too small to matter", "see unit"),
         yes_no("agrees", "yes: the plan lies in the interval, or nearer than matters"),
         text("why", "where they differ: what makes the difference")),
        forecast.beside,
    )  # fmt: skip
