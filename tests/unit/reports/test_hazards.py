"""What the tables declare to be dangerous is what is printed; names count only where none is."""

from pathlib import Path
from typing import Any

import pytest

from pacewright.base.faults import WorksFaultyError
from pacewright.base.hazards import MEANINGS, Hazard
from pacewright.office.folder import open_works
from pacewright.reports.hazards import (
    LINES,
    NONE_DECLARED,
    declares_hazards,
    hazards_at,
    page_cautions,
)
from pacewright.reports.papers.caution import GENERAL, WAITING, caution_for, caution_moving
from pacewright.works import Works
from small_works import small_works, write_small

Tables = dict[str, list[dict[str, Any]]]


def declared(**cells: str) -> Works:
    """The small works with hazards in some rows, by id."""

    def fill(tables: Tables) -> None:
        for table, key in (
            ("stages", "stage_id"),
            ("unit_kinds", "unit_kind_id"),
            ("operations", "operation_id"),
        ):
            for row in tables[table]:
                row["hazards"] = cells.get(str(row[key]).replace("-", "_"), "")

    return small_works(fill)


def in_german(tables: Tables) -> None:
    """Names in German: no English word tells anything of brakes, springs or voltage."""
    for row in tables["stages"]:
        row["name"] = "Lackierkabine" if row["stage_id"] == "bpaint" else "Arbeitsstand"
    for row in tables["unit_kinds"]:
        row["name"] = "Fahrantrieb" if row["unit_kind_id"] == "axle" else "Bremsventil"
    for row in tables["operations"]:
        row["name"] = "Arbeit nach Buch"


def test_every_hazard_has_meaning_sign_and_line() -> None:
    """No word of the list is left without what it means, a sign of ISO 7010 and a line."""
    assert set(MEANINGS) == set(LINES) == set(Hazard)
    for meaning, sign in MEANINGS.values():
        assert meaning
        assert sign[0] == "W"
        assert sign[1:].isdigit()
        assert len(sign) == 4
    for hazard, sign in ISO_7010.items():
        assert MEANINGS[hazard][1] == sign, hazard


ISO_7010 = {
    Hazard.HIGH_VOLTAGE: "W012",  # electricity
    Hazard.LIFTING: "W015",  # overhead load
    Hazard.PRESSURE: "W029",  # pressurized cylinder
    Hazard.BATTERIES: "W026",  # battery charging
    Hazard.OVEN: "W017",  # hot surface
    Hazard.PAINT: "W016",  # toxic material
    Hazard.FIRE: "W021",  # flammable material
    Hazard.HOT_WORK: "W027",  # optical radiation
    Hazard.CHEMICALS: "W023",  # corrosive substance
    Hazard.CONFINED: "W041",  # asphyxiating atmosphere
    Hazard.HEIGHT: "W008",  # drop (fall)
    Hazard.MACHINES: "W025",  # counterrotating rollers
}
"""Signs whose referent ISO 7010 names (from memory)."""


def test_hazards_of_stage_kind_and_operation_count_together() -> None:
    """A card on one operation tells those of its stage too, once each and in the list's order."""
    works = declared(bpaint="paint fire", pt_1="dust paint")
    at = {one.operation_id: one for one in works.operations}
    assert hazards_at(works, (), [at["pt-1"]]) == (Hazard.PAINT, Hazard.FIRE, Hazard.DUST)
    assert hazards_at(works, ["bpaint"]) == (Hazard.PAINT, Hazard.FIRE)
    assert hazards_at(works, ["fitout"]) == ()


def test_only_what_is_declared_counts_once_anything_is() -> None:
    """A name full of English words brings no line when another row declares a hazard."""
    works = declared(motor="high_voltage")
    lines = caution_for(works, ["fitout"], [], ["Brake weld paint"]).lines
    assert lines == (GENERAL,)
    assert NONE_DECLARED not in lines


def test_where_nothing_is_declared_names_are_looked_at_and_the_paper_says_so() -> None:
    """The fallback is told on the paper, whatever it found."""
    works = small_works()
    assert not declares_hazards(works)
    assert caution_for(works, [], [], ["Seats"]).lines == (GENERAL, NONE_DECLARED)
    lines = caution_for(works, [], [], ["Brake"]).lines
    assert lines == (GENERAL, LINES[Hazard.BRAKES], NONE_DECLARED)


@pytest.mark.parametrize("declares", [False, True])
def test_works_in_another_language(declares: bool) -> None:
    """German names bring no line by words; declared, every line is there."""

    def told(tables: Tables) -> None:
        in_german(tables)
        if declares:
            for row in tables["unit_kinds"]:
                row["hazards"] = {"axle": "high_voltage lifting", "valve": "brakes"}.get(
                    str(row["unit_kind_id"]), ""
                )

    works = small_works(told)
    lines = caution_for(works, ["axle", "valve"], []).lines
    if declares:
        assert lines == (
            GENERAL,
            LINES[Hazard.HIGH_VOLTAGE],
            LINES[Hazard.LIFTING],
            LINES[Hazard.BRAKES],
        )
    else:
        assert lines == (GENERAL, NONE_DECLARED)


def test_other_columns_count_beside_what_is_declared() -> None:
    """Plant and long waits are columns of their own: they are told whatever hazards say."""
    works = declared(motor="springs")
    lines = caution_for(works, ["bpaint"], []).lines
    assert LINES[Hazard.OVEN] in lines
    assert WAITING in lines


def test_docket_of_a_unit_tells_its_kind() -> None:
    """Whoever carries a motor reads of its springs; a body has only the lifting line."""
    works = declared(motor="springs")
    assert LINES[Hazard.SPRINGS] in caution_moving(works, "motor").lines
    assert caution_moving(works, "body").lines == (GENERAL, LINES[Hazard.LIFTING])


def test_pages_name_what_is_declared_and_that_nothing_is() -> None:
    """One sentence; where nothing is declared at all it says that this means nothing."""
    (said,) = page_cautions(declared(motor="springs high_voltage"), ["motor"])
    assert said.startswith("Hazards declared here: high voltage, springs.")
    assert page_cautions(declared(motor="springs"), ["valve"]) == ()
    (none,) = page_cautions(small_works(), ["motor"])
    assert "does not mean that work is safe" in none


@pytest.mark.parametrize("wrong", ["Brakes", "brakes, springs", "danger"])
def test_a_word_outside_the_list_is_a_fault(tmp_path: Path, wrong: str) -> None:
    """The fault names file, row and column, and the whole list."""
    folder = write_small(tmp_path, lambda tables: tables["unit_kinds"][0].update(hazards=wrong))
    with pytest.raises(WorksFaultyError) as caught:
        open_works(folder)
    found = [str(one) for one in caught.value.faults]
    assert found
    assert all("unit_kinds.csv row 2, hazards:" in one for one in found), found
    assert all("high_voltage, lifting" in one for one in found)
