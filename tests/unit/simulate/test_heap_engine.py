"""The plain engine on tiny works, every time worked out by hand.

Unless a test says otherwise nothing scatters, the hall works 8:00 to 16:00, Monday to Friday, and
stages need nobody. ``at(day, hours)`` is so many hours after the opening of a day.
"""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from pacewright.events.codes import Code
from pacewright.fleet.tables import VehicleType
from pacewright.shops.tables import Upset
from pacewright.simulate.problem import AbsenceWave, Loss
from tiny_flow import (
    BODY_AND_FRAME,
    Seen,
    at,
    crew,
    fits,
    held,
    inside,
    kind,
    operation,
    seen,
    stage,
    tiny_table,
    tiny_works,
)


def run(stages: list[Any], arrivals: list[int], **more: Any) -> Seen:
    """The tiny works run through; ``options`` for the run, the rest for the tables."""
    options = more.pop("options", {})
    return seen(tiny_table(tiny_works(stages, **more), arrivals, **options))


# -- positions -------------------------------------------------------------------------------


def test_two_vehicles_share_one_position() -> None:
    """The second waits for the first, 4 h of 4; both work 4 h."""
    one = run([stage("a", 4)], [at(0, 0), at(0, 0)])
    assert one.minutes(Code.RELEASED) == [at(0, 4), at(0, 8)]
    assert one.waited(0) == {"work": 240}
    assert one.waited(1) == {"position a": 240, "work": 240}


def test_a_piece_holds_its_position_until_the_next_is_free() -> None:
    """a takes 2 h, b takes 4: the second is done with a at 12:00 but stands there to 14:00."""
    one = run([stage("a", 2), stage("b", 4, "a")], [at(0, 0)] * 3)
    assert one.minutes(Code.POSITIONED, place=0) == [at(0, 0), at(0, 2), at(0, 6)]
    assert one.minutes(Code.POSITIONED, place=1) == [at(0, 2), at(0, 6), at(1, 2)]
    assert one.minutes(Code.RELEASED) == [at(0, 6), at(1, 2), at(1, 6)]
    assert one.waited(1) == {"position a": 120, "position b": 120, "work": 360}
    # Third: a free at 14:00 (6 h), done 16:00, b free 10:00 next day (2 h).
    assert one.waited(2) == {"position a": 360, "position b": 120, "work": 360}
    # Places held: a 2 + 4 + 4 h, b 3 x 4 h; queues: a 2 + 6 h, b 2 + 2 h.
    assert one.run.integrals.busy.tolist() == [600, 720]
    assert one.run.integrals.queue.tolist() == [480, 240]


def test_work_rests_outside_hours_but_drying_does_not() -> None:
    """From 15:00 two hours of work end at 9:00 next day, ten of drying at 1:00 the same night."""
    one = run([stage("a", 2)], [at(0, 7)])
    assert one.minutes(Code.RELEASED) == [at(1, 1)]
    one = run([stage("dry", 10, night_goes_on=True)], [at(0, 7)])
    assert one.minutes(Code.RELEASED) == [at(0, 17)]
    # Of the drying only the hour to 16:00 is worked time.
    assert one.waited(0) == {"work": 60}


def test_a_weekend_is_no_time() -> None:
    """Friday 14:00, 4 h of work: Monday 10:00."""
    one = run([stage("a", 4)], [at(4, 6)])
    assert one.minutes(Code.RELEASED) == [at(7, 2)]
    assert one.waited(0) == {"work": 240}


def test_a_shop_with_a_short_day_shuts_its_doors() -> None:
    """A shop of 4 h a day, asked at 13:00, begins next morning; 6 h there take a day and 2 h."""
    one = run([stage("a", 5), stage("b", 6, "a", shop_id="short")], [at(0, 0)])
    assert one.minutes(Code.STARTED, amount=0) == [at(0, 0), at(1, 0)]
    assert one.minutes(Code.RELEASED) == [at(2, 2)]
    # 13:00 to 16:00 the doors are shut; the shut afternoon of the next day counts as work there.
    assert one.waited(0) == {"people short doors": 180, "work": 300 + 600}


# -- the gate --------------------------------------------------------------------------------


def test_the_gate_lets_in_no_more_than_the_limit() -> None:
    """With room for one the second waits outside until the first is released."""
    one = run([stage("a", 4, positions=3)], [at(0, 0), at(0, 1)], plan={"inside_limit": 1})
    assert one.minutes(Code.ADMITTED) == [at(0, 0), at(0, 4)]
    assert one.waited(1) == {"gate": 180, "work": 240}
    assert one.run.integrals.gate == 180
    assert one.run.integrals.inside == 480


def test_a_late_depot_sends_late() -> None:
    """Without scatter a depot that is mostly late is late by 1 + its scale's whole days, always."""
    table = tiny_table(tiny_works([stage("a", 1)]), [at(0, 3)])
    rows = replace(table.vehicles, late_share=table.vehicles.late_share + 1)
    rows.late_scale[:] = 2.5
    one = seen(replace(table, vehicles=rows))
    assert one.minutes(Code.ARRIVED) == [at(3, 3)]


# -- charges ---------------------------------------------------------------------------------


def test_a_charge_waits_to_be_full_or_for_the_morning() -> None:
    """Two go together at 10:00; the third alone waits for the next opening."""
    oven = stage("oven", 3, batch_size=2, positions=2)
    one = run([oven], [at(0, 0), at(0, 2), at(0, 5)])
    assert one.minutes(Code.BATCHED) == [at(0, 2), at(0, 2), at(1, 0)]
    assert one.minutes(Code.RELEASED) == [at(0, 5), at(0, 5), at(1, 3)]
    assert one.waited(0) == {"batch oven": 120, "work": 180}
    assert one.waited(2) == {"batch oven": 180, "work": 180}


def test_a_charge_takes_as_long_as_its_longest() -> None:
    """With scattered work both of a charge end together, at the longer of the two."""
    oven = stage("oven", 3, batch_size=2, positions=2)
    oven = replace(oven, hours_least=1, hours_most=6)
    works = tiny_works([oven])
    pair = seen(tiny_table(works, [at(0, 0), at(0, 0)], scatter=True))
    alone = tiny_works([replace(oven, batch_size=1)])
    apart = seen(tiny_table(alone, [at(0, 0), at(0, 0)], scatter=True))
    ends = apart.minutes(Code.RELEASED)
    assert ends[0] != ends[1]
    assert pair.minutes(Code.RELEASED) == [max(ends)] * 2


# -- windows and tests -----------------------------------------------------------------------


def test_a_missed_window_has_the_stage_before_done_again() -> None:
    """b is free 2 h after a is done, one hour is allowed: the 2 h of a are done again at b."""
    stages = [stage("a", 2), stage("b", 4, "a", longest_wait_hours=1)]
    one = run(stages, [at(0, 0), at(0, 0)])
    assert one.rows(Code.REDONE) == [(at(0, 6), 1, 1, 0)]
    assert one.minutes(Code.RELEASED) == [at(0, 6), at(1, 4)]
    assert one.waited(1) == {
        "position a": 120,
        "position b": 120,
        "inspection b": 120,
        "work": 120 + 240,
    }
    kept = run([stages[0], replace(stages[1], longest_wait_hours=2)], [at(0, 0), at(0, 0)])
    assert kept.rows(Code.REDONE) == []


def test_what_fails_is_put_right_and_done_again() -> None:
    """Each failure costs an hour to put right and the stage's four; all of it is inspection."""
    works = tiny_works([stage("test", 4, first_pass_share=0.4, rectify_hours=1, positions=40)])
    one = seen(tiny_table(works, [at(0, 0)] * 20, scatter=True, weeks=12))
    failures = [len(one.rows(Code.FAILED, vehicle=v)) for v in range(20)]
    assert max(failures) > 1
    assert min(failures) == 0
    for v, times in enumerate(failures):
        again = {"inspection test": times * 300} if times else {}
        assert one.waited(v) == again | {"work": 240}


def test_the_share_that_passes_is_the_share_asked() -> None:
    """Of 1,000 first tests a share of 0.7 passes, within 5 standard deviations of the binomial."""
    works = tiny_works([stage("test", 0.1, first_pass_share=0.7, positions=100)])
    table = tiny_table(
        works, [at(d, h) for d in range(5) for h in range(4)] * 50, scatter=True, pace_a_day=60
    )
    one = seen(table)
    passed = sum(not one.rows(Code.FAILED, vehicle=v) for v in range(1000))
    assert abs(passed - 700) < 5 * (1000 * 0.7 * 0.3) ** 0.5


# -- people ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("people", "second_begins", "waited"),
    [(1, at(0, 4), 240), (2, at(0, 0), 0), (1.5, at(0, 0), 0), (0.5, at(1, 0), 480)],
)
def test_a_crew_begins_what_it_has_people_for(
    people: float, second_begins: int, waited: int
) -> None:
    """One person at a time each: two do both at once, half a one owes four hours till closing."""
    one = run(
        [stage("a", 4, crew=1, positions=2)],
        [at(0, 0), at(0, 0)],
        people=(crew(people),),
        operations=(operation("a", 4),),
        options={"absence": False},
    )
    assert one.minutes(Code.STARTED) == [at(0, 0), second_begins]
    assert one.run.released[0] == at(0, 4)
    assert one.waited(1) == {"work": 240} | ({"people hall fitter": waited} if waited else {})
    assert one.run.integrals.crew_busy[0] == 2 * 240 * 100


def test_lent_hours_are_earned_before_the_next_begins() -> None:
    """One and a half people do two at once and owe half a one for 4 h: earned in 80 minutes."""
    one = run(
        [stage("a", 4, crew=1, positions=3)],
        [at(0, 0)] * 3,
        people=(crew(1.5),),
        operations=(operation("a", 4),),
        options={"absence": False},
    )
    assert one.minutes(Code.STARTED) == [at(0, 0), at(0, 0), at(0, 4) + 80]


def test_trades_work_side_by_side_and_the_last_ends_the_stage() -> None:
    """The painter is busy elsewhere until 12:00: the stage ends 4 h after that, by his fault."""
    stages = [
        stage("paint", 4, crew=1, type_ids=("van",)),
        stage("a", 4, crew=2, type_ids=("bus",)),
    ]
    one = run(
        stages,
        [at(0, 0), at(0, 0)],
        vehicle_types=(VehicleType("van", "Van", 5, 48), VehicleType("bus", "Bus", 5, 48)),
        people=(crew(1), crew(1, "painter")),
        operations=(
            operation("paint", 4, "painter"),
            operation("a", 4),
            operation("a", 4, "painter"),
        ),
        options={"absence": False},
    )
    assert one.rows(Code.STARTED) == [(at(0, 0), 0, 1, 0), (at(0, 0), 1, 0, 0), (at(0, 4), 1, 1, 0)]
    assert one.minutes(Code.ENDED, vehicle=1) == [at(0, 4), at(0, 8)]
    assert one.waited(1) == {"people hall painter": 240, "work": 240}


def test_nobody_there_nothing_done() -> None:
    """A wave that keeps everybody away on Monday and Tuesday moves the work to Wednesday."""
    wave = AbsenceWave(date(2026, 3, 2), date(2026, 3, 3), 1.0, trade_id="fitter")
    one = run(
        [stage("a", 4, crew=1)],
        [at(0, 0)],
        people=(crew(1),),
        operations=(operation("a", 4),),
        options={"absence": False, "waves": (wave,)},
    )
    assert one.minutes(Code.STARTED) == [at(2, 0)]
    assert one.waited(0) == {"people hall fitter": 960, "work": 240}


def test_a_crew_earns_with_those_who_are_there_each_day() -> None:
    """24 man-hours: two people earn 16 on Monday; one, on Tuesday, the other 8 by closing."""
    wave = AbsenceWave(date(2026, 3, 3), date(2026, 3, 3), 0.5)
    one = run(
        [stage("a", 4, crew=6, positions=2)],
        [at(0, 0), at(0, 0)],
        people=(crew(2),),
        operations=(operation("a", 24),),
        options={"absence": False, "waves": (wave,)},
    )
    # Free at the very closing of Tuesday, so the next part begins on Wednesday.
    assert one.minutes(Code.STARTED) == [at(0, 0), at(2, 0)]
    assert one.minutes(Code.RELEASED) == [at(0, 4), at(2, 4)]


def test_the_part_of_a_person_is_always_lent() -> None:
    """Half a person at 0.8 is four tenths every day; only whole persons are drawn."""
    works = tiny_works(
        [stage("a", 4, crew=1)],
        people=(crew(0.5, attendance_share=0.8),),
        operations=(operation("a", 0.1),),
    )
    for seed in range(5):
        one = seen(tiny_table(works, [], scatter=True), seed)
        assert one.run.integrals.crew_there[0] == 20 * 480 * 40


def test_people_present_are_drawn_with_the_attendance() -> None:
    """Over 20 days 10 persons at 0.8 are there 160 person-days, within 5 sd of the binomial."""
    works = tiny_works(
        [stage("a", 4, crew=1)],
        people=(crew(10, attendance_share=0.8),),
        operations=(operation("a", 4),),
    )
    there = []
    for seed in range(20):
        one = seen(tiny_table(works, [], scatter=True), seed)
        there.append(int(one.run.integrals.crew_there[0]) / 480 / 100)
    assert len(set(there)) > 3
    assert abs(sum(there) - 20 * 160) < 5 * (20 * 200 * 0.8 * 0.2) ** 0.5


# -- units -----------------------------------------------------------------------------------

STRIP_AND_FIT = [stage("strip", 1, positions=9), stage("fit", 1, "strip", positions=9)]


def units(one_kind: Any, arrivals: list[int], each: int = 1, **more: Any) -> Seen:
    """Vehicles stripped of one kind and fitted with it again."""
    stages = more.pop("stages", STRIP_AND_FIT)
    return run(stages, arrivals, unit_kinds=(one_kind,), fits=fits(one_kind, each=each), **more)


def test_a_vehicle_waits_for_its_own_unit_when_there_is_no_float() -> None:
    """Stripped at 9:00, the unit is back two working days later, and the vehicle waits for it."""
    one = units(kind("motor", "strip", "fit", 2), [at(0, 0)])
    assert one.rows(Code.REMOVED) == [(at(0, 1), 0, 0, 1)]
    assert one.rows(Code.SERVICEABLE) == [(at(2, 1), -1, 0, 1)]
    assert one.waited(0) == {"part motor": 960, "work": 120}
    sums = one.run.integrals
    assert (sums.asked[0], sums.late[0], sums.wait_minutes[0]) == (1, 1, 960)
    assert one.run.integrals.owed[0] == 960


def test_a_unit_of_the_float_spares_the_wait() -> None:
    """One unit on the shelf: no wait; the vehicle's own goes back on the shelf."""
    one = units(kind("motor", "strip", "fit", 2), [at(0, 0)], floats=(held("motor", 1),))
    assert one.waited(0) == {"work": 120}
    sums = one.run.integrals
    assert (sums.asked[0], sums.late[0]) == (1, 0)
    # On the shelf from 8:00 to 9:00, and from Wednesday 9:00 to the end of 20 days.
    assert sums.pool[0] == 60 + (18 * 480 - 60)


def test_units_go_to_the_first_who_asked() -> None:
    """The first needs two and takes the one there is; the second waits behind it."""
    motor = kind("motor", "strip", "fit", 2)
    one = units(motor, [at(0, 0), at(0, 1)], each=2, floats=(held("motor", 1),))
    # Its own two are back Wednesday 9:00: one completes it, the other goes to the second, whose
    # own are back at 10:00.
    assert one.rows(Code.FITTED) == [
        (at(0, 1), 0, 0, 1),
        (at(2, 1), 0, 0, 1),
        (at(2, 1), 1, 0, 1),
        (at(2, 2), 1, 0, 1),
    ]
    assert one.minutes(Code.RELEASED) == [at(2, 2), at(2, 3)]


def test_a_lot_leaves_when_it_is_full() -> None:
    """With lots of two the first unit waits for the second, stripped a day later."""
    one = units(kind("motor", "strip", "fit", 2, lot_size=2), [at(0, 0), at(1, 0)])
    assert one.rows(Code.SENT) == [(at(1, 1), -1, 0, 2)]
    assert one.minutes(Code.SERVICEABLE) == [at(3, 1)] * 2
    assert one.minutes(Code.RELEASED) == [at(3, 2)] * 2


def test_a_despatch_leaves_on_its_day() -> None:
    """Every fifth working day at opening: what is stripped on Monday leaves the next Monday."""
    one = units(kind("motor", "strip", "fit", 2, despatch_days=5), [at(0, 0), at(7, 0)])
    assert one.minutes(Code.SENT) == [at(7, 0), at(14, 0)]
    assert one.minutes(Code.RELEASED) == [at(9, 1), at(16, 1)]


def test_scrapped_units_are_bought_in_lots() -> None:
    """All are scrapped; the second makes the purchase lot full, two come three days later."""
    motor = kind("motor", "strip", "fit", 2, scrap_share=1, purchase_days=3, purchase_lot=2)
    one = units(motor, [at(0, 0), at(1, 0)])
    assert one.minutes(Code.SCRAPPED) == [at(0, 1), at(1, 1)]
    assert one.minutes(Code.BOUGHT) == [at(4, 1)] * 2
    assert one.minutes(Code.RELEASED) == [at(4, 2)] * 2


def test_units_wait_for_a_bench() -> None:
    """One bench, 4 h a unit, turn 2 days: each rests 1.5 days; the second waits for the bench."""
    motor = kind("motor", "strip", "fit", 2, benches=1, bench_hours=4)
    one = units(motor, [at(0, 0)], each=2)
    # Removed Monday 9:00, at the bench Tuesday 13:00; 3 h + 1 h, then 4 h.
    assert one.minutes(Code.SERVICEABLE) == [at(2, 1), at(2, 5)]


def test_a_second_site_draws_from_the_same_shelf() -> None:
    """Five a week without scatter: one at the end of each day; the site's own is back in a day."""
    motor = kind("motor", "strip", "fit", 2, site_a_week=5, site_transit_days=1)
    one = units(motor, [], floats=(held("motor", 2),))
    drawn = one.minutes(Code.SITE_DRAWN)
    # A gap of 480 minutes from Monday 8:00 ends at the closing of each day.
    assert drawn[:3] == [at(0, 8), at(1, 8), at(3, 8)]
    # Two on the shelf; the unit for Monday's draw comes back Tuesday 16:00, is good Thursday 16:00.
    assert one.minutes(Code.SENT)[0] == at(1, 8)
    assert one.minutes(Code.SERVICEABLE)[0] == at(3, 8)


def test_parted_pieces_strip_and_ask_for_their_own() -> None:
    """Two bogies carry two motors each way: each asks for one, unit j on bogie j modulo 2."""
    motor = kind("motor", "bogie-strip", "bogie-fit", 1)
    stages = [
        stage("part", 1),
        stage("body", 4, "part", assembly_id="body"),
        stage("bogie-strip", 1, "part", assembly_id="bogie", positions=2),
        stage("bogie-fit", 1, "bogie-strip", assembly_id="bogie", positions=2),
        stage("marry", 1, "body bogie-fit"),
    ]
    assemblies = (
        replace(BODY_AND_FRAME[0]),
        replace(BODY_AND_FRAME[1], assembly_id="bogie", count=2),
    )
    one = run(
        stages, [at(0, 0)], unit_kinds=(motor,), fits=fits(motor, each=3), assemblies=assemblies
    )
    assert [row[3] for row in one.rows(Code.REMOVED)] == [2, 1]
    # Units come back one after the other, each bogie's own at the minute they are due.
    assert sum(row[3] for row in one.rows(Code.FITTED)) == 3
    assert (one.run.integrals.asked[0], one.run.integrals.late[0]) == (2, 2)
    assert one.minutes(Code.STORED) == [at(1, 3)] * 2
    assert len(one.rows(Code.MARRIED)) == 2
    assert one.waited(0) == {"assembly bus bogie": 360, "work": 360}


# -- robbing ---------------------------------------------------------------------------------


@pytest.mark.parametrize("robbing", [True, False])
def test_robbing_takes_what_another_cannot_use(robbing: bool) -> None:
    """The bus has the pump but no motor; the van lacks the pump alone and takes it, or waits."""
    motor, pump = kind("motor", "strip", "fit", 4), kind("pump", "strip", "fit", 2)
    both = fits(motor, pump) + fits(pump, type_id="van")
    one = run(
        STRIP_AND_FIT,
        [at(0, 0), at(0, 1)],
        vehicle_types=(VehicleType("bus", "Bus", 5, 48), VehicleType("van", "Van", 5, 48)),
        unit_kinds=(motor, pump),
        fits=both,
        floats=(held("pump", 1),),
        plan={"robbing": robbing, "rob_hours": 2},
    )
    # The bus's pump is back Wednesday 9:00, the van's at 10:00, the bus's motor Friday 9:00.
    if robbing:
        assert one.rows(Code.ROBBED) == [(at(0, 2), 0, 1, 1)]
        assert one.minutes(Code.RELEASED, vehicle=1) == [at(0, 5)]
        assert one.minutes(Code.FITTED, vehicle=0) == [at(0, 1), at(2, 1), at(4, 1)]
        assert one.waited(0) == {"part motor": 4 * 480, "work": 60 + 180}
        assert one.waited(1) == {"work": 60 + 180}
    else:
        assert one.rows(Code.ROBBED) == []
        assert one.waited(0) == {"part motor": 4 * 480, "work": 120}
        assert one.waited(1) == {"part pump": 2 * 480 - 60, "work": 120}


# -- parting and marriage --------------------------------------------------------------------

PARTED = [
    stage("part", 1, positions=2),
    stage("body", 4, "part", assembly_id="body", positions=2),
    stage("frame", 6, "part", assembly_id="frame"),
    stage("marry", 1, "body frame", positions=2),
]


def test_the_body_waits_for_a_frame() -> None:
    """Frame 6 h in one position, body 4 h in two: the bodies wait 2 h and 8 h for frames."""
    one = run(PARTED, [at(0, 0), at(0, 0)], assemblies=BODY_AND_FRAME)
    assert one.minutes(Code.PARTED) == [at(0, 1)] * 2
    assert one.minutes(Code.STORED) == [at(0, 7), at(1, 5)]
    assert one.waited(0) == {"assembly bus frame": 120, "work": 360}
    assert one.waited(1) == {"assembly bus frame": 480, "work": 360}
    # The second frame stands on the parting position until the first gives up its place at 15:00.
    assert one.run.integrals.busy.tolist() == [60 + 420, 2 * 240 + 120 + 480, 720, 120]
    assert one.run.integrals.stored.tolist() == [0]


def test_any_frame_goes_under_any_body() -> None:
    """The vehicle ready first takes the frame stored first, whosever it was."""
    frame = replace(PARTED[2], positions=2, hours_least=1, hours_most=12)
    works = tiny_works([*PARTED[:2], frame, PARTED[3]], assemblies=BODY_AND_FRAME)
    for seed in range(50):
        one = seen(tiny_table(works, [at(0, 0), at(0, 0)], scatter=True), seed)
        stored = [row[1] for row in one.rows(Code.STORED)]
        married = [(row[1], row[3]) for row in one.rows(Code.MARRIED)]
        assert married == list(zip([0, 1], stored, strict=True))
        if stored == [1, 0]:
            return
    pytest.fail("no seed had the second frame ready first")


def test_frames_pile_up_before_bodies() -> None:
    """Frames of 1 h wait on the floor for bodies of 4 h: 3 h of stored pieces."""
    stages = [
        *PARTED[:2],
        replace(PARTED[2], hours_least=1, hours_usual=1, hours_most=1),
        PARTED[3],
    ]
    one = run(stages, [at(0, 0)], assemblies=BODY_AND_FRAME)
    assert one.run.integrals.stored.tolist() == [180]
    assert one.waited(0) == {"work": 360}


# -- upsets ----------------------------------------------------------------------------------


def test_an_upset_takes_the_next_position_to_come_free() -> None:
    """Every 2 days for 5 h: at the end of Tuesday, to 21:00; the work on it goes on undisturbed."""
    crane = Upset("crane", 2, 26, stage_id="a")
    one = run([stage("a", 12)], [at(1, 4), at(1, 5)], upsets=(crane,))
    assert one.rows(Code.UPSET)[0] == (at(1, 8), -1, 0, 0)
    assert one.minutes(Code.MENDED)[0] == at(1, 34)
    # The first works Tuesday 12:00 to Wednesday 16:00; then its position is out until 18:00.
    assert one.minutes(Code.RELEASED)[0] == at(2, 8)
    assert one.minutes(Code.POSITIONED)[1] == at(2, 10)
    assert one.waited(1) == {"position a": 11 * 60, "work": 720}


def test_a_lost_oven_is_lost_for_its_days() -> None:
    """Lost Tuesday and Wednesday: what comes on Tuesday begins on Thursday, at midnight's end."""
    loss = Loss("a", "", date(2026, 3, 3), date(2026, 3, 4))
    one = run([stage("a", 2)], [at(1, 0)], options={"losses": (loss,)})
    assert one.minutes(Code.UPSET) == [1440]
    assert one.minutes(Code.MENDED) == [3 * 1440]
    assert one.minutes(Code.STARTED) == [at(3, 0)]


def test_a_lost_bench_holds_up_units() -> None:
    """The only bench is lost for Tuesday: the unit that came to it then is begun on Wednesday."""
    motor = kind("motor", "strip", "fit", 2, benches=1, bench_hours=4)
    loss = Loss("", "motor", date(2026, 3, 3), date(2026, 3, 3))
    one = units(motor, [at(0, 0)], options={"losses": (loss,)})
    assert one.minutes(Code.SERVICEABLE) == [at(2, 4)]


# -- from a given standing -------------------------------------------------------------------


def test_vehicles_inside_go_on_from_their_stage() -> None:
    """One at the body, its frame at the frame stage; one whole at the marriage."""
    works = tiny_works(
        PARTED, assemblies=BODY_AND_FRAME, vehicles=(inside("1", "body"), inside("2", "marry"))
    )
    one = seen(tiny_table(works, [], inside_now=True))
    assert one.minutes(Code.ARRIVED) == [0, 0]
    assert one.minutes(Code.RELEASED, vehicle=1) == [at(0, 1)]
    assert one.minutes(Code.RELEASED, vehicle=0) == [at(0, 7)]
    assert one.waited(0) == {"assembly bus frame": 120, "work": 300}


def test_units_off_vehicles_inside_are_on_their_way() -> None:
    """A bus at fit was stripped before it: its motor (2 days) is due 2 days after the strip."""
    motor = kind("motor", "strip", "fit", 2)
    stages = [stage("strip", 1), stage("wait", 8, "strip"), stage("fit", 1, "wait")]
    works = tiny_works(
        stages, unit_kinds=(motor,), fits=fits(motor), vehicles=(inside("1", "fit"),)
    )
    table = tiny_table(works, [], inside_now=True)
    assert table.owed.ago.tolist() == [480]
    one = seen(table)
    # One of the two days is gone: due after one working day.
    assert one.minutes(Code.SERVICEABLE) == [at(0, 8)]
    assert one.waited(0) == {"part motor": 480, "work": 60}


def test_unserviceable_units_of_the_float_come_back_in_time() -> None:
    """Units under repair at the start come within their turn time, spread over it."""
    motor = kind("motor", "strip", "fit", 4)
    one = units(motor, [], floats=(held("motor", 0, 40),))
    minutes = one.minutes(Code.SERVICEABLE)
    assert len(minutes) == 40
    assert max(minutes) <= at(3, 8)
    assert min(minutes) < at(1, 0)
    assert one.run.integrals.pool[0] > 0


def test_a_piece_done_by_the_day_is_stored_at_the_start() -> None:
    """At the trim stage the body is 4 h past parting, the frame took 2: it is in the store."""
    stages = [
        stage("part", 1),
        stage("body", 4, "part", assembly_id="body"),
        stage("trim", 4, "body", assembly_id="body"),
        stage("frame", 2, "part", assembly_id="frame"),
        stage("marry", 1, "trim frame"),
    ]
    works = tiny_works(stages, assemblies=BODY_AND_FRAME, vehicles=(inside("1", "trim"),))
    one = seen(tiny_table(works, [], inside_now=True))
    assert one.rows(Code.STORED) == [(0, 0, 3, 1)]
    assert one.minutes(Code.RELEASED) == [at(0, 5)]
    assert one.waited(0) == {"work": 300}


def test_a_unit_due_before_the_start_is_on_the_shelf() -> None:
    """Stripped one day before the start and good in one: the bus is fitted at once."""
    motor = kind("motor", "strip", "fit", 1)
    stages = [stage("strip", 1), stage("wait", 8, "strip"), stage("fit", 1, "wait")]
    works = tiny_works(
        stages, unit_kinds=(motor,), fits=fits(motor), vehicles=(inside("1", "fit"),)
    )
    one = seen(tiny_table(works, [], inside_now=True))
    assert one.rows(Code.SERVICEABLE) == []
    assert one.waited(0) == {"work": 60}
