"""The line named for a setting is the line in which a reader of the file finds its key."""

import time
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacewright.base.faults import WorksFaultyError
from pacewright.files.read import read_works
from pacewright.files.toml_lines import lines_of
from small_works import SETTINGS, write_small

ROOT = Path(__file__).parents[3]

HARD = '''# a comment
name = """Two
lines # no comment"""   # a comment

calendar.working_weekdays = [
    "mon",   # first
    "tue",
]
[ plan ]   # of the works
note = "a [plan.pace] = 3"
"odd key" = { one = 1, two = [2, 3] }

  [[plan.pace]]
  starts = 1
[plan.pace.more]
deep = 1
[[plan.pace]]
starts = 2
'''


def test_every_sort_of_statement_is_found() -> None:
    """Strings and lists over several lines, dotted and quoted keys, tables within tables."""
    assert lines_of(HARD) == {
        "name": 2,
        "calendar": 5,
        "calendar.working_weekdays": 5,
        "calendar.working_weekdays.1": 5,
        "calendar.working_weekdays.2": 5,
        "plan": 9,
        "plan.note": 10,
        "plan.odd key": 11,
        "plan.odd key.one": 11,
        "plan.odd key.two": 11,
        "plan.odd key.two.1": 11,
        "plan.odd key.two.2": 11,
        "plan.pace.1": 13,
        "plan.pace.1.starts": 14,
        "plan.pace.1.more": 15,
        "plan.pace.1.more.deep": 16,
        "plan.pace.2": 17,
        "plan.pace.2.starts": 18,
    }


@pytest.mark.parametrize(
    "path", sorted((ROOT / "examples").glob("*/works.toml")), ids=lambda p: p.parent.name
)
def test_each_key_stands_in_the_line_named_for_it(path: Path) -> None:
    """In the examples every key and heading is found in its line, and none is left out."""
    text = path.read_text(encoding="utf-8")
    lines, found = text.splitlines(), lines_of(text)
    for name, row in found.items():
        last = [step for step in name.split(".") if not step.isdigit()][-1]
        assert last in lines[row - 1], (name, row)
    assert set(_names(tomllib.loads(text))) <= found.keys()


def _names(read: object, before: str = "") -> list[str]:
    if isinstance(read, dict):
        pairs = list(read.items())
    elif isinstance(read, list):
        pairs = [(str(place), one) for place, one in enumerate(read, 1)]
    else:
        return [before]
    return [name for key, one in pairs for name in _names(one, f"{before}.{key}".strip("."))]


@given(st.lists(st.sampled_from(HARD.split("\n")), max_size=12).map("\n".join))
def test_whatever_toml_can_read_has_lines(text: str) -> None:
    """No sound text stops the search, and no line beyond its end is named."""
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    assert all(1 <= row <= len(text.split("\n")) for row in lines_of(text).values())


@pytest.mark.parametrize(
    ("old", "new", "column", "line"),
    [
        ("break_minutes = 30", "break_minutes = true", "calendar.shifts.1.break_minutes", 12),
        ("firm_weeks = 13", "firm_week = 13", "plan.firm_week", 23),
        ("horizon_weeks = 104\n", "", "plan.horizon_weeks", 19),
        ("2026-12-25]", "2026-13-25]", "", 6),
        ("vehicles_a_week = 1", "vehicles_a_week = -1", "plan.pace.1.vehicles_a_week", 28),
        ('"fri"]', '"fryday"]', "calendar.working_weekdays.5", 5),
    ],
)
def test_a_fault_of_the_settings_names_its_line(
    tmp_path: Path, old: str, new: str, column: str, line: int
) -> None:
    """A wrong value, an unknown key, one that is missing (the line of its part), broken TOML."""
    assert old in SETTINGS
    folder = write_small(tmp_path, settings=SETTINGS.replace(old, new, 1))
    with pytest.raises(WorksFaultyError) as caught:
        read_works(folder)
    (fault, *_) = [one for one in caught.value.faults if one.column == column]
    assert (fault.file, fault.row) == ("works.toml", line)


@pytest.mark.parametrize(
    "hostile",
    [
        "a." * 20_000 + "b = 1",
        "x = " + "[" * 900 + "]" * 900,
        "x = " + "{ a = " * 900 + "1" + " }" * 900,
        SETTINGS + "\nx = " + "[" * 30 + "]" * 30,
    ],
)
def test_parts_within_parts_have_an_end(tmp_path: Path, hostile: str) -> None:
    """However deep a file of settings goes, it is a fault and no failure."""
    folder = write_small(tmp_path)
    (folder / "works.toml").write_text(hostile, encoding="utf-8")
    with pytest.raises(WorksFaultyError, match="cannot be understood"):
        read_works(folder)


@pytest.mark.parametrize("line", ["1,", "[],", '"]",'])
def test_a_list_of_many_lines_does_not_hold_up_the_reader(line: str) -> None:
    """Twenty thousand lines take no minutes: lines before the list are named all the same."""
    text = "name = 1\nx = [\n" + f"{line}\n" * 20_000 + "]\n"
    began = time.perf_counter()
    assert lines_of(text) == {"name": 1}
    assert time.perf_counter() - began < 5


def test_an_empty_file_of_settings_is_told_what_it_lacks(tmp_path: Path) -> None:
    """No table, so that headings and saving from a spreadsheet are no remedy."""
    folder = write_small(tmp_path)
    (folder / "works.toml").write_text("", encoding="utf-8")
    with pytest.raises(WorksFaultyError, match=r"It holds text\. Save it again as UTF-8"):
        read_works(folder)
