"""``pacewright example --record-months``: a works and its record that say the same."""

import itertools
import json
from collections import Counter
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from typer.testing import CliRunner

from pacewright.cli.app import app
from pacewright.events.gate import OdometerRead
from pacewright.events.record import Corrected, Overridden
from pacewright.events.stages import Moved, Stored
from pacewright.events.standing import Phase, Standing
from pacewright.events.things import Condition
from pacewright.events.units import Cleared, Fitted, Issued, Quarantined
from pacewright.ledger.entry import Kept
from pacewright.ledger.store import Ledger
from pacewright.ledger.verified import Verified
from pacewright.office.errors import CallError
from pacewright.office.example_record import ExampleRecord, make_example_record
from pacewright.office.folder import open_works
from pacewright.office.today import today
from pacewright.works import Works
from pacewright.works_checks import findings

KINDS = {"trolleybus": (220, 5), "tramway": (200, 10)}
"""Kind -> vehicles, months."""


class Written:
    """An example with its record, read back."""

    def __init__(self, folder: Path, kind: str) -> None:
        self.made: ExampleRecord = make_example_record(
            folder, kind, (KINDS[kind][0], 1), KINDS[kind][1]
        )
        self.kind = kind
        self.works: Works = open_works(folder)[0]
        with Ledger.open(self.made.record, read_only=True) as ledger:
            self.now: Standing = ledger.standing()
            self.kept: list[Kept] = list(ledger.entries())
            self.verified: Verified = ledger.verify()


@pytest.fixture(scope="module", params=KINDS)
def written(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Written:
    """A small example of each kind with months of record."""
    return Written(tmp_path_factory.mktemp("example") / "works", request.param)


def test_every_slip_is_answered_as_meant(written: Written) -> None:
    """The record keeps what is right, knows what came twice, refuses wrong serials, each told."""
    assert written.made.unmeant == ()
    assert written.made.answers["kept"] == len(written.kept) > 10_000
    assert written.made.answers["known"] > 0
    assert written.made.answers["refused"] > 0
    assert all("does not know it" in one or "on the books" in one for one in written.made.refused)


def test_record_is_sound_from_end_to_end(written: Written) -> None:
    """Chain, subjects and fold of the record hold (its own keeper's check)."""
    assert written.verified.faults == ()


def test_tables_pass_their_checks(written: Written) -> None:
    """The works at the end of the record is one like any other."""
    assert findings(written.works) == ()
    assert written.works == written.made.works


def test_vehicles_inside_are_those_of_the_record(written: Written) -> None:
    """Who is inside by the tables is inside by the record, since the same day, at its stage."""
    inside = {one.vehicle_id: one for one in written.works.vehicles if one.state == "inside"}
    told = {one.vehicle_id: one for one in written.now.inside()}
    assert inside.keys() == told.keys()
    assert inside
    for number, one in inside.items():
        admitted_at = told[number].admitted_at
        assert admitted_at is not None
        assert one.gate_in == admitted_at.date()
        stands = written.now.stands_at(number).stage_id
        assert stands in ("", one.stage_id)


def test_overhauls_are_those_of_the_record(written: Written) -> None:
    """Who was released is overhauled on that day, at the odometer read at the gate."""
    vehicles = {one.vehicle_id: one for one in written.works.vehicles}
    released = [one for one in written.now.vehicles.values() if one.visits]
    assert released
    for one in released:
        assert vehicles[one.vehicle_id].last_overhaul == one.visits[-1].released_at.date()
        read = [odometer for at, odometer in one.odometer if at <= one.visits[-1].released_at]
        assert vehicles[one.vehicle_id].overhaul_odometer == read[-1]


def test_readings_are_those_of_the_record(written: Written) -> None:
    """Every reading of the record is in the table, but for those older than the last six."""
    table: dict[str, dict[date, float]] = {}
    for one in written.works.readings:
        table.setdefault(one.vehicle_id, {})[one.read_on] = one.odometer
    told = [kept.entry.event for kept in written.kept]
    read = [event for event in told if isinstance(event, OdometerRead)]
    assert len(read) > len(written.works.vehicles) / 2
    for event in read:
        mine = table[event.vehicle_id]
        day = event.at.date()
        assert day < min(mine) or mine[day] == event.odometer


def test_float_is_that_of_the_record(written: Written) -> None:
    """Serviceable and quarantined units by the tables are those by the record."""
    serviceable, quarantine = Counter[str](), Counter[str]()
    for unit, known in written.now.units.items():
        if known.onto is None and known.issued_to is None:
            serviceable[unit.unit_kind_id] += known.condition is Condition.SERVICEABLE
            quarantine[unit.unit_kind_id] += known.condition is Condition.QUARANTINE
    for one in written.works.floats:
        assert one.serviceable == serviceable[one.unit_kind_id]
        assert one.quarantine == quarantine[one.unit_kind_id]


def test_dirt_is_there(written: Written) -> None:
    """Corrections, overrides, units set aside and cleared, and things written late."""
    kinds = Counter(type(kept.entry.event) for kept in written.kept)
    assert kinds[Corrected]
    assert kinds[Overridden]
    assert kinds[Quarantined]
    assert kinds[Cleared]
    moments = [kept.entry.event.at for kept in written.kept]
    late = sum(later < earlier for earlier, later in itertools.pairwise(moments))
    assert late > len(moments) / 500


def test_record_ends_in_a_forenoon_with_the_clerks_behind(written: Written) -> None:
    """It ends at ten; what moved or was given out since eight is not written, other things are.

    So there are moves that can be made now, and units in store that somebody wants: in the larger
    works; in a tramway of 200 it may happen that nothing moves in two hours.
    """
    day = written.works.settings.plan.today
    eight, ten = (
        datetime(day.year, day.month, day.day, 8),
        datetime(day.year, day.month, day.day, 10),
    )
    last = [kept.entry.event for kept in written.kept if kept.entry.event.at >= eight]
    assert last
    assert all(event.at <= ten for event in last)
    assert not [event for event in last if isinstance(event, Moved | Stored | Issued | Fitted)]
    now = today(written.made.record.parent)
    assert now.found.moves or now.found.blocked
    owed = [need for need in now.wanted if need.owed > need.issued]
    if written.kind == "trolleybus":
        assert now.found.moves
        assert any(now.pool[need.unit_kind_id].serviceable for need in owed)


def test_people_are_roles_with_numbers(written: Written) -> None:
    """Nobody is named."""
    by = {kept.entry.recorded_by for kept in written.kept}
    assert len(by) > 8
    assert all(name.rsplit(" ", 1)[-1].isdigit() for name in by)


def test_record_was_written_day_by_day(written: Written) -> None:
    """What is recorded is never earlier than what happened, but for the zone, and never ahead."""
    for kept in written.kept:
        local = kept.recorded_at.astimezone().replace(tzinfo=None)
        assert local >= kept.entry.event.at - timedelta(minutes=1) or local > datetime(2026, 11, 1)


def test_keeps_its_promises_as_the_example_does(written: Written) -> None:
    """Most vehicles leave on the day first promised: it is a healthy works that is recorded."""
    visits = [one for v in written.now.vehicles.values() for one in v.visits]
    kept = [v.first_promise is not None and v.released_at.date() <= v.first_promise for v in visits]
    assert len(kept) > 5
    assert sum(kept) / len(kept) > 0.6
    assert any(v.phase is Phase.IN_SERVICE for v in written.now.vehicles.values())


def test_same_seed_same_record(tmp_path: Path) -> None:
    """Two examples of the same kind, size, seed and months hold the same entries, id for id."""
    first, second = (
        make_example_record(tmp_path / name, "tramway", (60, 3), 3) for name in ("a", "b")
    )
    assert first.works == second.works
    entries = []
    for made in (first, second):
        with Ledger.open(made.record, read_only=True) as ledger:
            entries.append([kept.entry for kept in ledger.entries()])
    assert entries[0] == entries[1]


def test_workbook_has_its_record_beside_it(tmp_path: Path) -> None:
    """The command writes both and says what is in them."""
    book = tmp_path / "trams.xlsx"
    words = ["example", str(book), "--kind", "tramway", "--vehicles", "40", "--workbook"]
    done = CliRunner().invoke(app, [*words, "--record-months", "2", "--json"])
    assert done.exit_code == 0, done.output
    told = json.loads(done.stdout)
    assert told["entries"]["kept"] > 1000
    assert (tmp_path / "trams.record.sqlite").exists()
    assert sorted(one.name for one in tmp_path.iterdir()) == ["trams.record.sqlite", "trams.xlsx"]


def test_a_record_is_never_overwritten(tmp_path: Path) -> None:
    """Where a record is, no example is written."""
    (tmp_path / "record.sqlite").write_bytes(b"")
    with pytest.raises(CallError, match="there is a record"):
        make_example_record(tmp_path, "tramway", (40, 1), 2)
