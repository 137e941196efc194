"""How a fault reads, and how faults are collected."""

from pacewright.base.faults import Fault, WorksFaultyError


def fault(file: str, row: int, column: str = "positions") -> Fault:
    return Fault(file, row, column, "found -1", "A whole number of 1 or more.", "Correct it.")


def test_a_fault_says_where_found_rule_remedy() -> None:
    """The sentence holds file, row, column, what was found, the rule and the remedy, in order."""
    text = str(fault("stages.csv", 7))
    assert text == (
        "stages.csv row 7, positions: found -1. A whole number of 1 or more. Correct it."
    )


def test_row_and_column_are_left_out_when_the_file_is_meant() -> None:
    """A fault of a whole file names the file alone."""
    assert str(fault("stages.csv", 0, "")).startswith("stages.csv: found")


def test_faults_are_sorted_and_told_once() -> None:
    """Faults come sorted by file, then row as a number, and the same fault once."""
    error = WorksFaultyError([fault("b.csv", 2), fault("a.csv", 10), fault("a.csv", 9)] * 2)
    assert [(one.file, one.row) for one in error.faults] == [
        ("a.csv", 9),
        ("a.csv", 10),
        ("b.csv", 2),
    ]
