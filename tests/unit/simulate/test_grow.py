"""Growing a works: it finds the known bottleneck, and its answer holds."""

from dataclasses import replace
from math import isnan
from pathlib import Path

import pytest

from pacewright.files.changes import read_change
from pacewright.office.errors import CallError
from pacewright.office.growing import change_file, make_growth
from pacewright.plans.growth import Added, Growth
from pacewright.simulate.additions import LONGEST_DAY_HOURS, Prices, cost_of, room_for, with_more
from pacewright.simulate.grow import Wanted
from pacewright.works import Works
from small_works import small_works

WANTED = Wanted(1.6, 25, 0.8, most_steps=10, weeks=40, warm_up_weeks=15, replications=6)


def short_of_one_place() -> Works:
    """Ample people, units and positions everywhere but at the body stage.

    Worked by hand: body repair takes 20 to 48, mostly 28 hours, 30 on the mean of a beta law. At
    1.6 a week of 40 hours 1.6 x 30 / 40 = 1.2 positions are busy; there is one, so it overloads.
    """
    works = small_works()
    return replace(
        works,
        people=tuple(replace(one, people=40.0) for one in works.people),
        floats=tuple(replace(one, serviceable=30) for one in works.floats),
        stages=tuple(
            replace(one, positions=1 if one.stage_id == "body" else 5) for one in works.stages
        ),
        upsets=(),
    )


@pytest.fixture(scope="module")
def grown() -> Growth:
    """The growth of the works short of one place."""
    return make_growth(short_of_one_place(), WANTED)


def test_it_finds_the_bottleneck_and_the_answer_holds(grown: Growth) -> None:
    """Only body positions stay, and fresh chances verify the promise."""
    kept = [one for one in grown.steps if one.stays]
    assert {(one.added, one.place_id) for one in kept} == {(Added.POSITIONS, "body")}
    assert grown.reached
    assert grown.verified_chance - grown.verified_half_width >= WANTED.promise
    assert grown.start_chance < WANTED.promise
    assert grown.cost == sum(one.stays for one in kept)
    assert not grown.priced


def test_the_notes_are_of_the_grown_works_not_of_the_one_before() -> None:
    """A twentieth of an electrician cannot do the units' work; with those added it is not said."""
    works = short_of_one_place()
    few = replace(works, people=tuple(
        replace(one, people=0.05) if one.shop_id == "elec" else one for one in works.people
    ))  # fmt: skip
    made = make_growth(few, replace(WANTED, most_steps=3))
    added = {one.place_id for one in made.steps if one.stays and one.added is Added.PEOPLE}
    assert "elec elec" in added
    assert not [note for note in made.notes if note.startswith("people.csv, elec elec")]


def test_undoing_a_step_fails(grown: Growth) -> None:
    """Without the last body position that stayed the promise is not reached: no step is idle."""
    without = with_more(grown.works, Added.POSITIONS, "body", -1)
    again = make_growth(without, replace(WANTED, most_steps=1))
    assert again.start_chance < WANTED.promise


def test_the_change_file_gives_the_grown_works(grown: Growth, tmp_path: Path) -> None:
    """Read back against the works as it is, it is the works of the answer at the wanted pace."""
    works = short_of_one_place()
    path = tmp_path / "change.toml"
    path.write_text(change_file(works, grown), encoding="utf-8")
    change = read_change(path, works)
    assert replace(change.works, settings=works.settings) == grown.works
    assert [one.vehicles_a_week for one in change.works.settings.plan.pace] == [1.6]


def test_what_is_reached_already_needs_nothing() -> None:
    """A promise of many days at a low pace: no step, nothing spent."""
    growth = make_growth(short_of_one_place(), replace(WANTED, pace_a_week=0.5, turn_days=60))
    assert (growth.steps, growth.cost, growth.reached) == ((), 0, True)


def test_what_cannot_be_reached_is_said() -> None:
    """Less than the hours of the route: not reached, and why it was stopped."""
    growth = make_growth(short_of_one_place(), replace(WANTED, turn_days=2, most_steps=1))
    assert not growth.reached
    assert growth.stopped_by.startswith(("the most rounds", "no hold-up"))
    assert not isnan(growth.verified_chance)


def test_one_price_alone_is_refused() -> None:
    """People and positions are weighed in one money, or not at all."""
    with pytest.raises(CallError, match="--person-cost and --position-cost"):
        make_growth(short_of_one_place(), replace(WANTED, prices=Prices(person=5.0)))


def test_ctrl_c_leaves_the_path_so_far() -> None:
    """Stopped in the first round: the step of the closed forms stands, verified."""
    sets: list[str] = []

    def stopping(step: str, share: float) -> None:
        if "set of runs" in step:
            sets.append(step)
            if len(sets) == 3:
                raise KeyboardInterrupt

    growth = make_growth(short_of_one_place(), replace(WANTED, turn_days=2), stopping)
    assert growth.stopped_by == "interrupted"
    assert [one.place_id for one in growth.steps] == ["body"]
    assert not growth.reached


def test_every_single_step_back_falls_short(grown: Growth) -> None:
    """What the answer has at each place was tried with one less: never is the promise shown."""
    assert {(one.added, one.place_id) for one in grown.backs} == {(Added.POSITIONS, "body")}
    for one in grown.backs:
        assert one.promise_chance - one.half_width < WANTED.promise
        assert one.replications >= WANTED.replications


def test_a_longer_shift_is_paid_by_the_hour() -> None:
    """Worked by hand: one hour more in an eight-hour shop of 40 people paid 8 hours.

    40 x 8 x 1/8 = 40 paid hours a day at 2 each: 80. Unpriced 40/8 = 5 persons of 8 hours. All have
    nine hours then; ten are the most, so there is room for a second hour and not for a third.
    """
    works = short_of_one_place()
    crews = [one for one in works.people if one.shop_id == "body"]
    assert [(one.people, one.hours_a_day) for one in crews] == [(40.0, 8.0)]
    assert works.shop_hours_a_day["body"] == 8
    prices = Prices(person=100, position=100, hour=2)
    assert cost_of(works, prices, Added.HOURS, "body", 1) == pytest.approx(80)
    assert cost_of(works, Prices(), Added.HOURS, "body", 1) == pytest.approx(5)
    longer = with_more(works, Added.HOURS, "body", 1)
    assert longer.shop_hours_a_day["body"] == 9
    assert [one.hours_a_day for one in longer.people if one.shop_id == "body"] == [9.0]
    assert LONGEST_DAY_HOURS == 10
    assert room_for(longer, Added.HOURS, "body")
    assert not room_for(with_more(longer, Added.HOURS, "body", 1), Added.HOURS, "body")


def test_what_has_no_price_is_not_for_sale() -> None:
    """With prices given a bench, an hour or room inside is sold only at a price of its own."""
    assert all(Prices().sells(one) for one in Added)
    priced = Prices(person=1, position=1)
    sold = {one for one in Added if priced.sells(one)}
    assert sold == {Added.PEOPLE, Added.POSITIONS, Added.FLOAT}
    assert replace(priced, bench=3).sells(Added.BENCHES)


def test_a_ramp_needs_a_present_pace() -> None:
    """Without a pace in the settings there is nothing to rise from: the remedy is named."""
    works = short_of_one_place()
    plan = replace(works.settings.plan, pace=())
    works = replace(works, settings=replace(works.settings, plan=plan))
    with pytest.raises(CallError, match=r"--ramp-months: works\.toml names no pace"):
        make_growth(works, replace(WANTED, ramp_months=3))


@pytest.mark.parametrize(
    ("added", "place_id", "how_many"),
    [
        (Added.PEOPLE, "body body", 2),
        (Added.POSITIONS, "body", 1),
        (Added.HOURS, "body", 1),
        (Added.INSIDE, "", 4),
    ],
)
def test_every_kind_of_addition_goes_into_the_change_file(
    grown: Growth, tmp_path: Path, added: Added, place_id: str, how_many: int
) -> None:
    """Written as a change file and read back, the works has just that more."""
    works = short_of_one_place()
    plan = replace(works.settings.plan, inside_limit=12)
    works = replace(works, settings=replace(works.settings, plan=plan))
    more = with_more(works, added, place_id, how_many)
    path = tmp_path / "change.toml"
    path.write_text(change_file(works, replace(grown, works=more)), encoding="utf-8")
    read = read_change(path, works).works
    paced = replace(more.settings, plan=replace(more.settings.plan, pace=read.settings.plan.pace))
    assert read == replace(more, settings=paced)
    assert more != works


def test_units_and_benches_go_into_the_change_file(grown: Growth, tmp_path: Path) -> None:
    """A kind with two benches gets a third, and its float a unit more."""
    works = short_of_one_place()
    first, *others = works.unit_kinds
    first = replace(first, benches=2, bench_hours=2.0)
    works = replace(works, unit_kinds=(first, *others))
    kind = first.unit_kind_id
    assert room_for(works, Added.BENCHES, kind)
    assert not room_for(works, Added.BENCHES, others[0].unit_kind_id)
    more = with_more(with_more(works, Added.BENCHES, kind, 1), Added.FLOAT, kind, 1)
    path = tmp_path / "change.toml"
    path.write_text(change_file(works, replace(grown, works=more)), encoding="utf-8")
    read = read_change(path, works).works
    assert read.unit_kinds[0].benches == 3
    assert read.floats == more.floats != works.floats
