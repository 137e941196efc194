"""docs/6-control.md tells every rule of the door."""

from pathlib import Path

from pacewright.control.door_reference import renewed

PAGE = (Path(__file__).parents[2] / "docs" / "6-control.md").read_text(encoding="utf-8")


def test_the_rules_of_the_door_are_told_fresh() -> None:
    """The list in the page is what the rules say of themselves (make docs)."""
    assert renewed(PAGE) == PAGE
