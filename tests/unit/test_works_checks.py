"""Rules between the folders, keys and references, and the notes."""

import pytest

from broken_rules import Broken, assert_only_it_is_told
from pacewright import works_checks
from pacewright.base.faults import Finding
from pacewright.base.keys import Known
from pacewright.works import TABLES
from small_works import Tables, small_works

CARS = "vehicles"
OVEN = {"upset_id": "oven", "mean_days_between": "80", "mean_hours": "30"}
BROKEN = [
    Broken(
        works_checks.pace_is_felt,
        (),
        (("works.toml", None, "plan.pace.1.vehicles_a_week"),),
        "0.019 vehicles a week",
        settings=("vehicles_a_week = 1", "vehicles_a_week = 0.019"),
    ),
    Broken(
        works_checks.pace_within_fleet,
        (),
        (("works.toml", None, "plan.pace.1.vehicles_a_week"),),
        "10.5 vehicles a week from a fleet of 10",
        settings=("vehicles_a_week = 1", "vehicles_a_week = 10.5"),
    ),
    Broken(
        works_checks.some_day_is_worked,
        (),
        (("works.toml", None, "calendar"),),
        "no day from 2026-03-09 to 2028-03-06 is worked",
        settings=("first = 2026-08-03\nlast = 2026-08-14", "first = 2026-03-01\nlast = 2029-01-01"),
    ),
    Broken(
        works_checks.inside_on_its_route,
        ((CARS, 3, {"stage_id": "chaxle"}),),
        ((CARS, 3, "stage_id"),),
        "vehicle 104 stands at chaxle, which type solo does not pass",
    ),
    Broken(
        works_checks.upset_takes_a_bench,
        (("upsets", -1, OVEN | {"unit_kind_id": "axle"}),),
        (("upsets", 1, "unit_kind_id"),),
        "unit kind axle has no benches to lose",
    ),
]


@pytest.mark.parametrize("case", BROKEN, ids=str)
def test_broken_rule_is_told(case: Broken, monkeypatch: pytest.MonkeyPatch) -> None:
    """The check tells the broken rule at its place, and no other check tells anything."""
    assert_only_it_is_told(case, monkeypatch)


def found_after(table: str, place: int, **cells: str) -> tuple[Finding, ...]:
    """The findings of the small works with one row changed, or with a second such row."""

    def change(tables: Tables) -> None:
        if place < 0:
            tables[table].append(tables[table][-1] | cells)
        else:
            tables[table][place] |= cells

    return works_checks.findings(small_works(change))


def test_the_small_works_passes() -> None:
    """The good example breaks no rule."""
    assert works_checks.findings(small_works()) == ()


@pytest.mark.parametrize("model", TABLES, ids=lambda model: model.TABLE)
def test_a_key_given_twice_is_told(model: type) -> None:
    """In each table, a second row with the same key is a finding at that row."""
    table = model.TABLE  # type: ignore[attr-defined]
    rows = len(getattr(small_works(), table))
    found = found_after(table, -1)
    assert [(one.table, one.index) for one in found] == [(table, rows)]
    assert "stands in an earlier row too" in found[0].found


@pytest.mark.parametrize(
    ("table", "place", "column", "cell", "meant"),
    [
        ("vehicles", 1, "type_id", "Solo", "solo"),
        ("vehicles", 1, "depot_id", "nrth", "north"),
        ("vehicles", 3, "stage_id", "boddy", "body"),
        ("readings", 1, "vehicle_id", "1001", "101"),
        ("people", 1, "trade_id", "bdy", "body"),
        ("assemblies", 0, "type_id", "soloo", "solo"),
        ("stages", 8, "follows", "fitout fittout", "fitout"),
        ("stages", 4, "type_ids", "lonng", "long"),
        ("unit_kinds", 0, "shop_id", "electric", "elec"),
        ("unit_kinds", 0, "strip_stage_id", "stripp", "strip"),
        ("fits", 0, "unit_kind_id", "motr", "motor"),
        ("floats", 0, "unit_kind_id", "motors", "motor"),
        ("operations", 0, "trade_id", "fiter", "fitter"),
        ("operations", 12, "unit_kind_id", "moter", "motor"),
        ("plant_loads", 0, "plant_id", "both", "booth"),
        ("campaigns", 0, "stage_id", "fit-out", "fitout"),
        ("test_items", 0, "stage_id", "tests", "test"),
    ],
)
def test_an_unknown_name_is_told_with_the_nearest(
    table: str, place: int, column: str, cell: str, meant: str
) -> None:
    """A name no row of the other table has is a finding at its cell, with the name meant."""
    found = found_after(table, place, **{column: cell})
    assert [(one.table, one.index, one.column) for one in found] == [(table, place, column)]
    assert found[0].found.startswith(f"'{cell.rsplit(maxsplit=1)[-1]}' is not in ")
    assert found[0].remedy.endswith(f" Is '{meant}' meant?")


def test_a_faulty_table_makes_no_false_findings() -> None:
    """With a table not whole, what needs it is left out; the rest is still checked."""
    works = small_works()
    known = {
        model.TABLE: Known(getattr(works, model.TABLE), None)  # type: ignore[attr-defined]
        for model in TABLES
    }
    known["stages"] = Known(works.stages[:3], {one.stage_id for one in works.stages}, whole=False)
    known["vehicle_types"] = Known((), None, whole=False)
    assert works_checks.findings_in(known, works.settings) == ()
    assert works_checks.findings_in({}, None) == ()


def test_notes_say_what_was_assumed() -> None:
    """Units without a float row, vehicles without readings and a thin calendar are notes."""

    def change(tables: Tables) -> None:
        del tables["floats"][1]

    told = works_checks.notes(small_works(change))
    assert told[0] == "floats.csv: no units held of axle; 0 is taken."
    assert told[1].startswith("readings.csv: no reading of 103;")
    assert told[2].startswith("works.toml: no day after 2026-12-25 is closed")
