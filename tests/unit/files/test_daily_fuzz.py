"""Whatever stands in a daily sheet or is typed at booking is read rightly or told as a fault."""

import csv
import io
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pacewright.base.columns import columns
from pacewright.base.faults import WorksFaultyError
from pacewright.events.registry import KINDS
from pacewright.events.scan import event_from_text
from pacewright.events.written import UnreadableEventError, faults_of
from pacewright.files.daily import SHEETS, read_daily

CELLS = st.one_of(
    st.sampled_from(
        ["", " ", "2026-03-02", "07:30", "vehicle:101", "motor:M-1", "body:B-1 chassis:C-1", "1",
         "2.5", "-1", "yes", "no", "started", "parted", "use", "part", "counted", "serviceable",
         "scrapped", "=1+1", "1e400", "nan", "46083", "24:00", "2026-02-30", "a" * 500, ":",
         "\u202e"]
    ),
    st.text(st.characters(blacklist_categories=["Cs", "Cc"]), max_size=12),
)  # fmt: skip


@pytest.mark.parametrize("model", SHEETS, ids=lambda model: model.TABLE)
@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_cells_are_read_or_told(tmp_path: Path, model: Any, data: st.DataObject) -> None:
    """Sound events, or faults with row and column; never anything else."""
    names = [one.name for one in columns(model)]
    rows = data.draw(
        st.lists(st.lists(CELLS, min_size=len(names), max_size=len(names)), max_size=3)
    )
    text = io.StringIO()
    csv.writer(text).writerows([names, *rows])
    path = tmp_path / f"{model.TABLE}.csv"
    path.write_text(text.getvalue(), encoding="utf-8")
    try:
        told = read_daily([path])
    except WorksFaultyError as error:
        for fault in error.faults:
            assert fault.file == path.name
            assert fault.row
            assert fault.rule
            assert fault.remedy
    else:
        for row in told:
            assert all("at most 400" in one for one in faults_of(row.event)), row


@given(
    kind=st.sampled_from([*KINDS, "nothing"]),
    cells=st.dictionaries(
        st.sampled_from(["at", "piece", "unit", "vehicle_id", "stage_id", "position", "pieces",
                         "instead", "passed", "verdict", "day", "hours", "x"]),
        CELLS,
        max_size=6,
    ),
)  # fmt: skip
def test_any_words_are_booked_rightly_or_told(kind: str, cells: dict[str, str]) -> None:
    """An event in order, or sentences that say what is wrong."""
    try:
        event = event_from_text(kind, cells)
    except UnreadableEventError as error:
        assert error.faults
        assert all(one.endswith((".", "?")) for one in error.faults), error.faults
    else:
        assert faults_of(event) == ()
