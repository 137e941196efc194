"""What a fleet says of its usage, against fleets simulated with known figures."""

from datetime import date, timedelta
from math import sqrt

import numpy as np
import pytest

from pacewright.base.settings import PlanSettings
from pacewright.fleet.due import due_windows
from pacewright.fleet.odometer import Stretch, Usage, follow, odometer_record
from pacewright.fleet.tables import Reading, Vehicle, VehicleType
from pacewright.fleet.usage import LEAST_RATE_SHARE, TypeUsage, type_usage
from pacewright.fleet.windows import DueBy

OVERHAUL = date(2024, 1, 1)
RATE, BETWEEN_SD, DEPOT_SD = 200.0, 25.0, 15.0
INTERVAL = 120_000.0


class SimulatedFleet:
    """Vehicles overhauled on one day, run by days, read every ``every`` days until ``today``.

    A day's distance is gamma distributed, so that an odometer never falls: mean the vehicle's rate,
    variance ``scatter``; the rate gains the variance ``wander`` a day.
    """

    def __init__(
        self,
        vehicles: int = 1500,
        scatter: float = 9_000.0,
        wander: float = 0.0,
        every: int = 30,
        read_days: int = 360,
        seed: int = 1,
    ) -> None:
        rng = np.random.default_rng(seed)
        depots = rng.normal(0, DEPOT_SD, 12)
        self.depot = rng.integers(0, 12, vehicles)
        rate = np.maximum(RATE + depots[self.depot] + rng.normal(0, BETWEEN_SD, vehicles), 60)
        distance = np.zeros((1500, vehicles))
        for day in range(1, 1500):
            shape = rate**2 / scatter
            distance[day] = distance[day - 1] + rng.gamma(shape, scatter / rate)
            rate = np.maximum(rate + rng.normal(0, sqrt(wander), vehicles), 20)
        self.distance, self.rate_now = distance, rate
        self.every, self.read_days, self.vehicles = every, read_days, vehicles
        self.today = OVERHAUL + timedelta(days=read_days)

    def rows(self) -> tuple[list[Vehicle], list[Reading]]:
        """The rows of the tables."""
        buses = [
            Vehicle(str(n), "d", f"d{self.depot[n]}", "running", date(2015, 1, 1), OVERHAUL, 1e5)
            for n in range(self.vehicles)
        ]
        readings = [
            Reading(str(n), OVERHAUL + timedelta(days=day), 1e5 + float(self.distance[day, n]))
            for n in range(self.vehicles)
            for day in range(self.every, self.read_days + 1, self.every)
        ]
        return buses, readings

    def usage(self) -> TypeUsage:
        """What the fleet says of itself."""
        buses, readings = self.rows()
        of_bus: dict[str, list[Reading]] = {}
        for one in readings:
            of_bus.setdefault(one.vehicle_id, []).append(one)
        found = type_usage(
            [(b.depot_id, odometer_record(b, of_bus[b.vehicle_id], self.today)) for b in buses]
        )
        assert found is not None
        return found

    def errors(self) -> np.ndarray:
        """Day the interval really ran out less day forecast, in the sd forecast."""
        buses, readings = self.rows()
        plan = PlanSettings(self.today, self.today, 104)
        kind = VehicleType("d", "By distance", 15.0, None, INTERVAL)
        end = self.today + timedelta(weeks=104)
        windows = [one for one in due_windows(buses, [kind], readings, plan, end) if one.visit == 1]
        assert all(one.due_by is DueBy.DISTANCE for one in windows)
        ran_out = (self.distance >= INTERVAL).argmax(axis=0)
        # Due is the last whole day, and the day of crossing is counted whole: half a day each way.
        due = np.array([(one.due - OVERHAUL).days + 0.5 for one in windows if one.due])
        return (ran_out - 0.5 - due) / np.array([one.sd_days for one in windows])


def test_figures_of_a_fleet_are_found_again() -> None:
    """1,500 vehicles, 12 monthly readings, seed 1: each figure within about four standard errors.

    Standard errors from the variance 2 of a squared normal: scatter with 16,500 overlapping pairs
    1.5 %; spread between vehicles 2 % of its sd; wander 9,000 sqrt(2/1500) over the reach of two
    halves of 180 days, 180 x 180 / 3; mean of depots 15/sqrt(12).
    """
    found = SimulatedFleet().usage()
    assert found.rate == pytest.approx(RATE, abs=4 * DEPOT_SD / sqrt(12))
    assert found.scatter == pytest.approx(9_000, rel=0.06)
    assert sqrt(found.rate_variance) == pytest.approx(BETWEEN_SD, rel=0.08)
    assert 0.4 * DEPOT_SD < sqrt(found.depot_variance) < 1.8 * DEPOT_SD
    assert found.wander < 4 * 9_000 * sqrt(2 / 1500) / (180 * 180 / 3)
    assert found.vehicles == 1500


@pytest.mark.parametrize("wander", [0.2, 0.8])
def test_wander_is_told_from_scatter(wander: float) -> None:
    """Usage that changes shows between the halves of the records, not as scatter of days.

    Allowed: four standard errors, (s + w q) sqrt(2/1500) / q with the reach q = 270 x 270 / 3.
    """
    found = SimulatedFleet(wander=wander, read_days=540).usage()
    reach = 270 * 270 / 3
    allowed = 4 * (9_000 + wander * reach) * sqrt(2 / 1500) / reach
    assert found.wander == pytest.approx(wander, abs=allowed)
    assert found.scatter == pytest.approx(9_000, rel=0.08)


@pytest.mark.parametrize(
    ("wander", "every", "scatter"),
    [(0.0, 30, 9_000.0), (0.0, 90, 30_000.0), (0.1, 30, 9_000.0), (0.1, 90, 9_000.0)],
)
def test_forecast_error_covers_what_happens(wander: float, every: int, scatter: float) -> None:
    """Monte Carlo through due_windows: 68.3 % fall within one sd of due and 95.4 % within two.

    1,500 vehicles, fixed seed: by chance alone the shares have standard errors 1.2 % and 0.54 %.
    Allowed: four of these (false alarm below 1 in 10,000 a share) and 2 points for the error of
    first order and the depots' common error.
    """
    error = SimulatedFleet(wander=wander, every=every, scatter=scatter).errors()
    assert np.mean(abs(error) < 1) == pytest.approx(0.683, abs=4 * 0.012 + 0.02)
    assert np.mean(abs(error) < 2) == pytest.approx(0.954, abs=4 * 0.0054 + 0.02)
    assert np.mean(error) == pytest.approx(0.0, abs=0.2)


@pytest.mark.parametrize("every", [180, 360])
def test_records_too_short_to_show_a_change_err_to_the_wide_side(every: int) -> None:
    """With one or two stretches scatter and change are assumed: errors are wide, not threefold."""
    error = SimulatedFleet(every=every).errors()
    assert np.mean(abs(error) < 1) > 0.683 - 4 * 0.012
    assert np.std(error) > 1 / 3


def test_forecast_beats_the_lifetime_mean_and_the_last_stretch() -> None:
    """Where usage changes, the filter forecasts better than either rule of thumb of the trade."""
    fleet = SimulatedFleet(wander=0.4, read_days=720)
    prior, run = fleet.usage().expected("d0"), fleet.distance
    months = np.diff(run[0:721:30], axis=0)
    ahead = run[900] - run[720]
    stretches = [
        [Stretch(30, float(one), 0) for one in months[:, n]] for n in range(fleet.vehicles)
    ]
    ours = np.array([follow(one, prior).rate for one in stretches]) * 180 - ahead
    lifetime = run[720] / 720 * 180 - ahead
    last = months[-1] / 30 * 180 - ahead
    rms = [sqrt(np.mean(error**2)) for error in (ours, lifetime, last)]
    assert rms[0] < 0.9 * min(rms[1:]), rms


def test_firm_zone_error_is_about_half_a_month() -> None:
    """Common practice, no source: three months ahead the error is about half a month.

    An order of magnitude only: monthly readings, a month's distance scattering by 15 %, usage
    changing by 10 % a year.
    """
    scatter, wander = (0.15 * 30 * RATE) ** 2 / 30, (0.1 * RATE) ** 2 / 365
    fleet = SimulatedFleet(vehicles=300, scatter=scatter, wander=wander, read_days=330)
    buses, readings = fleet.rows()
    kind = VehicleType("d", "By distance", 15.0, None, INTERVAL)
    plan = PlanSettings(fleet.today, fleet.today, 104)
    windows = due_windows(buses, [kind], readings, plan, fleet.today + timedelta(weeks=104))
    middle = float(np.median([one.firm_sd_days for one in windows if one.visit == 1]))
    assert 7.5 < middle < 22.5


def test_depot_leads_the_expectation_where_depots_differ() -> None:
    """A vehicle of which nothing is known is expected to run as others of its depot do."""
    rng = np.random.default_rng(3)
    bus = Vehicle("1", "d", "x", "running", date(2015, 1, 1), OVERHAUL, 0.0)
    rows = []
    for depot, mean in (("hill", 150.0), ("plain", 250.0), ("shore", 200.0)):
        for _ in range(40):
            reading = Reading("1", OVERHAUL + timedelta(days=300), 300 * rng.normal(mean, 10))
            rows.append((depot, odometer_record(bus, [reading], date(2026, 1, 1))))
    found = type_usage(rows)
    assert found is not None
    assert found.expected("hill").rate == pytest.approx(150, abs=5)
    assert found.expected("plain").rate == pytest.approx(250, abs=5)
    unknown = found.expected("elsewhere")
    assert unknown.rate == pytest.approx(200, abs=5)
    assert unknown.rate_variance > 5 * found.expected("hill").rate_variance


def test_depots_that_do_not_differ_share_one_mean() -> None:
    """Depots drawn at random from one fleet lean almost wholly on the type's mean."""
    rng = np.random.default_rng(4)
    bus = Vehicle("1", "d", "x", "running", date(2015, 1, 1), OVERHAUL, 0.0)
    rows = []
    for n in range(200):
        reading = Reading("1", OVERHAUL + timedelta(days=300), 300 * max(rng.normal(200, 40), 1))
        rows.append((f"d{n % 20}", odometer_record(bus, [reading], date(2026, 1, 1))))
    found = type_usage(rows)
    assert found is not None
    apart = np.std([found.expected(f"d{n}").rate for n in range(20)])
    assert apart < 0.6 * 40 / sqrt(10)


def test_one_vehicle_alone_still_has_an_error() -> None:
    """A type of one vehicle with one stretch has nothing to compare: the stated shares hold."""
    bus = Vehicle("1", "d", "x", "running", date(2015, 1, 1), OVERHAUL, 0.0)
    record = odometer_record(bus, [Reading("1", date(2024, 12, 31), 73_000.0)], date(2025, 1, 1))
    found = type_usage([("x", record)])
    assert found is not None
    usage = found.of(record, "x")
    assert usage.rate == pytest.approx(200.0)
    # By hand: scatter + its part of wander is (0.2 x 200)^2 x 30 = 48,000; spread (0.3 x 200)^2.
    assert found.scatter == pytest.approx(48_000.0)
    assert found.expected("x").rate_variance >= 3_600.0
    assert found.wander == pytest.approx((0.05 * 200) ** 2 / 365)
    assert 0 < usage.rate_variance < 3_600.0


def test_no_usable_record_is_none() -> None:
    """Less than 28 days of record, or an odometer that stands, says nothing of the type."""
    bus = Vehicle("1", "d", "x", "running", date(2015, 1, 1), OVERHAUL, 0.0)
    short = odometer_record(bus, [Reading("1", date(2024, 1, 20), 4_000.0)], date(2025, 1, 1))
    stands = odometer_record(bus, [Reading("1", date(2024, 12, 20), 0.0)], date(2025, 1, 1))
    assert type_usage([("x", short), ("x", stands)]) is None


def test_usual_distance_never_falls_to_nought() -> None:
    """A vehicle that hardly ran of late keeps a least share of its depot's usual distance."""
    bus = Vehicle("1", "d", "x", "running", date(2015, 1, 1), OVERHAUL, 0.0)
    idle = odometer_record(bus, [Reading("1", date(2025, 12, 20), 10.0)], date(2026, 1, 1))
    known = TypeUsage(200.0, 900.0, {"x": (200.0, 4.0)}, 0.0, 9_000.0, 0.1, 50)
    assert follow(idle.stretches, Usage(200.0, 904.0, 9_000.0, 0.1)).rate < 0.5 * 200
    assert known.of(idle, "x").rate >= LEAST_RATE_SHARE * 200
