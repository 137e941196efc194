"""Bad input of every kind in a works folder gives a clear fault, never a traceback or a guess."""

from collections.abc import Callable
from pathlib import Path

import pytest

from pacewright.base.faults import Fault, WorksFaultyError
from pacewright.files import read_works
from pacewright.works import TABLES
from small_works import SETTINGS, Tables, small_works, write_small

Spoil = Callable[[Path], object]


def faults_of(folder: Path) -> tuple[Fault, ...]:
    """What reading the folder finds wrong."""
    with pytest.raises(WorksFaultyError) as caught:
        read_works(folder)
    assert all(one.rule and one.remedy and one.found for one in caught.value.faults)
    return caught.value.faults


def bytes_of(name: str, change: Callable[[bytes], bytes]) -> Spoil:
    """Alter the bytes of a file."""

    def spoil(folder: Path) -> None:
        path = folder / name
        changed = change(path.read_bytes())
        assert changed != path.read_bytes(), "the case alters nothing"
        path.write_bytes(changed)

    return spoil


def swap(name: str, old: str, new: str) -> Spoil:
    """Replace the first place where ``old`` stands in a file."""
    return bytes_of(name, lambda raw: raw.replace(old.encode(), new.encode(), 1))


def drop(name: str) -> Spoil:
    return lambda folder: (folder / name).unlink()


def rename(name: str, new: str) -> Spoil:
    return lambda folder: (folder / name).rename(folder / new)


def folder_instead(name: str) -> Spoil:
    return lambda folder: ((folder / name).unlink(), (folder / name).mkdir())


def linked_to_itself(name: str) -> Spoil:
    return lambda folder: ((folder / name).unlink(), (folder / name).symlink_to(name))


# What is done to the small works, and the one fault that must come:
# file, row, column, words in what was found, words in rule or remedy.
BAD: list[tuple[str, Spoil, tuple[str, int, str, str, str]]] = [
    ("table missing", drop("stages.csv"), ("stages.csv", 0, "", "is missing", "One step of the")),
    ("settings missing", drop("works.toml"), ("works.toml", 0, "", "is missing", "name, calendar")),
    (
        "file of no table",
        lambda f: (f / "seats.csv").write_text("a\n1\n"),
        ("seats.csv", 0, "", "holds no known table", "begin its name with _"),
    ),
    ("folder for a file", folder_instead("fits.csv"), ("fits.csv", 0, "", "is a folder", "Move")),
    (
        "link to itself",
        linked_to_itself("fits.csv"),
        ("fits.csv", 0, "", "cannot be opened (Too many levels", "link it stands behind"),
    ),
    ("empty", bytes_of("fits.csv", lambda _: b""), ("fits.csv", 0, "", "is empty", "headings")),
    (
        "only a byte-order mark",
        bytes_of("fits.csv", lambda _: b"\xef\xbb\xbf\r\n"),
        ("fits.csv", 0, "", "is empty", "headings"),
    ),
    (
        "headings only",
        bytes_of("depots.csv", lambda raw: raw.split(b"\n")[0]),
        ("depots.csv", 0, "", "has headings only", "one row at least"),
    ),
    (
        "first row blank",
        bytes_of("fits.csv", lambda raw: b"\n" + raw),
        ("fits.csv", 1, "unit_kind_id", "is missing", "Add the column"),
    ),
    (
        "UTF-16",
        bytes_of("depots.csv", lambda raw: raw.decode().encode("utf-16")),
        ("depots.csv", 0, "", "is UTF-16 text", "CSV UTF-8"),
    ),
    (
        "UTF-16 without mark",
        bytes_of("depots.csv", lambda raw: raw.decode().encode("utf-16-le")),
        ("depots.csv", 1, "", "control character 0x00", "CSV UTF-8"),
    ),
    (
        "an older code page",
        bytes_of("depots.csv", lambda raw: raw.replace(b"South", b"S\xfcd")),
        ("depots.csv", 3, "", "byte 0xfc is not UTF-8", "CSV UTF-8"),
    ),
    (
        "NUL byte",
        bytes_of("depots.csv", lambda raw: raw.replace(b"South", b"S\x00d")),
        ("depots.csv", 3, "", "control character 0x00", "CSV UTF-8"),
    ),
    (
        "semicolons",
        bytes_of("depots.csv", lambda raw: raw.replace(b",", b";")),
        ("depots.csv", 1, "", "parted by semicolons", "commas"),
    ),
    (
        "tabs",
        bytes_of("depots.csv", lambda raw: raw.replace(b",", b"\t")),
        ("depots.csv", 1, "", "parted by tabs", "commas"),
    ),
    (
        "quote not closed",
        swap("depots.csv", "North depot", '"North depot'),
        ("depots.csv", 2, "", "cannot be split into cells", "quote"),
    ),
    (
        "quote inside",
        swap("depots.csv", "North depot", '"North" depot'),
        ("depots.csv", 2, "", "cannot be split into cells", "twice"),
    ),
    (
        "a cell without end",
        swap("depots.csv", "North depot", "N" * 200_000),
        ("depots.csv", 2, "", "cannot be split into cells", "quote"),
    ),
    (
        "unknown column",
        swap("depots.csv", "travel_days", "travel_day"),
        ("depots.csv", 1, "travel_day", "is not a column", "Is 'travel_days' meant?"),
    ),
    (
        "column missing",
        swap("unit_kinds.csv", "turn_days,", "_,"),
        ("unit_kinds.csv", 1, "turn_days", "is missing", "mean time from removal"),
    ),
    (
        "column twice",
        swap("depots.csv", "away_limit", "name"),
        ("depots.csv", 1, "name", "stands twice", "Delete or rename"),
    ),
    (
        "heading blank",
        swap("depots.csv", "away_limit", ""),
        ("depots.csv", 1, "", "a heading is blank", "Name the column"),
    ),
    (
        "row too long",
        swap("depots.csv", "North depot", "North, depot"),
        ("depots.csv", 2, "", "has 5 cells where the headings have 4", "holds a comma"),
    ),
    (
        "row too short",
        swap("depots.csv", ",2,0.5", ",2"),
        ("depots.csv", 2, "", "has 3 cells where the headings have 4", "what is missing"),
    ),
    (
        "decimal comma",
        swap("depots.csv", ",2,0.5", ',2,"0,5"'),
        ("depots.csv", 2, "travel_days", "'0,5'", "write 7.5, not 7,5"),
    ),
    (
        "thousands mark",
        swap("vehicle_types.csv", "250000", '"250,000"'),
        ("vehicle_types.csv", 2, "interval_distance", "'250,000'", "are not guessed"),
    ),
    (
        "thousands underscore",
        swap("vehicle_types.csv", "250000", "250_000"),
        ("vehicle_types.csv", 2, "interval_distance", "'250_000'", "no thousands mark"),
    ),
    (
        "day first",
        swap("vehicles.csv", "2018-05-01", "01.05.2018"),
        ("vehicles.csv", 2, "in_service", "'01.05.2018'", "2026-03-01"),
    ),
    (
        "slashes",
        swap("vehicles.csv", "2018-05-01", "5/1/18"),
        ("vehicles.csv", 2, "in_service", "'5/1/18'", "are not guessed"),
    ),
    (
        "no such day",
        swap("vehicles.csv", "2018-05-01", "2018-02-29"),
        ("vehicles.csv", 2, "in_service", "'2018-02-29'", "year-month-day"),
    ),
    (
        "serial number of a day",
        swap("vehicles.csv", "2018-05-01", "43221"),
        ("vehicles.csv", 2, "in_service", "'43221'", "format the cells as dates"),
    ),
    (
        "compact date",
        swap("vehicles.csv", "2018-05-01", "20180501"),
        ("vehicles.csv", 2, "in_service", "'20180501'", "year-month-day"),
    ),
    (
        "negative hours",
        swap("stages.csv", "12,16,24", "-12,16,24"),
        ("stages.csv", 2, "hours_least", "'-12'", "above 0"),
    ),
    (
        "not a number",
        swap("depots.csv", ",2,0.5", ",2,nan"),
        ("depots.csv", 2, "travel_days", "'nan'", "A number of 0 or more"),
    ),
    (
        "infinite",
        swap("depots.csv", ",2,0.5", ",2,inf"),
        ("depots.csv", 2, "travel_days", "'inf'", "A number of 0 or more"),
    ),
    (
        "huge",
        swap("depots.csv", ",2,0.5", f",{'9' * 5000},0.5"),
        ("depots.csv", 2, "away_limit", "'999", "at most 1e7"),
    ),
    (
        "more than can be meant",
        swap("stages.csv", "12,16,24", "12,16,2400"),
        ("stages.csv", 2, "hours_most", "'2400'", "At most 1000 is taken as meant"),
    ),
    (
        "more of a part than can be meant",
        swap("unit_kinds.csv", ",2,14,9000", ",20000,14,9000"),
        ("unit_kinds.csv", 2, "benches", "'20000'", "At most 10000 is taken as meant"),
    ),
    (
        "share as percentage",
        swap("people.csv", "0.9,1", "90%,1"),
        ("people.csv", 2, "attendance_share", "'90%'", "fraction of one"),
    ),
    (
        "share above one",
        swap("people.csv", "0.9,1", "90,1"),
        ("people.csv", 2, "attendance_share", "'90'", "between 0 and 1"),
    ),
    (
        "part of a thing",
        swap("depots.csv", ",2,0.5", ",2.5,0.5"),
        ("depots.csv", 2, "away_limit", "'2.5'", "whole number"),
    ),
    (
        "state unknown",
        swap("vehicles.csv", "running", "driving"),
        ("vehicles.csv", 2, "state", "'driving'", "running, standing, inside"),
    ),
    (
        "neither yes nor no",
        swap("unit_kinds.csv", ",no,", ",maybe,"),
        ("unit_kinds.csv", 2, "must_change", "'maybe'", "yes or no"),
    ),
    (
        "id with a blank",
        swap("trades.csv", "fitter,", "the fitter,"),
        ("trades.csv", 2, "trade_id", "'the fitter'", "letters, digits"),
    ),
    (
        "formula in a name",
        swap("depots.csv", "North depot", "=HYPERLINK(A1)"),
        ("depots.csv", 2, "name", "'=HYPERLINK(A1)'", "formula"),
    ),
    (
        "error cell saved as text",
        swap("depots.csv", "North depot", "#REF!"),
        ("depots.csv", 2, "name", "'#REF!'", "error"),
    ),
    (
        "line break in a name",
        swap("depots.csv", "North depot", '"North\ndepot"'),
        ("depots.csv", 2, "name", "'North\ndepot'", "one line"),
    ),
    (
        "needed cell blank",
        swap("depots.csv", "North depot", "  "),
        ("depots.csv", 2, "name", "is blank", "Fill it in"),
    ),
    (
        "one id of several",
        swap("stages.csv", "chstrip chaxle", "chstrip (chaxle)"),
        ("stages.csv", 7, "follows", "'(chaxle)'", "blanks between"),
    ),
    (
        "odometer that falls",
        swap("readings.csv", "350000", "35000"),
        ("readings.csv", 3, "odometer", "read 240000 on 2022-06-10 and 35000", "does not fall"),
    ),
    (
        "broken settings",
        swap("works.toml", "[calendar]", "[calendar"),
        ("works.toml", 4, "", "cannot be understood", "TOML"),
    ),
    (
        "setting unknown",
        swap("works.toml", "firm_weeks", "firm_week"),
        ("works.toml", 23, "plan.firm_week", "is not a setting", "Is 'firm_weeks' meant?"),
    ),
    (
        "setting missing",
        swap("works.toml", "horizon_weeks = 104\n", ""),
        ("works.toml", 19, "plan.horizon_weeks", "is missing", "weeks planned"),
    ),
    (
        "part of the settings missing",
        bytes_of("works.toml", lambda raw: raw.split(b"[plan]")[0]),
        ("works.toml", 0, "plan", "is missing", "This part is needed"),
    ),
    (
        "clock time as a number",
        swap("works.toml", "07:00:00", "7"),
        ("works.toml", 10, "calendar.shifts.1.starts", "'7'", "07:30"),
    ),
    (
        "true for a number",
        swap("works.toml", "break_minutes = 30", "break_minutes = true"),
        ("works.toml", 12, "calendar.shifts.1.break_minutes", "'true'", "A number"),
    ),
    (
        "settings not UTF-8",
        bytes_of("works.toml", lambda raw: raw.replace(b"Lindmoor", b"L\xefndmoor")),
        ("works.toml", 1, "", "byte 0xef is not UTF-8", "UTF-8 text"),
    ),
    (
        "start before today",
        swap("works.toml", "start = 2026-03-09", "start = 2026-03-01"),
        ("works.toml", 19, "plan", "does not fit together", "start is today (2026-03-02) or later"),
    ),
    (
        "shift shorter than its break",
        swap("works.toml", "break_minutes = 30", "break_minutes = 510"),
        ("works.toml", 4, "calendar", "does not fit together", "longer than its break"),
    ),
    (
        "no shift",
        bytes_of(
            "works.toml",
            lambda raw: (
                raw.split(b"[[calendar.shifts")[0]
                + b"shifts = []\n"
                + raw[raw.index(b"[[calendar.shutdowns") :]
            ),
        ),
        ("works.toml", 8, "calendar.shifts", "is empty", "part with settings of its own"),
    ),
]


@pytest.mark.parametrize(("spoil", "wanted"), [b[1:] for b in BAD], ids=[b[0] for b in BAD])
def test_bad_input_is_told(
    tmp_path: Path, spoil: Spoil, wanted: tuple[str, int, str, str, str]
) -> None:
    """The fault names file, row, column, what was found, rule and remedy."""
    spoil(write_small(tmp_path / "works"))
    faults = faults_of(tmp_path / "works")
    file, row, column, found, advice = wanted
    hits = [one for one in faults if (one.file, one.row, one.column) == (file, row, column)]
    assert hits, faults
    assert any(found in one.found and advice in one.rule + " " + one.remedy for one in hits), hits


# Cases in which one cause must give one fault, not a string of others behind it.
LONE = ["UTF-16", "semicolons", "unknown column", "row too long", "decimal comma", "day first"]
LONE += ["needed cell blank", "quote not closed", "broken settings", "clock time as a number"]
LONE += ["table missing", "no shift", "part of the settings missing"]


@pytest.mark.parametrize("name", LONE)
def test_one_cause_gives_one_fault(tmp_path: Path, name: str) -> None:
    """A faulty cell or table makes no false faults in the tables that hang on it."""
    spoil = next(case[1] for case in BAD if case[0] == name)
    spoil(write_small(tmp_path / "works"))
    assert len(faults_of(tmp_path / "works")) == 1


def test_the_good_works_is_read(tmp_path: Path) -> None:
    """Nothing is told of a good works, and every cell is read as it stands."""
    assert read_works(write_small(tmp_path)) == small_works()


@pytest.mark.parametrize(
    "harmless",
    [
        bytes_of("depots.csv", lambda raw: b"\xef\xbb\xbf" + raw),
        bytes_of("works.toml", lambda raw: b"\xef\xbb\xbf" + raw),
        bytes_of("depots.csv", lambda raw: raw.replace(b"\n", b"\r\n")),
        bytes_of("depots.csv", lambda raw: raw.replace(b"\n", b"\n\n,,,\n , ,,\n", 1)),
        bytes_of("depots.csv", lambda raw: raw.replace(b"\n", b",,\n")),
        bytes_of("depots.csv", lambda raw: raw.replace(b"North depot", b'" North depot "')),
        swap("depots.csv", "South depot,,1", "South depot, ,1"),
        swap("unit_kinds.csv", ",no,", ",NO,"),
        swap("works.toml", "07:00:00", '"07:00"'),
        lambda f: (f / "_old.csv").write_text("whatever"),
        lambda f: (f / "notes.txt").write_bytes(b"\xff\x00"),
        lambda f: (f / "archive").mkdir(),
        drop("notes_none"),
    ],
    ids=lambda spoil: "",
)
def test_harmless_differences_do_not_count(tmp_path: Path, harmless: Spoil) -> None:
    """Marks, line ends, blank rows and columns, outer blanks and the user's own files."""
    folder = write_small(tmp_path)
    (folder / "notes_none").touch()
    harmless(folder)
    assert read_works(folder) == small_works()


def test_tables_that_may_be_absent(tmp_path: Path) -> None:
    """A works without floats, readings, plant, campaigns and tests is read as having none."""

    def change(tables: Tables) -> None:
        for table in ("floats", "readings", "plant", "plant_loads", "campaigns", "test_items"):
            del tables[table]

    works = read_works(write_small(tmp_path, change))
    assert works == small_works(change)
    assert works.readings == ()


def test_a_file_of_nearly_the_right_name_is_pointed_at(tmp_path: Path) -> None:
    """The table is missing, and the stray file is told with the name it may stand for."""
    folder = write_small(tmp_path)
    rename("readings.csv", "reading.csv")(folder)
    rename("vehicles.csv", "Vehicles.csv")(folder)
    faults = faults_of(folder)
    remedies = {one.file: one.remedy for one in faults}
    assert remedies["reading.csv"].endswith("Is 'readings.csv' meant?")
    assert remedies["Vehicles.csv"].endswith("Is 'vehicles.csv' meant?")
    assert "vehicles.csv" in remedies


def test_all_faults_come_at_once_and_in_order(tmp_path: Path) -> None:
    """Faults of cells, keys, references and rules in several tables, sorted by place."""

    def change(tables: Tables) -> None:
        tables["vehicles"][0]["in_service"] = "May 2018"
        tables["vehicles"][0]["depot_id"] = "nort h"
        tables["vehicles"][1]["type_id"] = "sollo"
        tables["fits"].append(dict(tables["fits"][0]))
        tables["stages"][1]["hours_least"] = "99"
        tables["campaigns"][0]["last"] = "2020-01-01"

    settings = SETTINGS.replace("firm_weeks = 13", "firm_weeks = 0")
    faults = faults_of(write_small(tmp_path, change, settings))
    assert [(one.file, one.row, one.column) for one in faults] == [
        ("campaigns.csv", 2, "last"),
        ("fits.csv", 8, "type_id"),
        ("stages.csv", 3, "hours_usual"),
        ("vehicles.csv", 2, "depot_id"),
        ("vehicles.csv", 2, "in_service"),
        ("vehicles.csv", 3, "type_id"),
        ("works.toml", 23, "plan.firm_weeks"),
    ]


def test_rows_count_as_in_the_spreadsheet(tmp_path: Path) -> None:
    """Blank rows and line breaks inside quotes do not shift the row a fault names."""
    folder = write_small(tmp_path)
    swap("depots.csv", "north,", '\n,,,\nnorth,"a\nb",9,9\nnorth,')(folder)
    swap("depots.csv", "South depot", "")(folder)
    rows = {one.row for one in faults_of(folder)}
    assert rows == {4, 6}


@pytest.mark.parametrize("name", ["nowhere", "nowhere.xlsx", "works/works.toml"])
def test_a_path_that_is_no_works(tmp_path: Path, name: str) -> None:
    """A path that does not exist, or is neither folder nor workbook, is one clear fault."""
    write_small(tmp_path / "works")
    (fault,) = faults_of(tmp_path / name)
    assert "A works is a folder with works.toml" in fault.rule


def test_a_folder_that_cannot_be_listed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder or file closed to the user is a fault, with the system's reason."""

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    folder = write_small(tmp_path)
    with monkeypatch.context() as patch:
        patch.setattr(Path, "iterdir", refuse)
        (fault,) = faults_of(folder)
        assert "Permission denied" in fault.found
    monkeypatch.setattr(Path, "read_bytes", refuse)
    faults = faults_of(folder)
    assert len(faults) == len(TABLES) + 1
    assert all("Permission denied" in one.found for one in faults)


def test_very_many_faults_are_all_told(tmp_path: Path) -> None:
    """Ten thousand rows with two faulty cells and as many with an unknown vehicle, and soon."""
    folder = write_small(tmp_path)
    with (folder / "readings.csv").open("a") as file:
        file.writelines(f"10{n % 7},2026-02-3{n % 2},x{n}\n" for n in range(10_000))
        file.writelines(f"car{n},2026-02-01,5\n" for n in range(10_000))
    faults = faults_of(folder)
    assert len(faults) == 2 * 10_000 + 10_000
