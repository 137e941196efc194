"""A filled-in form becomes a change file that changes just that."""

import tomllib
from pathlib import Path

import pytest

from pacewright.base.faults import CallError
from pacewright.files.changes import read_change
from pacewright.office.whatif_parts import parts_of
from pacewright.office.whatif_text import change_text
from pacewright.plans.change import Change
from small_works import small_works

WORKS = small_works()


def change(folder: Path, **cells: str) -> Change:
    """The change that a form makes of the small works."""
    path = folder / "change.toml"
    path.write_text(change_text(WORKS, cells, "Try"), encoding="utf-8")
    return read_change(path, WORKS)


def crew() -> tuple[str, str]:
    """The first crew of the works."""
    return WORKS.people[0].shop_id, WORKS.people[0].trade_id


@pytest.mark.parametrize(
    ("cells", "differs"),
    [
        ({"pace_a_week": "7.5"}, "7.5"),
        ({"stage": "fitout", "positions": "5"}, "stages fitout: positions 2 -> 5"),
        ({"float_kind": "motor", "serviceable": "9"}, "floats motor: serviceable"),
        ({"turn_kind": "motor", "turn_days": "6.5"}, "unit_kinds motor: turn_days 9 -> 6.5"),
        ({"hours_shop": "elec", "hours": "9"}, "shops elec: hours_a_day"),
        (
            {"absent_first": "2026-04-06", "absent_last": "2026-04-17", "absent_percent": "15"},
            "absence 2026-04-06 to 2026-04-17: absent_share 0.15",
        ),
        (
            {
                "lost_stage": "fitout",
                "lost_first": "2026-04-06",
                "lost_last": "2026-04-17",
                "lost_count": "1",
            },
            "lost 2026-04-06 to 2026-04-17: stage_id fitout, how_many 1",
        ),
        ({"more": '[[stages]]\nstage_id = "fitout"\npositions = 4'}, "positions 2 -> 4"),
    ],
)
def test_every_part_changes_what_it_says(
    tmp_path: Path, cells: dict[str, str], differs: str
) -> None:
    """Each part alone is read as a change file, and what differs names it."""
    assert differs in "; ".join(change(tmp_path, **cells).differs)


def test_people_and_a_longer_shift_of_one_crew_stand_in_one_row(tmp_path: Path) -> None:
    """Two parts that speak of one row are put into one; paid hours grow as the shop's do."""
    shop_id, trade_id = crew()
    now = WORKS.shop_hours_a_day[shop_id]
    made = change(
        tmp_path, crew=f"{shop_id} {trade_id}", people="11", hours_shop=shop_id, hours=str(now + 2)
    )
    row = next(r for r in made.works.people if (r.shop_id, r.trade_id) == (shop_id, trade_id))
    assert row.people == 11
    assert row.hours_a_day == pytest.approx(WORKS.people[0].hours_a_day * (now + 2) / now, abs=1e-3)


def test_all_parts_at_once_are_one_change(tmp_path: Path) -> None:
    """Every part filled in is read without a fault."""
    filled = {"crew": " ".join(crew()), "people": "11", "pace_a_week": "6"}
    filled |= {"stage": "fitout", "positions": "3", "float_kind": "motor", "serviceable": "9"}
    filled |= {"turn_kind": "motor", "turn_days": "6", "hours_shop": "elec", "hours": "9"}
    filled |= {"absent_first": "2026-04-06", "absent_last": "2026-04-17", "absent_percent": "10"}
    filled |= {"lost_stage": "test", "lost_first": "2026-04-06", "lost_last": "2026-04-17"}
    filled |= {"lost_count": "1", "absent_shop": "elec"}
    fields = {one.name for part in parts_of(WORKS) for one in part.fields}
    assert fields == set(filled)
    assert len(change(tmp_path, **filled).differs) >= 8


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({}, "nothing differs"),
        ({"stage": "fitout"}, "is blank"),
        ({"stage": "fitout", "positions": "many"}, "A number is wanted"),
        ({"stage": "fitout", "positions": "nan"}, "A number is wanted"),
        ({"stage": "no-such", "positions": "4"}, "It is not in the list"),
        (
            {"absent_first": "soon", "absent_last": "2026-04-17", "absent_percent": "15"},
            "A date such as",
        ),
    ],
)
def test_a_half_filled_form_says_what_is_missing(cells: dict[str, str], said: str) -> None:
    """Every fault names part and field, what was found and what to do."""
    with pytest.raises(CallError, match=said):
        change_text(WORKS, cells, "Try")


def test_all_faults_are_told_at_once() -> None:
    """Two wrong parts give two lines."""
    with pytest.raises(CallError) as error:
        change_text(WORKS, {"stage": "fitout", "turn_days": "x"}, "Try")
    assert len(str(error.value).split("\n")) == 3


@pytest.mark.parametrize("name", ['a "quoted" one', "back\\slash", "é ✓ 'x'", "[plan]", "a]]\x7f"])
def test_a_name_is_only_a_name(name: str) -> None:
    """Signs of TOML in a name make no part of the file."""
    read = tomllib.loads(change_text(WORKS, {"stage": "fitout", "positions": "5"}, name))
    assert read["name"] == name
    assert set(read) == {"name", "stages"}


def test_a_pasted_change_file_leaves_its_name(tmp_path: Path) -> None:
    """The form's name holds; comments and tables of what is pasted stay."""
    pasted = '# of last week\nname = "Old"\n\n[[stages]]\nstage_id = "fitout"\npositions = 4\n'
    assert change(tmp_path, more=pasted).name == "Try"
