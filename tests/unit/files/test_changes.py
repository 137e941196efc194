"""Change files: what they change, and every fault of them."""

from dataclasses import replace
from pathlib import Path

import pytest

from pacewright.base.columns import columns
from pacewright.base.faults import WorksFaultyError
from pacewright.files.changes import read_change
from pacewright.files.read import read_works
from pacewright.plans.change import Absence, Change, Lost
from pacewright.works import TABLES
from small_works import small_works

ROOT = Path(__file__).parents[3]


def read(tmp_path: Path, text: str) -> Change:
    """The change of this text against the small works."""
    path = tmp_path / "change.toml"
    path.write_text(text, encoding="utf-8")
    return read_change(path, small_works())


def test_a_change_that_names_nothing_leaves_the_works_as_it_is(tmp_path: Path) -> None:
    """The works is equal, nothing differs; without a name the file's own is taken."""
    change = read(tmp_path, "# nothing\n")
    assert change == Change("change", small_works(), ())


def test_only_what_is_named_differs(tmp_path: Path) -> None:
    """One crew, one setting, one float added, one upset taken away: each told in one line."""
    change = read(
        tmp_path,
        'name = "All sorts"\n'
        "[plan]\ninside_limit = 5\nrobbing = true\n"
        '[[people]]\nshop_id = "body"\ntrade_id = "body"\npeople = 7\n'
        '[[trades]]\nadd = true\ntrade_id = "glaze"\nname = "Glazier"\n'
        '[[upsets]]\nupset_id = "crane"\nremove = true\n',
    )
    base = small_works()
    people = tuple(
        replace(one, people=7.0) if (one.shop_id, one.trade_id) == ("body", "body") else one
        for one in base.people
    )
    assert change.works.people == people
    assert change.works.settings.plan == replace(base.settings.plan, inside_limit=5, robbing=True)
    assert [one.trade_id for one in change.works.trades] == [
        *(one.trade_id for one in base.trades),
        "glaze",
    ]
    assert change.works.upsets == ()
    assert change.works.stages == base.stages
    assert change.differs == (
        "plan.inside_limit: blank -> 5",
        "plan.robbing: no -> yes",
        "trades glaze: added",
        "people body body: people 6 -> 7",
        "upsets crane: removed",
    )


def test_every_row_of_every_table_can_be_named(tmp_path: Path) -> None:
    """Naming each row with its own value in one column gives the same works: all kinds of cell."""
    base = small_works()
    lines = []
    for model in TABLES:
        for row in getattr(base, model.TABLE):
            last = columns(model)[-1].name
            cells = {**{key: getattr(row, key) for key in model.KEY}, last: getattr(row, last)}
            lines.append(f"[[{model.TABLE}]]")
            for name, value in cells.items():
                if isinstance(value, tuple):
                    lines.append(f'{name} = "{" ".join(value)}"')
                elif isinstance(value, bool | str) or value is None:
                    lines.append(
                        f'{name} = "{ {True: "yes", False: "no"}.get(value, value or "") }"'
                    )
                else:
                    lines.append(f"{name} = {value}")
    change = read(tmp_path, "\n".join(lines))
    assert change.works == base
    assert change.differs == ()


def test_a_blank_puts_a_cell_back_to_what_it_is_when_left_out(tmp_path: Path) -> None:
    """The shop's own hours go, and it works as the calendar says."""
    change = read(tmp_path, '[[shops]]\nshop_id = "run"\nhours_a_day = ""\n')
    assert [one.hours_a_day for one in change.works.shops if one.shop_id == "run"] == [None]
    assert change.differs == ("shops run: hours_a_day 16 -> blank",)


def test_absence_and_loss_are_read(tmp_path: Path) -> None:
    """Both come as rows and in words."""
    change = read(
        tmp_path,
        "[[absence]]\nfirst = 2026-05-04\nlast = 2026-05-15\nabsent_share = 0.2\n"
        'shop_id = "body"\n'
        '[[lost]]\nstage_id = "body"\nfirst = 2026-06-01\nlast = 2026-06-14\nhow_many = 2\n',
    )
    assert [(one.absent_share, one.shop_id, one.trade_id) for one in change.absences] == [
        (0.2, "body", None)
    ]
    assert [(one.stage_id, one.how_many) for one in change.losses] == [("body", 2)]
    assert change.differs == (
        "absence 2026-05-04 to 2026-05-15: absent_share 0.2, shop_id body",
        "lost 2026-06-01 to 2026-06-14: stage_id body, how_many 2",
    )


ABSENT = "[[absence]]\nfirst = 2026-05-04\nlast = 2026-05-15\nabsent_share = 0.2\n"
LOST = "[[lost]]\nfirst = 2026-05-04\nlast = 2026-05-15\n"


@pytest.mark.parametrize(
    ("text", "where", "said"),
    [
        ("name = ", "", "Correct the line"),
        ("[poeple]\nx = 1", "poeple", "Is 'people' meant?"),
        ("name = 7", "name", "1 to 120 characters"),
        ("[plan]\nhorizon_weeks = 9", "plan.horizon_weeks", "cover the same weeks"),
        ("[plan]\ninside_limt = 9", "plan.inside_limt", "Is 'inside_limit' meant?"),
        ("[plan]\ninside_limit = -2", "plan.inside_limit", "'-2'"),
        ("plan = 3", "plan", "is no part"),
        ("[people]\nx = 1", "people", "is no list of rows"),
        ('[[people]]\nshop_id = "body"\npeople = 3', "people.1.trade_id", "is missing"),
        ('[[stages]]\nstage_id = "bodi"\ncrew = 3', "stages.1", "Is 'body' meant?"),
        ('[[stages]]\nstage_id = "body"\ncrw = 3', "stages.1.crw", "Is 'crew' meant?"),
        ('[[stages]]\nstage_id = "body"\ncrew = "x"', "stages.1.crew", "'x'"),
        ('[[stages]]\nstage_id = "body"', "stages.1", "has no other column"),
        ('[[stages]]\nstage_id = "body"\nadd = true', "stages.1", "is there already"),
        ('[[stages]]\nstage_id = "body"\nremove = true\ncrew = 2', "stages.1", "removed and"),
        ('[[stages]]\nstage_id = "body"\nremove = 3', "stages.1.remove", "true or false"),
        ('[[trades]]\nadd = true\ntrade_id = "new"', "trades.1.name", "is blank"),
        ('[[trades]]\nremove = true\ntrade_id = "paint"', "people paint paint.trade_id", "'paint'"),
        ('[[people]]\nshop_id="body"\ntrade_id="body"\npeople=0', "operations bd-1", "body"),
        (2 * '[[stages]]\nstage_id = "body"\ncrew = 3\n', "stages.2", "stands in stages.1 too"),
        ('[[stages]]\nstage_id="body"\nfollows="marry"', "stages", ""),
        ("absence = 3", "absence", "is no list"),
        (ABSENT.replace("0.2", "2"), "absence.1.absent_share", "'2'"),
        (ABSENT + 'shop_id = "pain"', "absence.1.shop_id", "Is 'paint' meant?"),
        (ABSENT + 'shop = "paint"', "absence.1.shop", "Is 'shop_id' meant?"),
        (ABSENT.replace("2026-05-15", "2026-04-15"), "absence.1.last", "is before"),
        (LOST, "lost.1", "both or neither"),
        (LOST + 'stage_id = "body"\nhow_many = 3', "lost.1.how_many", "3 of the 2 of body"),
        (LOST + 'unit_kind_id = "axle"', "lost.1.how_many", "1 of the 0 of axle"),
        (LOST.replace("2026", "2025") + 'stage_id = "body"', "lost.1.last", "plan's start"),
    ],
)
def test_every_fault_is_told(tmp_path: Path, text: str, where: str, said: str) -> None:
    """Where in the file, what was found, the rule and the remedy."""
    with pytest.raises(WorksFaultyError) as raised:
        read(tmp_path, text)
    told = [str(one) for one in raised.value.faults if one.column.startswith(where)]
    assert told, raised.value
    assert any(said in one for one in told), told
    assert all(one.file == "change.toml" and one.rule and one.remedy for one in raised.value.faults)


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    """A wrong setting, a wrong row and a wrong loss in one file give three faults."""
    with pytest.raises(WorksFaultyError) as raised:
        read(
            tmp_path,
            '[plan]\ninside_limit = -2\n[[stages]]\nstage_id = "body"\ncrew = "x"\n' + LOST,
        )
    assert [one.column for one in raised.value.faults] == [
        "lost.1",
        "plan.inside_limit",
        "stages.1.crew",
    ]


@pytest.mark.parametrize("path", sorted((ROOT / "examples" / "changes").glob("*.toml")))
def test_the_examples_are_sound(path: Path) -> None:
    """Every example change fits the trolleybus works and makes a difference."""
    works = read_works(ROOT / "examples" / "trolleybus")
    assert read_change(path, works).differs


def test_the_page_names_every_column_of_what_befalls_a_works() -> None:
    """docs/change-files.md speaks of each column of [[absence]] and [[lost]]."""
    page = (ROOT / "docs" / "change-files.md").read_text()
    for model in (Absence, Lost):
        for column in columns(model):
            assert f"`{column.name}`" in page
