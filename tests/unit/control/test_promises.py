"""Promises forecast from a works told event by event."""

from dataclasses import replace
from datetime import timedelta

import pytest

from control_case import Case
from pacewright.control.promises import Forecaster, Moment, PromiseQuestion, promises
from pacewright.events.gate import Called, Promised
from pacewright.events.stages import Failed
from pacewright.events.things import Unit
from pacewright.events.units import Fitted, Purchased, Quarantined
from pacewright.plans.forecast import Cause
from pacewright.plans.promise import PromiseList, VehiclePromise
from small_works import Tables, small_works

FEW = Forecaster(PromiseQuestion(runs=60, pace_a_day=0.2))


def at(case: Case) -> Moment:
    """The record as the story left it."""
    return Moment(case.works, case.now.copy(), case.at())


def one_of(made: PromiseList, vehicle_id: str) -> VehiclePromise:
    """The row of a vehicle."""
    return next(one for one in made.vehicles if one.vehicle_id == vehicle_id)


def lacks_a_motor() -> Case:
    """101 stands at the fit-out and is owed a motor; none is in store, the table holds none."""
    case = Case()
    whole = case.married("101")
    case.passes(whole, "marry")
    case.put(whole, "fitout")
    case.off(whole, "motor", "M-1")
    return case


def test_first_and_current_promise_stand_beside_the_forecast() -> None:
    """The first stays when a later one is made; each has its own chance."""
    case = lacks_a_motor()
    case.tell(Promised, "101", (case.at() + timedelta(days=2)).date())
    case.tell(Promised, "101", (case.at() + timedelta(days=300)).date())
    one = one_of(promises(at(case), FEW), "101")
    assert one.first_promise is not None
    assert one.promise is not None
    assert one.first_promise < one.promise
    assert (one.keeps_first_share, one.keeps_share) == (0.0, 1.0)
    assert one.threat is None
    assert one.stage_id == "fitout"


def test_the_threat_is_what_it_waits_for_when_late() -> None:
    """The unit it lacks; and its own work where it waits for nothing."""
    case = lacks_a_motor()
    case.tell(Promised, "101", (case.at() + timedelta(days=2)).date())
    threat = one_of(promises(at(case), FEW), "101").threat
    assert threat is not None
    assert (threat.cause, threat.place_id) == (Cause.PART, "motor")
    assert threat.days > 1
    case.in_store("motor", "M-9")
    case.tell(Fitted, Unit("motor", "M-9"), case.now.whole("101").piece)
    case.tell(Promised, "101", case.at().date())
    threat = one_of(promises(at(case), FEW), "101").threat
    assert threat is not None
    assert threat.cause is not Cause.PART


def test_without_a_promise_no_chance_is_told() -> None:
    """Nothing promised: nothing kept or threatened, but a forecast there is."""
    one = one_of(promises(at(lacks_a_motor()), FEW), "101")
    assert (one.promise, one.keeps_share, one.keeps_first_share, one.threat) == (None,) * 4
    assert one.expected is not None
    assert one.released_share == 1.0


def test_vehicles_called_in_soon_are_forecast_too() -> None:
    """Called within four weeks: on the list; later: not."""
    case = Case()
    case.let_in_type("101")
    case.tell(Called, "102", "solo", "south", (case.at() + timedelta(days=10)).date())
    case.tell(Called, "103", "solo", "south", (case.at() + timedelta(days=60)).date())
    made = promises(at(case), FEW)
    assert {one.vehicle_id: one.phase for one in made.vehicles} == {
        "101": "inside",
        "102": "called",
    }


def test_nothing_changed_is_no_change() -> None:
    """The same record twice: every paired difference is nought."""
    moment = at(lacks_a_motor())
    made = promises(moment, FEW, moment)
    assert made.changes == ()
    assert (made.came, made.gone) == ((), ())
    assert made.since == moment.now


@pytest.mark.parametrize("lost", [True, False])
def test_what_came_to_be_known_is_told_and_noise_is_not(lost: bool) -> None:
    """A motor in store set aside: its vehicle comes later, beyond noise; left there: as before."""
    case = lacks_a_motor()
    case.tell(Purchased, Unit("motor", "M-9"), "store")
    before = at(case)
    if lost:
        case.tell(Quarantined, Unit("motor", "M-9"), "crack looked for")
    made = promises(Moment(case.works, case.now, before.now), FEW, before)
    assert [one.vehicle_id for one in made.changes] == (["101"] if lost else [])
    for one in made.changes:
        assert one.beyond_noise
        assert one.days_later > one.half_width > 0


def test_a_failed_test_makes_it_later() -> None:
    """Failed at its last stage: put right, which takes 20 hours, and done again."""
    case = Case(small_works(_hard_test))
    whole = case.married("101")
    for stage in ("marry", "fitout"):
        case.passes(whole, stage)
    case.put(whole, "test")
    case.work(whole, "test")
    soon = one_of(promises(at(case), FEW), "101").expected
    case.tell(Failed, whole, "test", "brake")
    late = one_of(promises(at(case), FEW), "101").expected
    assert soon is not None
    assert late is not None
    assert late > soon


def _hard_test(tables: Tables) -> None:
    for row in tables["stages"]:
        if row["stage_id"] == "test":
            row |= {"first_pass_share": "0.9", "rectify_hours": "20"}


def test_the_same_seed_gives_the_same_list() -> None:
    """Whatever the number of threads, the figures are the same; another seed, others."""
    moment = at(lacks_a_motor())
    first, again = promises(moment, FEW), promises(moment, FEW)
    assert first.vehicles == again.vehicles
    other = Forecaster(PromiseQuestion(runs=60, pace_a_day=0.2, seed=2))
    assert promises(moment, other).vehicles != first.vehicles


@pytest.mark.parametrize("target", [0.5, 0.9, 0.98])
def test_day_to_promise_is_kept_by_the_share_asked(target: float) -> None:
    """Promising it gives that chance, a day sooner less; more than 60 runs can tell: no day."""
    case = lacks_a_motor()
    plan = replace(case.works.settings.plan, promise_target=target)
    works = replace(case.works, settings=replace(case.works.settings, plan=plan))

    now = case.at()

    def row() -> VehiclePromise:
        return one_of(promises(Moment(works, case.now.copy(), now), FEW), "101")

    day = row().to_promise
    assert day is not None
    case.tell(Promised, "101", day)
    kept = row().keeps_share
    case.tell(Promised, "101", day - timedelta(days=1))
    sooner = row().keeps_share
    assert kept is not None
    assert sooner is not None
    assert sooner < target * 61 / 60 <= kept + 1e-9


def test_no_day_to_promise_beyond_what_the_runs_can_tell() -> None:
    """99 % of 60 runs is beyond the latest of them: nothing is promised by guess."""
    case = lacks_a_motor()
    plan = replace(case.works.settings.plan, promise_target=0.99)
    works = replace(case.works, settings=replace(case.works.settings, plan=plan))
    made = promises(Moment(works, case.now.copy(), case.at()), FEW)
    assert one_of(made, "101").to_promise is None
