"""`pacewright plan` and `simulate` start from the record when there is one."""

import json
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from pacewright.cli.app import app
from pacewright.events.gate import Admitted, Arrived, Called, OdometerRead
from pacewright.events.stages import Moved
from pacewright.events.things import WHOLE, Piece
from pacewright.ledger.entry import Entry, Outcome
from pacewright.office.planning import FROM_RECORD, LEFT_OUT, inputs_hash, make_plan, open_now
from pacewright.office.record import open_record
from pacewright.office.simulating import Asked, question_of
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.figures import figures
from pacewright.simulate.solve import run_through
from small_works import write_small

START = datetime(2026, 3, 2, 7, 0)


@pytest.fixture
def works(tmp_path: Path) -> Path:
    """The small works with a record: vehicle 101 came and stands at the strip stage."""
    folder = write_small(tmp_path / "works")
    story = (
        Arrived(START, "101", "solo", "north"),
        OdometerRead(START + timedelta(minutes=1), "101", 441_000.0),
        Admitted(START + timedelta(minutes=2), "101"),
        Moved(START + timedelta(minutes=3), Piece(WHOLE, "101"), "strip", 1),
    )
    with open_record(folder) as record:
        entries = [Entry(f"e-{n}", one, "clerk 1") for n, one in enumerate(story)]
        assert {one.outcome for one in record.append(entries)} == {Outcome.KEPT}
    return folder


def test_the_works_is_opened_as_recorded(works: Path) -> None:
    """Vehicle 101 is inside, its reading is there, and the notes name the record's head."""
    now, notes = open_now(works)
    row = next(one for one in now.vehicles if one.vehicle_id == "101")
    assert (row.state, row.stage_id) == ("inside", "strip")
    with open_record(works, read_only=True) as record:
        head = record.head()
    [told] = [one for one in notes if one.startswith(FROM_RECORD)]
    assert f"event {head.place}, digest {head.digest[:16]}, works time 2026-03-02 07:03" in told


def test_the_hash_of_the_inputs_covers_the_record(works: Path) -> None:
    """With the record other inputs than without; the same record, the same hash."""
    with_it, without = open_now(works)[0], open_now(works, with_record=False)
    assert inputs_hash(with_it) == inputs_hash(open_now(works)[0])
    assert inputs_hash(with_it) != inputs_hash(without[0])
    assert LEFT_OUT in without[1]


def test_blank_cells_change_no_hash(works: Path) -> None:
    """A column left at what it is when blank counts for nothing; any other cell counts."""
    table = works / "vehicles.csv"
    text = table.read_text()
    before = inputs_hash(open_now(works)[0])
    lines = text.splitlines()
    wider = [lines[0] + ",promised", *(line + "," for line in lines[1:])]
    table.write_text("\n".join(wider) + "\n")
    assert inputs_hash(open_now(works)[0]) == before
    table.write_text(text.replace("103,solo,north,standing", "103,solo,south,standing"))
    assert inputs_hash(open_now(works)[0]) != before


def test_the_plan_says_so(works: Path, tmp_path: Path) -> None:
    """On the screen and in the summary's assumptions; --no-record leaves it out and says so."""
    done = CliRunner().invoke(app, ["plan", str(works), "--out", str(tmp_path / "a")])
    assert done.exit_code == 0, done.output
    assert FROM_RECORD in done.output
    done = CliRunner().invoke(
        app, ["plan", str(works), "--out", str(tmp_path / "b"), "--no-record", "--json"]
    )
    assert done.exit_code == 0, done.output
    assumed = json.loads(done.output)["notes"]
    assert LEFT_OUT in assumed
    assert not [one for one in assumed if one.startswith(FROM_RECORD)]


def test_a_works_without_a_record_is_as_its_tables(tmp_path: Path) -> None:
    """No record, no note, and no record file is made by looking."""
    folder = write_small(tmp_path / "works")
    _, notes = open_now(folder)
    assert not [one for one in notes if "record" in one]
    assert not (folder / "record.sqlite").exists()


def test_a_damaged_record_is_told(works: Path, tmp_path: Path) -> None:
    """A file that is no record stops the plan with a reason, and nothing is written."""
    (works / "record.sqlite").write_bytes(b"this is no record" * 500)
    done = CliRunner().invoke(app, ["plan", str(works), "--out", str(tmp_path / "c")])
    assert done.exit_code == 2
    assert not (tmp_path / "c").exists()


def test_simulate_starts_from_it_too(works: Path) -> None:
    """The run starts from the recorded works."""
    done = CliRunner().invoke(
        app, ["simulate", str(works), "--replications", "2", "--weeks", "2", "--json"]
    )
    assert done.exit_code == 0, done.output
    assert FROM_RECORD in done.output


def told(*words: object) -> dict[str, Any]:
    """What a command answers in JSON."""
    done = CliRunner().invoke(app, [*(str(word) for word in words), "--json"])
    assert done.exit_code == 0, done.output
    return dict(json.loads(done.stdout))


@pytest.mark.parametrize("record", ["--record", "--no-record"])
def test_compare_starts_where_simulate_does(works: Path, record: str) -> None:
    """The base of a comparison is the simulation, figure for figure, with the same seed.

    A comparison means each figure over its replications; so the simulation is held against it
    replication by replication. Rates are the same either way.
    """
    (works.parent / "nothing.toml").write_text('name = "Nothing"\n')
    few = ("--replications", 3, "--weeks", 26, "--seed", 7, "--threads", 1, record)
    run = told("simulate", works, *few)
    pair = told("compare", works, works.parent / "nothing.toml", *few)
    assert run["notes"] == pair["notes"]
    assert run["summary"]["works"]["inputs_hash"] == pair["summary"]["inputs_hash"]
    base = pair["summary"]["changes"]["Nothing"]["figures"]
    for key in ("output_a_week", "calls_a_week", "inside_mean", "gate_mean"):
        shown = run["summary"]["forecast"]["figures"][key]["mean"]
        assert base[key]["base"] == pytest.approx(shown, rel=1e-6, abs=1e-9), key
    now, notes = open_now(works, with_record=record == "--record")
    data = run_through(
        now, make_plan(now, notes), question_of(now, Asked(3, weeks=26, seed=7))
    ).data
    single = [
        {one.key: one.mean for one in figures(replace(data, samples=[each]))}
        for each in data.samples
    ]
    known = {key: one for key, one in base.items() if one["replications"] == 3}
    assert len(known) > 10
    for key, one in known.items():
        mean = sum(row[key] for row in single) / 3
        assert one["base"] == pytest.approx(mean, rel=1e-6, abs=1e-9), key


def test_compare_says_from_where(works: Path) -> None:
    """On the screen: from the record, or that it was left out."""
    (works.parent / "nothing.toml").write_text('name = "Nothing"\n')
    words = ["compare", str(works), str(works.parent / "nothing.toml"), "--replications", "2"]
    done = CliRunner().invoke(app, [*words, "--weeks", "4"])
    assert f"Note: {FROM_RECORD}" in done.output
    done = CliRunner().invoke(app, [*words, "--weeks", "4", "--no-record"])
    assert f"Note: {LEFT_OUT}" in done.output


@pytest.mark.parametrize(
    ("turn_days", "said"),
    [(0.5, "so the 1.5 more of today are not in them"), (40, "does not ask for more")],
)
def test_grow_says_whether_the_queue_of_today_matters(
    works: Path, turn_days: float, said: str
) -> None:
    """Two are inside by record and table; Little's law tells how many the promise would keep."""
    words = ("--pace", 5, "--turn-days", turn_days, "--promise", 0.5, "--replications", 2)
    notes = told("grow", works, *words, "--most-steps", 1)["summary"]["notes"]
    assert notes[0].startswith(FROM_RECORD)
    inside = sum(one.state == "inside" for one in open_now(works)[0].vehicles)
    assert f"Inside today: {inside};" in notes[1]
    assert said in notes[1]


def test_called_vehicles_come_on_their_day_in_plan_and_simulation(works: Path) -> None:
    """One is called for this week, one for a Wednesday ahead: the plan of tomorrow keeps both."""
    told = {"102": date(2026, 3, 5), "201": date(2026, 3, 18)}
    with open_record(works) as record:
        calls = [
            Called(START + timedelta(minutes=9), one, kind, "north", told[one])
            for one, kind in (("102", "solo"), ("201", "long"))
        ]
        entries = [Entry(f"c-{n}", one, "planner 1") for n, one in enumerate(calls)]
        assert {one.outcome for one in record.append(entries)} == {Outcome.KEPT}
    now, notes = open_now(works)
    assert any("Called in and not come yet: 102, 201" in one for one in notes)
    plan = make_plan(now, notes)
    kept = {one.vehicle_id: one.day for one in plan.programme.calls if one.called_for}
    assert kept == {"201": told["201"]}
    assert [(one.vehicle_id, one.day) for one in plan.programme.booked] == [("102", told["102"])]
    table = compile_flow(now, plan.programme)
    days = dict(zip(table.names.vehicles, table.vehicles.day.tolist(), strict=True))
    # Working days of the run count from the Monday on which the plan starts, 2026-03-09.
    assert (days["102/1"], days["201/1"]) == (0, 7)
