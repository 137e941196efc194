"""The schedule of the days ahead, and the list rule it is made by."""

from datetime import datetime, timedelta

import pytest

from control_case import Case, days
from pacewright.control.charges import gathering_slots
from pacewright.control.list_rule import Job, list_schedule
from pacewright.control.schedule import SLOTS_A_DAY, Schedule, schedule
from pacewright.control.shortages import shortages
from pacewright.events.stages import PutOutOfUse
from small_works import Tables, small_works

MONDAY = datetime(2026, 3, 9, 7, 0)
ONE = {"bench": 1.0}


def test_first_rank_takes_the_bench_first() -> None:
    """Two jobs of 3 and 2 slots for one bench: the one of lower rank goes first."""
    jobs = [Job(3, ONE, rank=(2.0,)), Job(2, ONE, rank=(1.0,))]
    assert list_schedule(jobs, {"bench": 1.0}, 10) == (2, 0)


def test_a_later_job_fills_a_gap() -> None:
    """A job that cannot start before slot 4 leaves room for a short one before it."""
    jobs = [
        Job(3, ONE, earliest=4, rank=(1.0,)),
        Job(4, ONE, rank=(2.0,)),
        Job(5, ONE, rank=(3.0,)),
    ]
    assert list_schedule(jobs, {"bench": 1.0}, 20) == (4, 0, 7)


def test_what_does_not_fit_has_no_start_and_holds_up_its_followers() -> None:
    """Neither the job beyond the grid nor what comes after it is placed; others are."""
    jobs = [Job(30, ONE), Job(1, {}, after=(0,)), Job(1, ONE, rank=(5.0,))]
    assert list_schedule(jobs, {"bench": 1.0}, 10) == (None, None, 0)


def test_more_than_there_is_takes_all_there_is() -> None:
    """A job that asks for five of two takes both, and nothing beside it."""
    jobs = [Job(2, {"men": 5.0}, rank=(1.0,)), Job(1, {"men": 1.0}, rank=(2.0,))]
    assert list_schedule(jobs, {"men": 2.0}, 10) == (0, 2)


def test_a_longest_wait_holds_the_forerunner_back() -> None:
    """The oven is taken until 6; the coat, to be baked within 1, starts at 3 and not at 0."""
    jobs = [
        Job(6, {"oven": 1.0}, rank=(0.0,)),
        Job(2, {"booth": 1.0}, rank=(1.0,)),
        Job(3, {"oven": 1.0}, after=(1,), rank=(1.0,), within=lambda end: end + 1),
    ]
    assert list_schedule(jobs, {"oven": 1.0, "booth": 1.0}, 20) == (0, 3, 6)


def test_what_is_under_way_stays_where_it_is() -> None:
    """A job under way keeps its bench though another of first rank asks for it."""
    jobs = [Job(4, ONE, rank=(0.0,)), Job(3, ONE, fixed=True, rank=(9.0,))]
    assert list_schedule(jobs, {"bench": 1.0}, 20) == (3, 0)


def test_what_follows_one_under_way_is_placed_after_it() -> None:
    """A fixed job opens its follower, which starts at its end."""
    jobs = [Job(4, ONE, fixed=True), Job(2, ONE, after=(0,))]
    assert list_schedule(jobs, {"bench": 1.0}, 20) == (0, 4)


def planned(case: Case, now: datetime | None = None) -> Schedule:
    """The schedule of a case."""
    seen, wanted, pool = case.seen(now)
    return schedule(case.works, case.now, seen, shortages(seen, wanted, pool))


def stock(case: Case) -> None:
    """Enough of every kind for a few vehicles."""
    for kind, many in (("motor", 4), ("axle", 8), ("valve", 24)):
        case.in_store(kind, *(f"{kind}-{n}" for n in range(many)))


def test_a_vehicle_alone_keeps_its_critical_path() -> None:
    """With all units in store nothing delays it beyond the rounding to quarter hours."""
    case = Case()
    stock(case)
    case.let_in_type("11")
    case.day(MONDAY)
    found = planned(case, MONDAY)
    seen, _, _ = case.seen(MONDAY)
    rounding = len(seen.all_ways["solo"].after) + 6
    late = found.ready_day["11"] - seen.vehicles["11"].ready_day
    assert 0 <= late <= rounding / SLOTS_A_DAY


def test_no_position_holds_more_than_one_and_order_is_kept() -> None:
    """Six vehicles: at no time more pieces at a stage than positions; stages in their order."""
    case = Case()
    stock(case)
    for number in range(11, 17):
        case.let_in_type(str(number), "long" if number % 2 else "solo")
    found = planned(case, MONDAY)
    positions = {one.stage_id: one.positions for one in case.works.stages}
    for one in found.planned:
        beside = [
            other
            for other in found.planned
            if other.stage_id == one.stage_id and other.begins <= one.begins < other.ends
        ]
        assert len(beside) <= positions[one.stage_id]
    for number in range(11, 17):
        mine = {p.stage_id: p for p in found.planned if p.vehicle_id == str(number)}
        assert mine["strip"].ends <= mine["body"].begins
        assert mine["body"].ends <= mine["bpaint"].begins
        assert max(mine["bpaint"].ends, mine["chbuild"].ends) <= mine["marry"].begins
        assert mine["marry"].ends <= mine["fitout"].begins


def test_the_longest_wait_is_kept_by_the_clock() -> None:
    """Six vehicles: between body and paint never more than the 24 h allowed, nights counted."""
    case = Case()
    stock(case)
    for number in range(11, 17):
        case.let_in_type(str(number))
    found = planned(case, MONDAY)
    seen, _, _ = case.seen(MONDAY)
    for number in range(11, 17):
        mine = {p.stage_id: p for p in found.planned if p.vehicle_id == str(number)}
        done = seen.clock.end_of(mine["body"].ends)
        begun = seen.clock.moment_of(mine["bpaint"].begins)
        assert done is not None
        assert begun is not None
        assert begun - done <= timedelta(hours=24, minutes=1)


def test_the_earlier_promise_goes_first() -> None:
    """Two at the gate of the strip: the later let in has the earlier promise and goes first."""
    case = Case()
    stock(case)
    case.let_in_type("11", promise=datetime(2026, 5, 20))
    case.let_in_type("12", promise=datetime(2026, 4, 10))
    strip = {p.vehicle_id: p.begins for p in planned(case, MONDAY).planned if p.stage_id == "strip"}
    assert strip["12"] < strip["11"]


def test_a_missing_unit_sets_the_begin_of_its_stage() -> None:
    """Without a motor the fit-out begins when the one in repair is expected, and says so."""
    case = Case()
    whole = case.married("11")
    case.in_store("valve", "V-1", "V-2", "V-3", "V-4")
    case.day(MONDAY)
    case.put(whole, "marry")
    case.off(whole, "motor", "M-1")
    found = planned(case)
    fitout = next(one for one in found.planned if one.stage_id == "fitout")
    seen, _, pool = case.seen()
    assert fitout.waits_for == "motor"
    expected = pool["motor"].in_sight(seen.now_day)[0].day
    assert fitout.begins == pytest.approx(expected, abs=1 / SLOTS_A_DAY)
    assert found.ready_day["11"] > seen.vehicles["11"].ready_day


def test_a_closed_position_is_not_planned_for() -> None:
    """With one of two body positions out of use the bodies go one after the other."""
    case = Case()
    stock(case)
    first, _ = case.parted("11")
    second, _ = case.parted("12")
    both = planned(case, MONDAY)
    begins = sorted(p.begins for p in both.planned if p.stage_id == "body")
    assert begins[0] == begins[1]
    case.tell(PutOutOfUse, "body", 2, "floor")
    one = planned(case, MONDAY)
    stays = sorted((p for p in one.planned if p.stage_id == "body"), key=lambda p: p.begins)
    assert stays[0].ends <= stays[1].begins
    assert {first.serial, second.serial} == {"B-11", "B-12"}


def test_people_are_shared() -> None:
    """With one body builder for two bodies the second waits: he is asked for whole."""

    def few(tables: dict[str, list[dict[str, str]]]) -> None:
        for row in tables["people"]:
            if row["shop_id"] == "body":
                row["people"] = "1"

    case = Case(small_works(few))
    stock(case)
    case.parted("11")
    case.parted("12")
    found = planned(case, MONDAY)
    stays = sorted((p for p in found.planned if p.stage_id == "body"), key=lambda p: p.begins)
    assert stays[0].ends <= stays[1].begins
    assert stays[0].people_short, "44 x 0.8 + 26 x 0.35 hours in 30 h is more than he does"


def test_the_part_of_one_shop() -> None:
    """A shop sees what it begins until a day, and nothing of others."""
    case = Case()
    stock(case)
    case.let_in_type("11")
    found = planned(case, MONDAY)
    seen, _, _ = case.seen(MONDAY)
    mine = found.of_shop("strip", seen.now_day + 1)
    assert [one.stage_id for one in mine] == ["strip"]
    assert found.of_shop("paint", seen.now_day + 1) == ()
    assert days(1) == timedelta(days=1)


def test_a_charge_begins_when_it_is_full_or_in_the_morning() -> None:
    """Three to a charge, 32 slots a day: by hand, the rule of the simulation."""
    arrivals = {1: 3, 2: 5, 3: 9, 4: 20, 5: 40, 6: 70}

    def next_morning(slot: int) -> int:
        return 32 * (slot // 32 + 1)

    held = gathering_slots(arrivals, 3, next_morning)
    assert held == {1: 6, 2: 4, 3: 0, 4: 12, 5: 24, 6: 26}
    assert gathering_slots(arrivals, 1, next_morning) == dict.fromkeys(arrivals, 0)


def two_to_a_charge(tables: Tables) -> None:
    """The body paint is an oven for two."""
    for row in tables["stages"]:
        if row["stage_id"] == "bpaint":
            row |= {"batch_size": "2", "positions": "2", "longest_wait_hours": ""}


def test_pieces_of_a_charge_begin_together() -> None:
    """Six vehicles: no body is painted alone unless in the morning; it stands there meanwhile."""
    case = Case(small_works(two_to_a_charge))
    stock(case)
    for number in range(11, 17):
        case.let_in_type(str(number))
    found = planned(case, MONDAY)
    seen, _, _ = case.seen(MONDAY)
    baked = [one for one in found.planned if one.stage_id == "bpaint"]
    assert len(baked) == 6
    assert any(one.works_from > one.begins for one in baked)
    for one in baked:
        charge = [other for other in baked if other.works_from == one.works_from]
        full = len(charge) == 2 and max(other.begins for other in charge) == one.works_from
        since_opening = (one.works_from - seen.now_day) % 1
        assert full or min(since_opening, 1 - since_opening) < 1 / SLOTS_A_DAY
        assert one.ends - one.works_from >= 10 / 8 / 24 * 0.99
        mine = {p.stage_id: p for p in found.planned if p.vehicle_id == one.vehicle_id}
        assert one.ends <= mine["marry"].begins
    others = [one for one in found.planned if one.stage_id != "bpaint"]
    assert all(one.works_from == one.begins for one in others)
