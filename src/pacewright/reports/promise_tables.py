"""The promise list as tables and as a dictionary."""

from dataclasses import asdict
from typing import Any

from pacewright.plans.promise import PromiseList, Threat, VehiclePromise
from pacewright.reports.iso import in_iso
from pacewright.reports.table import Table, day, number, share, table, text


def promise_tables(made: PromiseList) -> tuple[Table, ...]:
    """The list, and what changed."""
    return (_list(made), _changes(made))


def _list(made: PromiseList) -> Table:
    wide = f"{made.confidence:.0%} of the runs"
    return table(
        (
            "promises",
            "Promises and forecasts",
            f"Release forecast from the record of {made.now:%Y-%m-%d %H:%M}, {made.runs} runs, "
            "beside the first and the current promise",
        ),
        (
            text("vehicle_id", "vehicle"),
            text("type_id", "its type"),
            text("phase", "inside, at gate or called"),
            text("stage_id", "stage where it stands"),
            day("arrived", "day it came"),
            day("first_promise", "first promise of this visit"),
            day("promise", "current promise"),
            day("expected", "release expected", lambda one: _day(one.expected)),
            day("earliest", f"begin of the range of {wide}", lambda one: _day(one.earliest)),
            day(
                "latest",
                f"end of that range; blank: beyond {made.until:%Y-%m-%d}",
                lambda one: _day(one.latest),
            ),
            day(
                "to_promise",
                f"day by whose end it is released in {made.promise_target:.0%} of the runs: the "
                f"promise kept so often; blank: beyond {made.until:%Y-%m-%d}",
            ),
            share("keeps_first_share", "runs in which the first promise is kept"),
            share("keeps_share", "runs in which the current promise is kept"),
            text("threat", "what makes it late, in the runs in which it is", threat_words),
            number(
                "threat_days",
                "wait for it, mean of those runs",
                "working days",
                lambda one: one.threat.days if one.threat else None,
            ),
        ),
        made.vehicles,
    )


def _changes(made: PromiseList) -> Table:
    since = f"{made.since:%Y-%m-%d %H:%M}" if made.since else "not asked"
    return table(
        (
            "promise_changes",
            "What changed",
            f"Vehicles whose forecast moved beyond the noise of the runs, or whose promise "
            f"changed, since {since}",
        ),
        (
            text("vehicle_id", "vehicle"),
            day("was", "expected then", lambda one: _day(one.was)),
            day("now", "expected now", lambda one: _day(one.now)),
            number("days_later", "now less then, paired runs", "working days"),
            number("half_width", "of its interval", "working days"),
            day("promise_was", "current promise then"),
            day("promise_now", "current promise now"),
            share("keeps_share_was", "chance of keeping it then"),
            share("keeps_share_now", "chance of keeping it now"),
        ),
        made.changes,
    )


def threat_words(one: VehiclePromise) -> str:
    """What threatens the promise of a vehicle, in words; blank: nothing."""
    return "" if one.threat is None else _words(one.threat)


def _words(threat: Threat) -> str:
    if threat.cause is None:
        return "its own work takes longer than promised"
    shop = f" ({threat.shop_id})" if threat.shop_id else ""
    return f"{threat.cause.value}: {threat.name}{shop}"


def _day(moment: Any) -> Any:
    return moment.date() if moment is not None else None


def promise_summary(made: PromiseList) -> dict[str, Any]:
    """The list for JSON; moments and days in ISO 8601."""
    said: dict[str, Any] = in_iso(asdict(made))
    return said
