"""Are two runs of the flow simulation the same: every row, every cause, every sum?"""

from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np

from pacewright.simulate.run import Run

_COLUMNS = ("time", "code", "vehicle", "place", "amount")


def differences(one: Any, other: Any, path: str = "") -> list[str]:
    """Names of all that differs, in value or in kind of number."""
    if is_dataclass(one):
        return [
            found
            for field in fields(one)
            for found in differences(
                getattr(one, field.name), getattr(other, field.name), f"{path}.{field.name}"
            )
        ]
    if isinstance(one, np.ndarray):
        same = one.dtype == other.dtype and np.array_equal(one, other)
    else:
        same = type(one) is type(other) and one == other
    return [] if same else [path]


def assert_same(one: Run, other: Run) -> None:
    """Every row, cause and sum equal; else the first row that differs is shown."""
    found = differences(one, other)
    assert not found, f"{', '.join(found)}; {_first_row(one, other)}"


def _first_row(one: Run, other: Run) -> str:
    if one.events is None or other.events is None:
        return "no rows kept"
    rows = [
        np.column_stack([getattr(run.events, name) for name in _COLUMNS]) for run in (one, other)
    ]
    length = min(len(rows[0]), len(rows[1]))
    unlike = np.flatnonzero((rows[0][:length] != rows[1][:length]).any(axis=1))
    at = int(unlike[0]) if len(unlike) else length
    near = slice(max(0, at - 3), at + 2)
    return f"row {at}: {rows[0][near].tolist()} / {rows[1][near].tolist()}"
