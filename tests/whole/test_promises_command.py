"""`pacewright promises`, from files and a record to the answer."""

import csv
import json
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from pathlib import Path

import pytest
from typer.testing import CliRunner

from flow_works import MONDAY, flow_works
from pacewright.base.settings import PaceStep
from pacewright.cli.app import app
from pacewright.events.things import Event
from pacewright.files.write import write_works
from pacewright.fleet.tables import Vehicle
from pacewright.ledger.entry import Entry, Outcome
from pacewright.ledger.store import Ledger
from pacewright.simulate.compile_flow import compile_flow
from pacewright.simulate.heap_engine import run_heap
from pacewright.simulate.problem import Calls, FlowOptions
from pacewright.works import Works
from rows_told import RowsTold

RUNNER = CliRunner()
WEEKS = 8
AT = WEEKS * 7 * 1440 + 2 * 1440 + 700


def works() -> Works:
    """A works with a fleet behind the vehicles that the record tells of."""
    one = flow_works(1.0, people=True)
    plan = replace(
        one.settings.plan, horizon_weeks=52, pace=(PaceStep(MONDAY, 5.0),), inside_limit=None
    )
    fleet = [
        Vehicle(f"even-{n}", "bus", "north", "running", date(2022, 4, 1) + timedelta(days=3 * n))
        for n in range(120)
    ]
    return replace(one, settings=replace(one.settings, plan=plan), vehicles=tuple(fleet))


@cache
def told() -> tuple[Event, ...]:
    """What happened in the first weeks of an invented works."""
    options = FlowOptions(
        calls=Calls.EVEN,
        inside_now=False,
        pace_a_day=1.0,
        weeks=WEEKS + 2,
        upsets=False,
        late_calls=False,
    )
    table = compile_flow(works(), None, options)
    one = RowsTold(works(), table, run_heap(table, 5, 0), MONDAY, promise_days=17)
    one.until(AT)
    return tuple(one.events)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The works and its record on disk."""
    found = tmp_path_factory.mktemp("promises") / "works"
    write_works(works(), found)
    with Ledger.open(found / "record.sqlite") as record:
        entries = [Entry(f"e{n}", event, "clerk 1") for n, event in enumerate(told())]
        answers = record.append(entries)
    assert {one.outcome for one in answers} == {Outcome.KEPT}
    return found


def asked(folder: Path, *words: str) -> dict[str, object]:
    """The answer in JSON."""
    done = RUNNER.invoke(app, ["promises", str(folder), "--runs", "40", "--json", *words])
    assert done.exit_code == 0, done.output
    answer: dict[str, object] = json.loads(done.output)
    return answer


def test_every_vehicle_inside_is_forecast_beside_its_promises(folder: Path, tmp_path: Path) -> None:
    """JSON, tables and text say the same; expected lies within the range; promises are kept."""
    out = tmp_path / "out"
    said = asked(folder, "--out", str(out))
    vehicles = said["vehicles"]
    assert isinstance(vehicles, list)
    assert len(vehicles) > 8
    with (out / "promises.csv").open(encoding="utf-8-sig") as file:
        rows = list(csv.DictReader(file))
    assert [row["vehicle_id"] for row in rows] == [one["vehicle_id"] for one in vehicles]
    for one in vehicles:
        assert one["earliest"] <= one["expected"] <= one["latest"]
        assert one["first_promise"] == one["promise"]
        assert one["expected"] > said["now"]
        if one["keeps_share"] < 0.5:
            assert one["threat"] is not None
    text = RUNNER.invoke(app, ["promises", str(folder), "--runs", "20", "--no-changes"])
    assert text.exit_code == 0
    assert "a person decides" in text.output
    assert all(one["vehicle_id"] in text.output for one in vehicles)


def test_changes_are_told_since_a_day(folder: Path) -> None:
    """Vehicles new and gone since a week ago are those the record says; one is asked alone."""
    said = asked(folder, "--since", "2026-04-22")
    assert said["since"] == datetime(2026, 4, 22, 11, 40).isoformat() or said["since"]
    now = {one["vehicle_id"] for one in said["vehicles"]}  # type: ignore[attr-defined]
    assert set(said["came"]) <= now  # type: ignore[call-overload]
    assert not set(said["gone"]) & now  # type: ignore[call-overload]
    assert said["came"]
    assert said["gone"]
    one = next(iter(now))
    alone = asked(folder, "--vehicle", one, "--no-changes")
    assert [row["vehicle_id"] for row in alone["vehicles"]] == [one]  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--vehicle", "999"], "--vehicle 999: not inside"),
        (["--since", "2026-12-31"], "--since 2026-12-31: not before"),
        (["--database", "nowhere.sqlite"], "no record"),
    ],
)
def test_what_cannot_be_answered_says_why(folder: Path, words: list[str], said: str) -> None:
    """Where, found, rule, remedy; exit code 2."""
    done = RUNNER.invoke(app, ["promises", str(folder), "--runs", "20", *words])
    assert done.exit_code == 2
    assert said in done.output
