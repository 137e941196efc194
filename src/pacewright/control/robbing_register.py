"""The register of robbings: who approved, why, what it cost, whether it was made good since."""

from datetime import datetime

from pacewright.control.clock import clock_of
from pacewright.control.robbing import vehicle_of
from pacewright.events.scan import code_of
from pacewright.events.standing import Standing
from pacewright.events.units import Robbed
from pacewright.plans.robbing import RobberyEntry
from pacewright.works import Works


def register(works: Works, standing: Standing, now: datetime) -> tuple[RobberyEntry, ...]:
    """Every robbing of the record, the latest first.

    Made good is a robbing by the first unit of the kind that the robbed vehicle got afterwards and
    that no earlier robbing of it was made good by.
    """
    clock = clock_of(works, now)
    usual_hours = works.settings.plan.rob_hours
    taken: set[tuple[str, str, datetime]] = set()
    rows = []
    for one in standing.robberies:
        robbed_id = vehicle_of(standing, one.off)
        good = _made_good(standing, one, robbed_id, taken)
        if good is not None:
            taken.add((robbed_id, one.unit.unit_kind_id, good))
        rows.append(
            RobberyEntry(
                at=one.at,
                unit=code_of(one.unit),
                off=code_of(one.off),
                to=code_of(one.to),
                robbed_id=robbed_id,
                helped_id=vehicle_of(standing, one.to),
                approved_by=one.approved_by,
                second_approval=one.second_approval,
                reason=one.reason,
                hours=2 * works.rob_hours.get(one.unit.unit_kind_id, usual_hours),
                made_good=good.date() if good else None,
                owed_days=max(0.0, clock.day_of(good or now) - clock.day_of(one.at)),
            )
        )
    return tuple(reversed(rows))


def _made_good(
    standing: Standing, one: Robbed, robbed_id: str, taken: set[tuple[str, str, datetime]]
) -> datetime | None:
    kind = one.unit.unit_kind_id
    fitted = [
        link.since
        for unit, links in standing.unit_links.of.items()
        if unit.unit_kind_id == kind
        for link in links
        if link.since is not None
        and link.since >= one.at
        and (link.until is None or link.until > one.at)
        and link.carrier in standing.pieces
        and vehicle_of(standing, link.carrier) == robbed_id
    ]
    return min((at for at in fitted if (robbed_id, kind, at) not in taken), default=None)
