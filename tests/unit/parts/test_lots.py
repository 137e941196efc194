"""Lots that fill too slowly, or never, are told with where, what, rule and remedy."""

from dataclasses import replace

import pytest

from pacewright.office.planning import make_plan
from pacewright.parts.lots import lot_notes
from pacewright.parts.tables import UnitKind
from pacewright.simulate.compile_flow import compile_flow
from small_works import Tables, small_works


def kind(lot_size: int = 1, purchase_lot: int = 1, scrap_share: float = 0.0) -> UnitKind:
    """A kind of the small works with these lots."""
    return replace(
        small_works().unit_kinds[0],
        lot_size=lot_size,
        purchase_lot=purchase_lot,
        scrap_share=scrap_share,
    )


@pytest.mark.parametrize(
    ("one", "units_a_day", "said"),
    [
        (kind(1), 0.001, []),
        (kind(10), 0.2, []),
        (kind(10), 0.1, ["0.1 come off a working day, so a lot takes 100 working days to fill"]),
        (kind(10), 0.01, ["does not fill in the 500 working days planned (it takes 1000)"]),
        (kind(10), 0.0, []),
        (kind(1, 5, 0.02), 1.0, []),
        (
            kind(1, 5, 0.02),
            0.6,
            ["0.012 are scrapped a working day, so a lot takes 417 working days to fill"],
        ),
        (kind(1, 5, 0.0), 0.6, []),
    ],
)
def test_by_hand(one: UnitKind, units_a_day: float, said: list[str]) -> None:
    """A lot of Q at r a day fills in Q / r; a quarter of a year is long, a year for purchases."""
    notes = list(lot_notes(one, units_a_day, 500))
    assert len(notes) == len(said)
    for note, words in zip(notes, said, strict=True):
        assert words in note
        assert note.startswith(f"unit_kinds.csv, {one.unit_kind_id}: ")
        assert "Give a smaller" in note


def test_plan_and_simulation_both_warn() -> None:
    """A lot of fifty at a vehicle a week: both name the kind, and at the same rate of removal."""

    def change(tables: Tables) -> None:
        tables["unit_kinds"][0]["lot_size"] = "50"

    works = small_works(change)
    plan = make_plan(works)
    name = works.unit_kinds[0].unit_kind_id
    [told] = [one for one in plan.floats.notes if f"{name}: lot_size 50" in one]
    table = compile_flow(works, plan.programme)
    assert told in table.notes
    assert not [one for one in compile_flow(small_works(), plan.programme).notes if "lot_" in one]
