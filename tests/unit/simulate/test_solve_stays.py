"""Why plan and simulation differ: what passes the time of pieces and units, by hand."""

import numpy as np
import pytest

from pacewright.simulate.stays import PASTIMES, Stays, stays_of
from pacewright.simulate.table import FlowTable
from pacewright.works import Works
from tiny_flow import (
    BODY_AND_FRAME,
    at,
    crew,
    fits,
    held,
    kind,
    operation,
    seen,
    stage,
    tiny_table,
    tiny_works,
)


def stays(works: Works, arrivals: list[int], **options: object) -> tuple[FlowTable, Stays]:
    table = tiny_table(works, arrivals, **options)
    return table, stays_of(table, [seen(table).run])


def hours(found: Stays, stage_index: int) -> dict[str, float]:
    """Mean hours a piece holds a position of a stage, where there are any."""
    named = zip(PASTIMES, found.minutes[stage_index].tolist(), strict=True)
    return {name: minutes / 60 for name, minutes in named if minutes}


def test_a_piece_that_blocks_is_told_from_one_that_is_worked_at() -> None:
    """Two vehicles, 2 h then 6 h: the second is done at 4 h and blocks until 8 h."""
    works = tiny_works([stage("short", 2), stage("long", 6, "short")])
    _, found = stays(works, [at(0, 0), at(0, 0)])
    assert found.pieces.tolist() == [2, 2]
    assert hours(found, 0) == {"work": 2.0, "next": 2.0}
    assert hours(found, 1) == {"work": 6.0}


def test_waits_for_people_and_for_a_charge_are_told_apart() -> None:
    """One person for two positions: the second piece waits 4 h. A charge of two fills at 8 h."""
    works = tiny_works(
        [
            stage("hand", 4, crew=1, positions=2),
            stage("oven", 2, "hand", positions=2, batch_size=2),
        ],
        people=(crew(1.0),),
        operations=(operation("hand", 4),),
    )
    _, found = stays(works, [at(0, 0), at(0, 0)], absence=False)
    assert hours(found, 0) == {"people": 2.0, "work": 4.0}
    # The first waits from 4 h to 8 h.
    assert hours(found, 1) == {"charge": 2.0, "work": 2.0}


def test_a_unit_is_followed_from_removal_to_need() -> None:
    """Off at 2 h, asked for at 8 h: an offset of 6 h; back after two days of 8 h, so it waits."""
    motor = kind("motor", "strip", "fit", 2.0)
    works = tiny_works(
        [stage("strip", 2), stage("body", 6, "strip"), stage("fit", 1, "body")],
        unit_kinds=(motor,),
        fits=fits(motor),
        floats=(held("motor", 0),),
    )
    _, found = stays(works, [at(0, 0)])
    assert found.removals.tolist() == [1]
    assert found.offset_minutes.tolist() == [360]
    assert found.turn_minutes.tolist() == [960]
    assert hours(found, 2) == {"units": 10.0, "work": 1.0}


def test_a_position_at_parting_is_held_until_the_last_piece_has_left_it() -> None:
    """Frame and body part at 2 h; the frame's stage is taken by the first vehicle's for 20 h."""
    works = tiny_works(
        [
            stage("part", 2, positions=2),
            stage("body", 2, "part", assembly_id="body", positions=2),
            stage("frame", 20, "part", assembly_id="frame"),
            stage("marry", 1, "body frame"),
        ],
        assemblies=BODY_AND_FRAME,
    )
    _, found = stays(works, [at(0, 0), at(0, 0)])
    # Both are parted at 2 h, and the second frame goes on at 22 h.
    assert hours(found, 0) == {"work": 2.0, "next": 10.0}


def test_tests_that_fail_are_counted() -> None:
    """Every second of very many pieces fails: as many failures as pieces in the end."""
    works = tiny_works([stage("test", 1, first_pass_share=0.5, rectify_hours=0.0)])
    _, found = stays(works, [at(0, 0)] * 18, scatter=True)
    assert 0.3 < found.failed_share[0] < 2.5


def test_a_kind_that_never_came_off_is_no_number() -> None:
    """Nothing was followed, and it does not look like nought."""
    motor = kind("motor", "strip", "fit", 2.0, removal_share=0.2)
    works = tiny_works(
        [stage("strip", 2), stage("fit", 1, "strip")],
        unit_kinds=(motor,),
        fits=fits(motor),
        floats=(held("motor", 1),),
    )
    _, found = stays(works, [at(0, 0)])
    assert np.isnan(found.offset_minutes[0])
    assert np.isnan(found.turn_minutes[0])
    assert found.removals.tolist() == [0]


def test_sums_over_pastimes_are_the_positions_held() -> None:
    """Pieces times their stay are the time integral of the positions."""
    works = tiny_works([stage("a", 3, positions=2), stage("b", 5, "a")])
    table = tiny_table(works, [at(0, 0), at(0, 1), at(0, 2)])
    one = seen(table)
    found = stays_of(table, [one.run])
    total = found.minutes.sum(axis=1) * found.pieces
    assert total == pytest.approx(one.run.integrals.busy)
