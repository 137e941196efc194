"""Rules every due window keeps, whatever the vehicle."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from pacewright.base.settings import PlanSettings
from pacewright.fleet.due import due_windows
from pacewright.fleet.tables import Reading, Vehicle, VehicleType
from pacewright.fleet.windows import DueBy, DueWindow, Standing

TODAY = date(2026, 3, 2)
PLAN = PlanSettings(today=TODAY, start=date(2026, 3, 4), horizon_weeks=104)
END = date(2028, 3, 5)
PAST = st.dates(date(2015, 1, 1), TODAY)
NEAR = st.dates(date(2026, 1, 1), date(2030, 1, 1))


@st.composite
def kinds(draw: st.DrawFn) -> VehicleType:
    """A type with at least one interval."""
    months = draw(st.none() | st.floats(0.5, 120))
    distance = draw(st.floats(500, 1e6) if months is None else st.none() | st.floats(500, 1e6))
    return VehicleType(
        "k",
        "Kind",
        draw(st.floats(0.5, 60)),
        months,
        distance,
        early_days=draw(st.integers(0, 400)),
        late_days=draw(st.integers(0, 400)),
        late_distance=draw(st.sampled_from((0.0, 5_000.0, 1e5))),
    )


@st.composite
def vehicles(draw: st.DrawFn, vehicle_id: str) -> tuple[Vehicle, list[Reading]]:
    """A vehicle and its readings, which never fall."""
    in_service, overhaul = draw(PAST), draw(st.none() | PAST)
    if overhaul is not None and overhaul < in_service:
        in_service, overhaul = overhaul, in_service
    state = draw(
        st.sampled_from(("running", "running", "running", "standing", "inside", "withdrawn"))
    )
    days = sorted(draw(st.sets(st.integers(0, 2000), max_size=8)))
    steps = draw(st.lists(st.floats(0, 500), min_size=len(days), max_size=len(days)))
    at, odometer, rows = in_service, 0.0, []
    odometer_then = 0.0
    for day, rate in zip(days, steps, strict=True):
        on = in_service + timedelta(days=day)
        odometer += rate * (on - at).days
        if overhaul is not None and on <= overhaul:
            odometer_then = odometer
        at = on
        rows.append(Reading(vehicle_id, on, odometer))
    vehicle = Vehicle(
        vehicle_id,
        "k",
        draw(st.sampled_from(("north", "south"))),
        state,
        in_service,
        overhaul,
        draw(st.sampled_from((None, odometer_then))) if overhaul else None,
        draw(st.none() | NEAR),
        draw(st.none() | NEAR),
        TODAY - timedelta(days=5) if state == "inside" else None,
        "body" if state == "inside" else None,
    )
    return vehicle, rows


@st.composite
def fleets(draw: st.DrawFn) -> tuple[VehicleType, list[Vehicle], list[Reading]]:
    """A few vehicles of one type."""
    pairs = [draw(vehicles(str(n))) for n in range(draw(st.integers(1, 4)))]
    return draw(kinds()), [one for one, _ in pairs], [row for _, rows in pairs for row in rows]


def made(
    fleet: tuple[VehicleType, list[Vehicle], list[Reading]], guard: float
) -> tuple[DueWindow, ...]:
    """The windows of a fleet under a guard."""
    kind, rows, readings = fleet
    return due_windows(rows, [kind], readings, replace(PLAN, guard=guard), END)


@settings(max_examples=80, deadline=None)
@given(fleets(), st.sampled_from((0.0, 1.0, 3.0)))
def test_every_window_keeps_its_order(
    fleet: tuple[VehicleType, list[Vehicle], list[Reading]], guard: float
) -> None:
    """Opens before due before limit, latest between opens and limit, errors not negative."""
    for one in made(fleet, guard):
        if one.due is None:
            assert (one.opens, one.limit, one.latest, one.due_by) == (None, None, None, None)
            assert one.standing in {Standing.INSIDE, Standing.WITHDRAWN, Standing.UNKNOWN}
            continue
        assert one.opens and one.limit and one.latest
        assert one.opens <= one.due <= one.limit
        assert one.opens <= one.latest <= one.limit
        assert one.sd_days >= 0
        assert 0 <= one.firm_sd_days <= one.sd_days + 1e-9
        assert one.due_by is DueBy.DISTANCE or one.sd_days == 0


@settings(max_examples=80, deadline=None)
@given(fleets())
def test_every_vehicle_is_answered_for(
    fleet: tuple[VehicleType, list[Vehicle], list[Reading]],
) -> None:
    """Visit 1 of each vehicle in order of the rows; later visits in order, inside the horizon."""
    found = made(fleet, 1.0)
    assert [one.vehicle_id for one in found if one.visit == 1] == [v.vehicle_id for v in fleet[1]]
    for before, after in pairwise(found):
        if after.visit > 1:
            assert (after.vehicle_id, after.visit) == (before.vehicle_id, before.visit + 1)
            assert after.standing is Standing.DUE
            assert after.opens and after.opens <= END
            assert before.due is None or (after.due and after.due > before.due)
    for one in found:
        late = one.opens is not None and one.opens > END
        assert (one.standing is Standing.LATER) <= late
        assert one.standing not in {Standing.UNKNOWN} or one.note


@settings(max_examples=50, deadline=None)
@given(fleets(), st.integers(1, 300))
def test_more_tolerance_never_shortens_a_limit(
    fleet: tuple[VehicleType, list[Vehicle], list[Reading]], more: int
) -> None:
    """More late days or distance give the same due and a limit no earlier."""
    kind, rows, readings = fleet
    wider = replace(
        kind, late_days=kind.late_days + more, late_distance=kind.late_distance + 100.0 * more
    )
    for vehicle in rows:
        own = [row for row in readings if row.vehicle_id == vehicle.vehicle_id]
        before = made((kind, [vehicle], own), 0.0)[0]
        after = made((wider, [vehicle], own), 0.0)[0]
        assert after.due == before.due
        assert (after.limit is None) == (before.limit is None)
        assert before.limit is None or (after.limit and after.limit >= before.limit)


@settings(max_examples=50, deadline=None)
@given(fleets())
def test_more_guard_never_gives_more_time(
    fleet: tuple[VehicleType, list[Vehicle], list[Reading]],
) -> None:
    """A greater guard moves latest earlier or leaves it, and touches nothing else of visit 1."""
    for little, much in zip(made(fleet, 0.5), made(fleet, 2.0), strict=True):
        assert replace(much, latest=little.latest) == little
        assert little.latest is None or (much.latest and much.latest <= little.latest)


@settings(max_examples=50, deadline=None)
@given(fleets(), st.randoms(use_true_random=False))
def test_order_of_readings_does_not_matter(
    fleet: tuple[VehicleType, list[Vehicle], list[Reading]], rng: object
) -> None:
    """Readings may stand in any order in their table."""
    kind, rows, readings = fleet
    mixed = list(readings)
    rng.shuffle(mixed)  # type: ignore[attr-defined]
    assert made((kind, rows, mixed), 1.0) == made(fleet, 1.0)


@settings(max_examples=50, deadline=None)
@given(fleets())
def test_unknown_distance_is_never_not_due(
    fleet: tuple[VehicleType, list[Vehicle], list[Reading]],
) -> None:
    """Where distance counts and cannot be told no vehicle is later or leaving."""
    kind, rows, readings = fleet
    if kind.interval_distance is None:
        return
    blank = [
        replace(v, last_overhaul=v.last_overhaul or v.in_service, overhaul_odometer=None)
        for v in rows
    ]
    starts = {(v.vehicle_id, v.last_overhaul) for v in blank}
    kept = [row for row in readings if (row.vehicle_id, row.read_on) not in starts]
    for one in made((kind, blank, kept), 1.0):
        state = next(v.state for v in blank if v.vehicle_id == one.vehicle_id)
        if one.visit == 1 and state in {"running", "standing"}:
            assert one.standing in {Standing.DUE, Standing.OVERDUE, Standing.UNKNOWN}
            assert "planned without distance" in one.note
