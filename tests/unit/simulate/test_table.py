"""The small works compiled, its table against figures worked out by hand."""

from dataclasses import replace
from datetime import date
from math import sqrt

import numpy as np
import pytest

from pacewright.callin.solve import programme as call_in
from pacewright.fleet.due import due_windows
from pacewright.plans.programme import Programme
from pacewright.shops.tables import Assembly, Upset
from pacewright.simulate.chains import NoChainError, chains_of
from pacewright.simulate.chance import key_of
from pacewright.simulate.compile_flow import NoPaceError, compile_flow
from pacewright.simulate.problem import AbsenceWave, Calls, FlowOptions, Loss
from pacewright.simulate.stages import ALWAYS
from pacewright.simulate.table import IN_STORE, NOT_THERE, Floats, FlowTable, Then
from pacewright.works import Works
from small_works import small_works

WORKS = small_works()


def table(works: Works = WORKS, **options: object) -> FlowTable:
    """The works at one vehicle in five days from empty, unless said otherwise."""
    usual = {"calls": Calls.EVEN, "pace_a_day": 0.2, "weeks": 20, "inside_now": False}
    return compile_flow(works, None, FlowOptions(**usual | options))  # type: ignore[arg-type]


def steps(one: FlowTable, type_id: str) -> dict[str, int]:
    """Stage -> its step on a type's way."""
    found = {}
    t = one.names.types.index(type_id)
    later = one.types.first_step[t + 1] if t + 1 < len(one.names.types) else len(one.steps.stage)
    for e in range(int(one.types.first_step[t]), int(later)):
        found[one.names.stages[one.steps.stage[e]]] = e
    return found


def test_the_chains_of_the_small_works() -> None:
    """Whole to the strip, body and chassis apart, whole from the marriage; a third axle on one."""
    chains = chains_of(WORKS).of_type
    ways = {
        name: [[stage.stage_id for stage in chain.stages] for chain in one.all]
        for name, one in chains.items()
    }
    after = ["marry", "fitout", "test"]
    assert ways == {
        "solo": [["strip"], ["body", "bpaint"], ["chstrip", "chbuild"], after],
        "long": [["strip"], ["body", "bpaint"], ["chstrip", "chaxle", "chbuild"], after],
    }


def test_what_follows_each_step() -> None:
    """The strip parts, the body marries, the chassis is stored, the test releases."""
    one = table()
    then = {name: Then(int(one.steps.then[e])) for name, e in steps(one, "solo").items()}
    assert then == {
        "strip": Then.PART,
        "body": Then.GO_ON,
        "bpaint": Then.MARRY,
        "chstrip": Then.GO_ON,
        "chbuild": Then.STORE,
        "marry": Then.GO_ON,
        "fitout": Then.GO_ON,
        "test": Then.RELEASE,
    }
    assert one.types.marriage_step.tolist() == [
        steps(one, "solo")["marry"],
        steps(one, "long")["marry"],
    ]


def test_what_a_step_asks_of_a_crew() -> None:
    """Hundredths = 6000 x man-hours / (mean minutes x performance), by hand for strip and body."""
    one = table()
    needs = {}
    for type_id in ("solo", "long"):
        for name, e in steps(one, type_id).items():
            rows = range(int(one.steps.need_first[e]), int(one.steps.need_first[e + 1]))
            needs[type_id, name] = [
                (one.names.crews[one.steps.need_crew[r]], int(one.steps.need[r])) for r in rows
            ]
    # Strip: 36 h in (12 + 4 x 16 + 24) / 6 = 16.67 h: 2.16 people.
    assert needs["solo", "strip"] == [("strip fitter", 216)]
    # Body: 44 x 0.8 + 26 x 0.35 = 44.3 h in 30 h at 0.95: 1.554; with the joint 50.3 h: 1.765.
    assert needs["solo", "body"] == [("body body", 155)]
    assert needs["long", "body"] == [("body body", 176)]
    # The paint dries on by night: nobody is held, only the doors must be open.
    assert needs["solo", "bpaint"] == [("paint doors", 0)]


def test_what_other_work_leaves_of_a_crew() -> None:
    """Electricians: 14 + 0.08 x 40 h a motor, a motor a vehicle, 0.2 a day, of 21.12 h."""
    one = table()
    crews = {name: c for c, name in enumerate(one.names.crews)}
    able = 3 * 8 * 0.88
    left = 1 - 0.2 * (14 + 0.08 * 40) / able
    assert one.crews.scale[crews["elec elec"]] == pytest.approx(100 * left)
    # Painters: 18 h at the night process for each vehicle.
    assert one.crews.scale[crews["paint paint"]] == pytest.approx(100 * (1 - 0.2 * 18 / 21.6))
    # A running gear shop of 16 h: half of its people are there at once. Axles: 0.9 of one on
    # six solos, of two on four longs; valves 2.5 h each, 4 or 6, and half a one a week elsewhere.
    solos, longs = 5 / 9, 4 / 9
    axles = 0.2 * 0.9 * (solos + 2 * longs) * 18
    valves = (0.2 * (4 * solos + 6 * longs) + 0.5 / 5) * 2.5
    left = 1 - (axles + valves) / (6 * 8 * 0.9)
    assert one.crews.scale[crews["run fitter"]] == pytest.approx(50 * left)
    assert one.crews.people[crews["run doors"]] == -1
    assert one.crews.calendar[crews["run fitter"]] == 1


def test_a_crew_with_too_much_other_work_is_told() -> None:
    """At a pace at which motors alone ask more than all electricians, a note says so."""
    one = table(pace_a_day=1.5)
    assert any("elec elec: work on units" in note for note in one.notes)


def test_scope_scatters_about_its_mean() -> None:
    """Operations done at times add (1 - p) h / crew or take p h / crew; campaigns add by date."""
    one = table()
    e = steps(one, "long")["body"]
    rows = slice(int(one.steps.scope_first[e]), int(one.steps.scope_first[e + 1]))
    assert one.steps.scope_key[rows].tolist() == [key_of(n) for n in ("bd-1", "bd-2", "bd-3")]
    assert one.steps.scope_share[rows].tolist() == [0.8, 0.35, 0.5]
    assert one.steps.scope_mean[rows].tolist() == [0.8, 0.35, 0.5]
    assert one.steps.scope_minutes[rows].tolist() == [44 * 30, 26 * 30, 12 * 30]
    assert one.steps.scope_from[rows].tolist() == [-ALWAYS] * 3
    e = steps(one, "solo")["fitout"]
    row = int(one.steps.scope_first[e])
    assert (one.steps.scope_share[row], one.steps.scope_mean[row]) == (1, 0)
    assert one.steps.scope_minutes[row] == 9 * 30
    # From 1 June: 12 weeks of five days after 9 March, less Good Friday.
    assert one.steps.scope_from[row] == 59


def test_without_scatter_nothing_is_left_to_chance() -> None:
    """Flat laws, shares 0 or 1, no scope but campaigns, nobody away by chance."""
    one = table(scatter=False)
    assert (np.ptp(one.stages.minutes, axis=1) == 0).all()
    assert (np.ptp(one.kinds.turn, axis=1) == 0).all()
    assert set(one.kinds.removal_share) | set(one.kinds.scrap_share) <= {0.0, 1.0}
    assert set(one.steps.scope_share) == {1.0}
    assert one.crews.drawn.max() == 0


def test_windows_name_the_stage_before() -> None:
    """Body paint has a window of 24 h after the body stage, whose least is 20 h."""
    one = table()
    assert one.stages.window[one.names.stages.index("bpaint")] == 24 * 60
    assert one.steps.redo_minutes[steps(one, "solo")["bpaint"]] == 20 * 60
    assert one.steps.redo_minutes[steps(one, "solo")["body"]] == 0


def test_units_of_a_type_come_off_where_the_table_says() -> None:
    """Motor and valve off at the strip, on at fit out; the axle on the chassis."""
    one = table()
    e = steps(one, "long")["strip"]
    rows = slice(int(one.steps.strip_first[e]), int(one.steps.strip_first[e + 1]))
    kinds = [one.names.kinds[k] for k in one.steps.strip_kind[rows]]
    assert list(zip(kinds, one.steps.strip_units[rows].tolist(), strict=True)) == [
        ("motor", 1),
        ("valve", 6),
    ]
    e = steps(one, "long")["chbuild"]
    row = int(one.steps.fit_first[e])
    assert (one.names.kinds[one.steps.fit_kind[row]], one.steps.fit_units[row]) == ("axle", 2)


def moments(law: Floats) -> tuple[float, float]:
    """Mean and standard deviation of a law of straight lines between its quantiles.

    On a cell from a to b the mean of x^2 is (a^2 + a b + b^2) / 3.
    """
    low, high = law[:-1], law[1:]
    mean = float((low + high).mean() / 2)
    return mean, sqrt(float((low**2 + low * high + high**2).mean() / 3) - mean**2)


def test_a_bench_takes_its_part_of_mean_and_deviation() -> None:
    """Bench and what comes before it have together the turn of the table; no deviation below 0."""
    one = small_works(lambda t: t["unit_kinds"][0].update(turn_sd_days="0.1"))
    kinds = table(one).kinds
    mean, sd = moments(kinds.turn[table(one).names.kinds.index("motor")])
    hours = one.shop_hours_a_day["elec"]
    assert mean == pytest.approx((9 - 14 / hours) * 480, rel=1e-9)
    assert sd == pytest.approx(0, abs=1e-3), "the bench alone scatters more than the table says"


def test_the_pipeline_of_a_kind() -> None:
    """Valves: lots of 4, every 5 days, 4 bought in 30 days, a bench of 3 of 16 h, 4 days in all."""
    one = table()
    k = one.names.kinds.index("valve")
    kinds = one.kinds
    assert (kinds.lot[k], kinds.despatch_days[k], kinds.purchase_lot[k]) == (4, 5, 4)
    assert kinds.purchase_minutes[k] == 30 * 480
    mean, sd = moments(kinds.turn[k])
    assert mean == pytest.approx((4 - 3 / 16) * 480, rel=1e-4)
    assert sd == pytest.approx(sqrt(1**2 - (3 / 16) ** 2) * 480, rel=0.01)
    assert (kinds.bench_minutes[k], kinds.calendar[k]) == (180, 1)
    assert kinds.site_gap[k] == 5 * 480 / 0.5
    assert (kinds.serviceable[k], kinds.unserviceable[k]) == (6, 4)


def test_the_vehicle_inside_is_placed() -> None:
    """104 stands at the body: its chassis at the stage of the same day, its units owed."""
    one = table(inside_now=True)
    assert one.names.vehicles[0] == "104/now"
    assert one.vehicles.inside.tolist() == [1] + [0] * (len(one.vehicles.key) - 1)
    # 23 February, two weeks before the start: ten working days.
    assert one.vehicles.day[0] == -10
    way = steps(one, "solo")
    # The body begins when the strip ends, and so does the chassis strip.
    assert one.pieces.start_step[:2].tolist() == [way["body"], way["chstrip"]]
    assert one.pieces.start_step[2] == NOT_THERE
    owed = {one.names.kinds[k]: n for k, n in zip(one.owed.kind, one.owed.units, strict=True)}
    assert owed == {"motor": 1, "valve": 4}
    assert one.owed.ago.tolist() == [0, 0]


def inside_at(stage_id: str) -> Works:
    """The small works with 104 at another stage."""
    vehicles = tuple(
        replace(one, stage_id=stage_id) if one.vehicle_id == "104" else one
        for one in WORKS.vehicles
    )
    return replace(WORKS, vehicles=vehicles)


@pytest.mark.parametrize(
    ("stage_id", "lead", "other", "owed"),
    [
        ("strip", "strip", NOT_THERE, ()),
        # Body 30 h, 3.75 days after the strip; chassis strip 8.3 h and build 14.3 h of 16 h a day.
        ("bpaint", "bpaint", IN_STORE, ("motor", "valve")),
        ("chbuild", "body", "chbuild", ("motor", "axle", "valve")),
        ("marry", "marry", NOT_THERE, ("motor", "valve")),
        ("test", "test", NOT_THERE, ()),
    ],
)
def test_a_vehicle_inside_may_stand_anywhere(
    stage_id: str, lead: str, other: str | int, owed: tuple[str, ...]
) -> None:
    """Whole before parting, apart, or whole again: pieces, and units it is still owed."""
    one = table(inside_at(stage_id), inside_now=True)
    way = steps(one, "solo")
    wanted = [way[lead], way[other] if isinstance(other, str) else other]
    assert one.pieces.start_step[:2].tolist() == wanted
    assert tuple(one.names.kinds[k] for k in one.owed.kind) == owed


def test_even_calls_come_a_takt_apart_the_types_mixed() -> None:
    """Five working days apart; 5 solos and 4 longs of 9 in use, at no time far from their share."""
    one = table()
    minutes = one.vehicles.day * 480 + one.vehicles.slot
    assert set(np.diff(minutes).tolist()) == {2400}
    longs = np.cumsum(one.vehicles.type == one.names.types.index("long"))
    n = np.arange(1, len(longs) + 1)
    assert np.abs(longs - n * 4 / 9).max() < 1
    # 20 weeks with 99 working days: Good Friday is closed.
    assert len(n) == 20


def programme() -> Programme:
    """The call-in programme of the small works."""
    windows = due_windows(
        WORKS.vehicles,
        WORKS.vehicle_types,
        WORKS.readings,
        WORKS.settings.plan,
        WORKS.horizon_end(),
    )
    return call_in(WORKS, windows)


def test_calls_come_as_the_programme_says() -> None:
    """Each call of the run's weeks on its day, named by vehicle and visit, its depot's lateness."""
    called = programme()
    works = replace(
        WORKS, depots=tuple(replace(one, late_share=0.2, late_days=3) for one in WORKS.depots)
    )
    one = compile_flow(works, called, FlowOptions(weeks=60, inside_now=False))
    inside_run = [c for c in called.calls if (c.day - date(2026, 3, 9)).days < 420]
    assert set(one.names.vehicles) == {f"{c.vehicle_id}/{c.visit}" for c in inside_run}
    day_of = {f"{c.vehicle_id}/{c.visit}": c.day for c in inside_run}
    for name, i in zip(one.names.vehicles, one.vehicles.day.tolist(), strict=True):
        assert one.days.workday[i] == (day_of[name] - date(2026, 3, 9)).days
    assert set(one.vehicles.late_share) == {0.2}
    assert one.vehicles.key.tolist() == [key_of(name) for name in one.names.vehicles]


def test_a_vehicle_keeps_its_key_when_the_programme_moves() -> None:
    """The chance of a vehicle hangs on its number and visit alone."""
    called = programme()
    one = compile_flow(WORKS, called, FlowOptions(weeks=60))
    moved = replace(called, calls=called.calls[1:])
    other = compile_flow(WORKS, moved, FlowOptions(weeks=60))
    keys = dict(zip(one.names.vehicles, one.vehicles.key.tolist(), strict=True))
    assert len(other.names.vehicles) == len(one.names.vehicles) - 1
    for name, key in zip(other.names.vehicles, other.vehicles.key.tolist(), strict=True):
        assert keys[name] == key


def test_upsets_and_losses() -> None:
    """The crane of the works, and two marriage places lost for two days from Tuesday on."""
    loss = Loss("marry", "", date(2026, 3, 10), date(2026, 3, 11), 2)
    upsets = table(losses=(loss,)).upsets
    marry = [one.stage_id for one in WORKS.stages].index("marry")
    assert upsets.stage.tolist() == [marry] * 3
    assert upsets.gap.tolist() == [60 * 480, 0, 0]
    assert upsets.out.tolist() == [600, 2880, 2880]
    assert upsets.at.tolist() == [0, 1440, 1440]
    assert len(table(upsets=False).upsets.key) == 0
    bench = replace(WORKS, upsets=(Upset("oven", 80, 30, unit_kind_id="motor"),))
    assert table(bench).upsets.kind.tolist() == [0]


def test_a_wave_of_absence() -> None:
    """A third of the body shop's people stay away from Tuesday to Thursday of the second week."""
    wave = AbsenceWave(date(2026, 3, 17), date(2026, 3, 19), 1 / 3, shop_id="body")
    crews = table(waves=(wave,)).crews
    body = crews.attendance[1]
    assert body[5:10].tolist() == pytest.approx([0.9, 0.6, 0.6, 0.6, 0.9])
    assert set(crews.attendance[0]) == {0.9}


def test_without_a_pace_nothing_is_run() -> None:
    """No programme and no pace, or calls of a programme there is not: both are refused."""
    with pytest.raises(NoPaceError, match="no pace is known"):
        compile_flow(WORKS, None, FlowOptions(calls=Calls.EVEN))
    with pytest.raises(NoPaceError, match="plan the call-in first"):
        compile_flow(WORKS, None, FlowOptions(pace_a_day=1.0))


def test_a_route_that_is_no_chain_is_refused() -> None:
    """Works made by a program may be unchecked: no lead, no order, never whole."""
    two = tuple(replace(one, count=2) for one in WORKS.assemblies)
    with pytest.raises(NoChainError, match="no assembly of count 1"):
        chains_of(replace(WORKS, assemblies=two))
    stages = tuple(
        replace(one, follows=("strip",)) if one.stage_id == "chbuild" else one
        for one in WORKS.stages
    )
    with pytest.raises(NoChainError, match="in no order"):
        chains_of(replace(WORKS, stages=stages))
    parted = tuple(one for one in WORKS.stages if one.stage_id not in ("marry", "fitout", "test"))
    with pytest.raises(NoChainError, match="not whole at the gate and at release"):
        chains_of(replace(WORKS, stages=parted))


def test_the_first_assembly_of_one_leads() -> None:
    """Bogies stand first in the table, but there are two: the body leads."""
    bogies = (Assembly("solo", "chassis", "Bogies", 2), Assembly("solo", "body", "Body"))
    rest = tuple(one for one in WORKS.assemblies if one.type_id == "long")
    one = table(replace(WORKS, assemblies=bogies + rest))
    assert one.names.assemblies == ("solo chassis", "long chassis")
    assert one.types.assembly_count.tolist() == [2, 1]
    solo = int(np.flatnonzero(one.vehicles.type == 0)[0])
    pieces = np.flatnonzero(one.pieces.vehicle == solo)
    assert one.pieces.place[pieces].tolist() == [0, 0, 1]
    assert one.pieces.assembly[pieces].tolist() == [-1, 0, 0]


def test_groups_fit_their_rows() -> None:
    """Every group begins at 0, never falls and ends with the last row."""
    one = table()
    rows = one.steps
    for first, row in (
        (rows.need_first, rows.need),
        (rows.scope_first, rows.scope_key),
        (rows.strip_first, rows.strip_kind),
        (rows.fit_first, rows.fit_kind),
    ):
        assert first[0] == 0
        assert (np.diff(first) >= 0).all()
        assert (len(first), first[-1]) == (len(rows.stage) + 1, len(row))
    assert (np.diff(rows.need_first) >= 1).all()
