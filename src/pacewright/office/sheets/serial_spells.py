"""The life of a unit as stretches: on which vehicle, unserviceable, serviceable, given out."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from pacewright.events.follow import carriers_at, distance_used
from pacewright.events.standing import Standing
from pacewright.events.things import WHOLE, Condition, Event, Piece, Unit
from pacewright.events.units import (
    Cleared,
    Fitted,
    Issued,
    Missed,
    Purchased,
    Quarantined,
    Received,
    Reconditioned,
    Removed,
    Robbed,
    Scrapped,
    SeenOn,
    Sent,
    UnitEntered,
)
from pacewright.reports.drawings.life_line import NAMES
from pacewright.reports.table import Table, moment, number, table, text

ON = "on"

_STATES: dict[type[Event], str] = {
    Purchased: Condition.SERVICEABLE.value,
    Reconditioned: Condition.SERVICEABLE.value,
    Removed: Condition.UNSERVICEABLE.value,
    Cleared: Condition.UNSERVICEABLE.value,
    Quarantined: Condition.QUARANTINE.value,
    Missed: Condition.QUARANTINE.value,
    Scrapped: Condition.SCRAPPED.value,
    Issued: "issued",
    Robbed: "issued",
    Fitted: ON,
    SeenOn: ON,
}
"""Kind of event -> what the unit is from then on; the others only move it."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of a life.

    Parameters
    ----------
    state : ``on``, ``issued``, or a condition.
    label : what it was on, what it was given out for, or the place it last came to.
    vehicle_id : vehicle it was on; empty: on none, or on a loose assembly.
    distance : run in that time; None: not known, or on none.
    """

    state: str
    label: str
    vehicle_id: str
    since: datetime | None
    until: datetime | None
    distance: float | None = None


def stretches_of(
    unit: Unit, story: Sequence[Event], standing: Standing, now: datetime
) -> list[Stretch]:
    """The stretches of a unit in order of time.

    Parameters
    ----------
    story : events about it, mended, in order of time.
    now : until when what goes on is counted.
    """
    links = standing.unit_links.of.get(unit, ())
    found = list(_told(story))
    if links and links[0].since is None:
        found.insert(0, Stretch(ON, str(links[0].carrier), "", None, links[0].until))
    return [_on_vehicle(unit, one, standing, now) for one in found]


def _told(story: Sequence[Event]) -> Iterator[Stretch]:
    state, label, since = "", "", None
    for event in story:
        new = event.condition.value if isinstance(event, UnitEntered) else _STATES.get(type(event))
        if new is None:
            if isinstance(event, Received | Sent) and state not in ("", ON):
                label = event.place_id
                if isinstance(event, Received) and state == "issued":
                    # What was given out and is given back is free again.
                    yield Stretch(state, label, "", since, event.at)
                    state, since = Condition.SERVICEABLE.value, event.at
            continue
        if state and new != state:
            yield Stretch(state, label, "", since, event.at)
        if new != state:
            state, since = new, event.at
        label = _label(event) or label
    if state:
        yield Stretch(state, label, "", since, None)


def _label(event: Event) -> str:
    for name in ("onto", "on", "to", "place_id", "shop_id"):
        said = getattr(event, name, "")
        if said:
            return str(said)
    return ""


def _on_vehicle(unit: Unit, one: Stretch, standing: Standing, now: datetime) -> Stretch:
    """A stretch on something, with the vehicle and what was run in it."""
    if one.state != ON:
        return one
    end = one.until or now
    carriers = carriers_at(standing, unit, one.since or end - timedelta(minutes=1))
    run = distance_used(standing, unit, end, one.since) if one.since else None
    return replace(one, vehicle_id=_number(carriers), distance=run)


def _number(carriers: Sequence[Piece]) -> str:
    return next((one.serial for one in carriers if one.assembly_id == WHOLE), "")


def stretches_table(rows: Sequence[Stretch], distance_unit: str) -> Table:
    """Stretches as rows."""
    return table(
        ("life", "Its life so far", "The last first."),
        (text("state", "on a vehicle, given out, or its condition", lambda r: NAMES[r.state]),
         text("where", "what it was on or for, or the place it came to", "label"),
         text("vehicle_id", "vehicle it was on"), moment("since", "from; blank: before the record"),
         moment("until", "until; blank: still"),
         number("days", "how long", "calendar days", _days),
         number("distance", "run in that time; blank: not known", distance_unit)),
        rows,
    )  # fmt: skip


def _days(row: Stretch) -> float | None:
    if row.since is None or row.until is None:
        return None
    return (row.until - row.since).total_seconds() / 86400
