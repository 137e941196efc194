"""A table that leaves out what stands in the works is told, and nothing else is."""

from events_story import vehicle
from pacewright.control.still_known import no_longer_known
from paper_ground import told
from small_works import Tables, small_works


def found(table: str, column: str, name: str) -> list[str]:
    """What is told when the rows of a name are left out of a table."""

    def change(tables: Tables) -> None:
        tables[table] = [row for row in tables[table] if row[column] != name]

    return [one.found for one in no_longer_known(small_works(change), told().now)]


def test_the_tables_as_they_are_know_everything() -> None:
    """With no table changed nothing is told."""
    assert no_longer_known(small_works(), told().now) == ()


def test_a_stage_on_which_a_vehicle_stands() -> None:
    """101 stands in the fit-out, nobody at the test: one may not go, the other may."""
    assert found("stages", "stage_id", "fitout") == [
        "no stage 'fitout', on which vehicle 101 stands"
    ]
    assert found("stages", "stage_id", "test") == []


def test_a_type_of_a_vehicle_that_is_here() -> None:
    """Every vehicle here is a solo; the long type has none."""
    assert len(found("vehicle_types", "type_id", "solo")) == 4
    assert found("vehicle_types", "type_id", "long") == []


def test_a_unit_kind_of_the_record() -> None:
    """Motors and valves are known to the record, axles not."""
    assert "has units" in found("unit_kinds", "unit_kind_id", "motor")[0]
    assert found("unit_kinds", "unit_kind_id", "axle") == []


def test_a_position_that_is_taken() -> None:
    """The second position of the fit-out may not go while a vehicle is on it."""

    def change(tables: Tables) -> None:
        for row in tables["stages"]:
            if row["stage_id"] == "fitout":
                row["positions"] = "1"

    case = told()
    assert no_longer_known(small_works(change), case.now) == ()
    case.put(vehicle("101"), "fitout", 2)
    (one,) = no_longer_known(small_works(change), case.now)
    assert one.found == "1 positions at fitout; vehicle 101 is on 2"
