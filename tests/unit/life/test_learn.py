"""Learning from a record of stated truths: it finds them, and calls chance no difference."""

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from functools import cache

import pytest

from pacewright.events.record import Attended, FactorDecided
from pacewright.events.things import Event
from pacewright.life.learn import NothingRecordedError, learn
from pacewright.plans.learned import Learned, Proposal
from pacewright.works import Works
from small_works import small_works
from true_record import Truth, told

TRUTH = Truth()


@cache
def works() -> Works:
    """The small works."""
    return small_works()


@cache
def year() -> tuple[Event, ...]:
    """Two hundred and forty working days of the stated truths."""
    return tuple(told(works(), TRUTH, 240))


@cache
def learned() -> Learned:
    """What a year teaches."""
    return learn(works(), iter(year()))


def line(found: Learned, proposal_id: str) -> Proposal:
    """The line of a cell."""
    return next(one for one in found.proposals if one.proposal_id == proposal_id)


def ids(found: Learned) -> set[str]:
    """Cells of which the record tells."""
    return {one.proposal_id for one in found.proposals}


@pytest.mark.parametrize(
    ("cell", "true"),
    [
        ("operations:bd-2:occurrence_share", TRUTH.floor_renewal),
        ("operations:mt-2:occurrence_share", TRUTH.rewind),
        ("unit_kinds:axle:removal_share", TRUTH.axle_comes_off),
        ("unit_kinds:motor:scrap_share", TRUTH.motor_scrap),
        ("stages:test:first_pass_share", TRUTH.test_passes),
        ("people:body+body:performance", 1 / TRUTH.body_hours_over_standard),
        ("people:body+body:attendance_share", TRUTH.attendance),
    ],
)
def test_the_record_shows_what_is_true(cell: str, true: float) -> None:
    """What the record alone shows lies within 4 standard errors of the truth (false alarm 6e-5)."""
    one = line(learned(), cell)
    error = (one.high - one.low) / (2 * 1.645)
    assert abs(one.shown - true) < 4 * error


def test_turn_times_count_what_is_still_in_repair() -> None:
    """The true mean of the lognormal lies near, with the running ones reckoned in."""
    one = line(learned(), "unit_kinds:motor:turn_days")
    true = TRUTH.motor_days * 2.718281828 ** (TRUTH.motor_log_sd**2 / 2)
    assert one.running > 0
    assert one.low < true < one.high
    assert one.real and one.asked
    assert one.effect.endswith("units under way on average") and one.effect.startswith("+")
    [told_of] = [t for t in learned().turn_times if t.unit_kind_id == "motor"]
    assert told_of.mean_days == pytest.approx(one.proposed, rel=0.01)
    assert told_of.median_days == pytest.approx(TRUTH.motor_days, rel=0.1)


def test_a_true_difference_is_asked_and_chance_is_not() -> None:
    """Floor renewal really is more often needed; rewinding is as the table says."""
    assert line(learned(), "operations:bd-2:occurrence_share").asked
    assert not line(learned(), "operations:mt-2:occurrence_share").real
    lines = learned().proposals
    asked = [one.asked for one in lines]
    assert asked == sorted(asked, reverse=True)
    apart = [one.apart for one in lines if one.asked]
    assert apart == sorted(apart, reverse=True)


def test_small_samples_stay_near_the_old_value() -> None:
    """Eight inspections beside a table's 120: the posterior of the closed form."""
    events = told(works(), TRUTH, 8)
    one = line(learn(works(), events), "operations:bd-2:occurrence_share")
    needed = one.shown * 8
    assert one.proposed == pytest.approx((0.35 * 120 + needed) / 128, abs=5e-4)
    assert (one.old_sample, one.sample, one.new_sample) == (120, 8, 128)
    assert not one.real


def test_must_change_is_never_learned() -> None:
    """Operations and units that are always changed have no line, whatever is found."""
    cells = ids(learned())
    assert "operations:st-1:occurrence_share" not in cells
    assert not [one for one in cells if one.startswith("unit_kinds:valve")]


def test_rectification_is_no_standard_work() -> None:
    """Hours after a failed test do not count against the standard of the stage."""
    one = line(learned(), "people:test+fitter:performance")
    assert one.shown == pytest.approx(1.0)


def test_no_person_is_ever_told() -> None:
    """Learning does not read who did or wrote what; two records that differ in it are alike."""
    others = [
        replace(one, signed_by="somebody else") if hasattr(one, "signed_by") else one
        for one in year()
    ]
    assert learn(works(), others) == learned()


def test_hours_earned_a_week() -> None:
    """The body shop's standard hours of the vehicles of a week, by hand for five a week."""
    one = line(learned(), "people:body+body:shown_hours_a_week")
    assert one.of_what == "whole weeks"
    assert one.shown == pytest.approx(5 * (44 + 26 * TRUTH.floor_renewal), rel=0.08)
    assert learned().released_a_week == pytest.approx((5.0, 5.0, 5.0))


def test_a_crew_short_of_work_does_not_show_what_it_can_do() -> None:
    """Half the attended hours without work: told, not asked; at work all the time: asked."""

    def blank(tables: dict[str, list[dict[str, str]]]) -> None:
        for row in tables["people"]:
            row["shown_hours_a_week"] = ""

    cell = "people:body+body:shown_hours_a_week"
    idle = [
        replace(one, hours=2.5 * one.hours) if isinstance(one, Attended) else one for one in year()
    ]
    assert not line(learn(small_works(blank), idle), cell).asked
    found = line(learn(small_works(blank), year()), cell)
    assert found.old is None and found.asked
    assert found.effect.endswith("standard hours earned an hour attended")


def test_campaigns_are_earned_by_vehicles_called_in_their_time() -> None:
    """Six hours of body work on each vehicle of the campaign's days count as standard hours."""

    def campaign(tables: dict[str, list[dict[str, str]]]) -> None:
        row = dict(tables["campaigns"][0], stage_id="body", trade_id="body", standard_hours="6")
        tables["campaigns"].append(dict(row, campaign_id="b", first="2026-03-02"))

    with_it = line(learn(small_works(campaign), year()), "people:body+body:shown_hours_a_week")
    without = line(learned(), "people:body+body:shown_hours_a_week")
    assert with_it.shown == pytest.approx(without.shown + 5 * 6)


def test_standard_times_move_only_beside_the_crew_s_other_work() -> None:
    """A crew at one stage has a performance, no wrong standard; at two both can be told."""
    assert not [one for one in ids(learned()) if one.endswith(":standard_hours")]

    def same_crew(tables: dict[str, list[dict[str, str]]]) -> None:
        for row in tables["stages"]:
            row["shop_id"] = "body" if row["stage_id"] == "bpaint" else row["shop_id"]
        for row in tables["operations"]:
            row["trade_id"] = "body" if row["stage_id"] == "bpaint" else row["trade_id"]

    changed = small_works(same_crew)
    events = [
        replace(one, trade_id="body")
        if getattr(one, "stage_id", "") == "bpaint" and hasattr(one, "trade_id")
        else one
        for one in year()
    ]
    found = learn(changed, events)
    paint = line(found, "operations:pt-1:standard_hours")
    crew = line(found, "people:body+body:performance").shown
    assert paint.shown / 18 == pytest.approx(TRUTH.paint_hours_over_standard * crew, rel=0.02)
    # The body work is less than 5 % above the crew's mean: left alone.
    assert "operations:bd-2:standard_hours" not in ids(found)
    assert paint.real and paint.effect.startswith("-")


def decided(one: Proposal, accepted: bool, at: datetime) -> FactorDecided:
    """A decision about a line."""
    sample = float(one.new_sample) if accepted else one.sample
    old, new = str(one.old), str(one.proposed)
    return FactorDecided(
        at, one.table, one.row, one.column, old, new, accepted, sample, "planner 1"
    )


def test_what_was_accepted_is_not_counted_twice() -> None:
    """After acceptance only what comes later counts, and the old value weighs its sample."""
    one = line(learned(), "stages:test:first_pass_share")
    end = year()[-1].at
    later = [
        replace(event, at=event.at + timedelta(days=400)) for event in told(works(), TRUTH, 20, 9)
    ]

    def accepted(tables: dict[str, list[dict[str, str]]]) -> None:
        for row in tables["stages"]:
            if row["stage_id"] == "test":
                row["first_pass_share"] = str(one.proposed)

    found = learn(small_works(accepted), [*year(), decided(one, True, end), *later])
    again = line(found, "stages:test:first_pass_share")
    assert again.sample == 20
    assert again.old_sample == one.new_sample == 240
    passed = again.shown * 20
    assert again.proposed == pytest.approx((one.proposed * 240 + passed) / 260, abs=5e-4)


def test_a_rejected_line_comes_again_only_on_much_more_evidence() -> None:
    """Rejected on half a year it stays silent until there is twice as much."""
    events = list(year())
    first = learn(works(), events[: len(events) // 3])
    one = line(first, "operations:bd-2:occurrence_share")
    at = events[len(events) // 3].at
    story = [*events[: len(events) // 3], decided(one, False, at)]
    silent = line(learn(works(), story), "operations:bd-2:occurrence_share")
    assert silent.rejected_on == at.date()
    assert not silent.asked
    more = line(learn(works(), [*story, *events[len(events) // 3 :]]), one.proposal_id)
    assert more.rejected_on is None


def test_a_decision_long_after_ages_no_unit() -> None:
    """Decided a month after the last word of the floor, units still out are no older for it."""
    events = list(year())
    one = line(learned(), "stages:test:first_pass_share")
    late = decided(one, False, events[-1].at + timedelta(days=30))
    found = learn(works(), [*events, late])
    assert found.last == learned().last
    times = [one for one in learned().proposals if one.column == "turn_days"]
    assert times
    for was in times:
        assert line(found, was.proposal_id).shown == was.shown, was.proposal_id


def test_an_empty_record_teaches_nothing() -> None:
    """It is told, not guessed."""
    with pytest.raises(NothingRecordedError, match="no event"):
        learn(works(), [])


def test_the_last_verdict_of_a_visit_counts_once() -> None:
    """A second look at the same item of a visit takes the place of the first."""
    from pacewright.events.gate import Admitted, Arrived
    from pacewright.events.stages import Found
    from pacewright.events.things import WHOLE, Piece, Verdict

    at = datetime.combine(date(2026, 3, 2), time(8))
    events: list[Event] = []
    for n in range(6):
        whole = Piece(WHOLE, f"v{n}")
        events += [
            Arrived(at, f"v{n}", "solo", "north"),
            Admitted(at, f"v{n}"),
            Found(at, whole, "bd-2", Verdict.REPAIR),
            Found(at, whole, "bd-2", Verdict.USE),
        ]
    one = line(learn(works(), events), "operations:bd-2:occurrence_share")
    assert (one.sample, one.shown) == (6, 0.0)
