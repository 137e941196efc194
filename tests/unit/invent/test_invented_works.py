"""The invented works stand up to the checks that every works must pass, at any size."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pacewright.files.read import read_works
from pacewright.files.write import write_works
from pacewright.invent.catalogue import KINDS, UnknownKindError
from pacewright.invent.works import USUAL_VEHICLES, invented_works
from pacewright.works import Works
from pacewright.works_checks import findings

EXAMPLES = Path(__file__).parents[3] / "examples"
SEED = 1


@pytest.fixture(scope="module", params=KINDS)
def usual(request: pytest.FixtureRequest) -> Works:
    """The example works of each kind."""
    kind: str = request.param
    return invented_works(kind, USUAL_VEHICLES[kind], SEED)


@settings(max_examples=25, deadline=None)
@given(
    kind=st.sampled_from(KINDS),
    vehicles=st.integers(20, 400),
    seed=st.integers(0, 2**31),
    today=st.dates(date(2000, 1, 1), date(2100, 12, 31)),
)
def test_any_invented_works_passes_the_cross_checks(
    kind: str, vehicles: int, seed: int, today: date
) -> None:
    """No size, seed or day makes a works with a fault."""
    works = invented_works(kind, vehicles, seed, today)
    assert findings(works) == ()
    assert len(works.vehicles) == vehicles


@settings(max_examples=6, deadline=None)
@given(kind=st.sampled_from(KINDS), vehicles=st.integers(20, 120), seed=st.integers(0, 999))
def test_written_and_read_again_it_is_the_same(
    tmp_path_factory: pytest.TempPathFactory, kind: str, vehicles: int, seed: int
) -> None:
    """A works folder holds all there is of an invented works."""
    works = invented_works(kind, vehicles, seed)
    folder = tmp_path_factory.mktemp("invented") / "works"
    write_works(works, folder)
    assert read_works(folder) == works


@pytest.mark.parametrize("kind", KINDS)
def test_same_arguments_make_the_same_works(kind: str) -> None:
    """Kind, vehicles, seed and day settle everything, and the seed settles something."""
    assert invented_works(kind, 60, 5) == invented_works(kind, 60, 5)
    assert invented_works(kind, 60, 5) != invented_works(kind, 60, 6)


@pytest.mark.parametrize("kind", KINDS)
def test_example_folder_is_what_the_generator_makes(kind: str, tmp_path: Path) -> None:
    """The committed examples are not stale: byte for byte what is made today."""
    write_works(invented_works(kind, USUAL_VEHICLES[kind], SEED), tmp_path / kind)
    made = {one.name: one.read_bytes() for one in (tmp_path / kind).iterdir()}
    for name, content in made.items():
        assert (EXAMPLES / kind / name).read_bytes() == content, f"{kind}/{name} is stale"


def test_unknown_kind_is_refused() -> None:
    """A kind that cannot be invented is named, with those that can."""
    with pytest.raises(UnknownKindError, match=r"'ferry'.*trolleybus and tramway"):
        invented_works("ferry", 100, 1)


def test_too_small_a_fleet_is_refused() -> None:
    """Below twenty vehicles there is no pace to speak of."""
    with pytest.raises(ValueError, match="vehicles: 19"):
        invented_works("tramway", 19, 1)


def test_usual_works_passes_the_cross_checks(usual: Works) -> None:
    """The two examples have no fault."""
    assert findings(usual) == ()


LEAST_ROWS = {
    "trolleybus": {
        "vehicles": 1900,
        "vehicle_types": 2,
        "depots": 11,
        "shops": 10,
        "stages": 25,
        "unit_kinds": 40,
        "operations": 120,
        "trades": 8,
        "plant": 5,
        "campaigns": 1,
        "test_items": 20,
    },
    "tramway": {"vehicles": 260, "vehicle_types": 2, "stages": 25, "unit_kinds": 30, "trades": 8},
}


@pytest.mark.parametrize("kind", KINDS)
def test_usual_works_is_as_full_as_asked(kind: str) -> None:
    """The examples hold at least what the issue asks of them."""
    works = invented_works(kind, USUAL_VEHICLES[kind], SEED)
    for table, least in LEAST_ROWS[kind].items():
        assert len(getattr(works, table)) >= least, table


PRESENT: dict[str, Callable[[Works], int]] = {
    "inside": lambda works: sum(one.state == "inside" for one in works.vehicles),
    "standing": lambda works: sum(one.state == "standing" for one in works.vehicles),
    "withdrawn": lambda works: sum(one.state == "withdrawn" for one in works.vehicles),
    "odometer at overhaul unknown": lambda works: sum(
        one.last_overhaul is not None and one.overhaul_odometer is None for one in works.vehicles
    ),
    "never read": lambda works: len(
        {one.vehicle_id for one in works.vehicles if one.state == "running"}
        - {one.vehicle_id for one in works.readings}
    ),
    "not overhauled yet": lambda works: sum(one.last_overhaul is None for one in works.vehicles),
    "licence expiry": lambda works: sum(one.licence_expiry is not None for one in works.vehicles),
    "leaves later": lambda works: sum(
        one.withdraw_on is not None and one.withdraw_on > works.settings.plan.today
        for one in works.vehicles
    ),
    "quarantine": lambda works: sum(one.quarantine for one in works.floats),
    "holidays": lambda works: len(works.settings.calendar.holidays),
    "shutdowns": lambda works: len(works.settings.calendar.shutdowns),
    "must change": lambda works: sum(one.must_change for one in works.unit_kinds),
    "nights": lambda works: sum(one.night_goes_on for one in works.stages),
    "tests that fail": lambda works: sum(one.first_pass_share < 1 for one in works.stages),
    "breakdown of a stage": lambda works: sum(one.stage_id is not None for one in works.upsets),
    "breakdown of a bench": lambda works: sum(one.stage_id is None for one in works.upsets),
    "late depots": lambda works: sum(one.late_share > 0 for one in works.depots),
    "longest wait": lambda works: sum(one.longest_wait_hours is not None for one in works.stages),
}


@pytest.mark.parametrize("what", PRESENT)
def test_usual_works_has_every_case(usual: Works, what: str) -> None:
    """Whatever the planner may meet, the examples hold an instance of it."""
    assert PRESENT[what](usual) > 0


def test_tram_parts_into_bogies_in_pairs_or_threes() -> None:
    """A tram of one type has two bogies, of the other three."""
    works = invented_works("tramway", 40, 1)
    bogies = {one.type_id: one.count for one in works.assemblies if one.assembly_id == "bogie"}
    assert sorted(bogies.values()) == [2, 3]
