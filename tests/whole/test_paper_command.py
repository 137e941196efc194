"""`pacewright paper`, from files and a record to the PDF."""

import json
import shutil
from pathlib import Path

import pytest
from typer.testing import CliRunner

from pacewright.cli.app import app
from pacewright.ledger.entry import Entry, Outcome
from pacewright.ledger.store import Ledger
from pacewright.reports.papers.catalogue import SORTS
from paper_ground import text_of, told
from small_works import write_small

RUNNER = CliRunner()
NEEDED = {
    "vehicle-card": "vehicle=102",
    "inspection-form": "vehicle=102",
    "kit-list": "vehicle=101",
}


@pytest.fixture(scope="module")
def works(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small works with its record."""
    folder = write_small(tmp_path_factory.mktemp("works"))
    with Ledger.open(folder / "record.sqlite") as record:
        entries = [Entry(f"e-{place}", event, "clerk 1") for place, event in enumerate(told().told)]
        answers = record.append(entries)
    assert {one.outcome for one in answers} == {Outcome.KEPT}, answers
    return folder


def call(*words: object) -> tuple[int, str]:
    """Exit code and all that was said."""
    done = RUNNER.invoke(app, ["paper", *map(str, words)])
    return done.exit_code, done.output


@pytest.mark.parametrize("sort", SORTS)
def test_every_sort_is_printed(works: Path, tmp_path: Path, sort: str) -> None:
    """Each sort of paper comes out as a PDF that names the works and its title."""
    out = tmp_path / "one.pdf"
    code, said = call(works, sort, *filter(None, [NEEDED.get(sort)]), "--out", out)
    assert code == 0, said
    assert said.strip() == f"Paper: {out}"
    text = text_of(out.read_bytes())
    assert "Lindmoor Works" in text
    assert "certify" in text
    if sort != "unit-labels":
        assert SORTS[sort].title.split()[0].lower() in text.lower()


def test_same_call_gives_same_bytes_and_never_writes_over_another(
    works: Path, tmp_path: Path
) -> None:
    """Printed twice it is the same file; a file of other content is left alone."""
    out = tmp_path / "card.pdf"
    assert call(works, "vehicle-card", "vehicle=102", "--out", out)[0] == 0
    first = out.read_bytes()
    assert call(works, "vehicle-card", "vehicle=102", "--out", out)[0] == 0
    assert out.read_bytes() == first
    code, said = call(works, "vehicle-card", "vehicle=101", "--out", out)
    assert code == 2
    assert "not written over" in said
    assert out.read_bytes() == first


def test_the_past_can_be_printed(works: Path, tmp_path: Path) -> None:
    """Asked at an earlier time the paper rests on the events until then."""
    out = tmp_path / "past.pdf"
    code, said = call(works, "vehicle-card", "--at", "2026-03-09T12:00:00", "--out", out)
    assert code == 0, said
    text = text_of(out.read_bytes())
    assert "9 Mar 2026 12:00, works time" in text
    assert "Vehicle 101" in text
    assert "Vehicle 102" not in text


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("nonsense",), "no such sort of paper. Write one of: vehicle-card"),
        (("vehicle-card", "vehicle=999"), "the record does not know it"),
        (("vehicle-card", "colour=red"), "colour was asked"),
        (("vehicle-card", "vehicle"), "written once as NAME=VALUE"),
        (("kit-list", "vehicle=101", "vehicle=102"), "given twice"),
        (("day-sheet", "shop=x"), "no such shop in the works. Write one of: strip"),
        (("depot-letter", "depot=x"), "no such depot"),
        (("inspection-form",), "vehicle is left out. This paper is of one: vehicle number"),
    ],
)
def test_wrong_calls_say_what_is_wanted(
    works: Path, tmp_path: Path, words: tuple[str, ...], why: str
) -> None:
    """A wrong call ends with code 2, says what was found and what to write, and leaves no file."""
    out = tmp_path / "none.pdf"
    code, said = call(works, *words, "--out", out)
    assert code == 2
    assert why in said
    assert not out.exists()


def test_without_a_record_only_the_plan_is_printed(tmp_path: Path) -> None:
    """Letters and charts need no record; cards do, and say so."""
    folder = write_small(tmp_path / "works")
    assert call(folder, "depot-letter", "--out", tmp_path / "letter.pdf")[0] == 0
    code, said = call(folder, "vehicle-card", "--out", tmp_path / "card.pdf")
    assert code == 2
    assert "no record" in said


def test_sorts_are_listed_with_their_picks() -> None:
    """--sorts says what there is; --json the same for machines."""
    code, said = call("--sorts")
    assert code == 0
    for key, sort in SORTS.items():
        assert f"{key}: {sort.about}" in said
    listed = json.loads(call("--sorts", "--json")[1])["sorts"]
    assert [one["sort"] for one in listed] == list(SORTS)
    assert call()[0] == 2


def test_answer_in_json_names_the_file(works: Path, tmp_path: Path) -> None:
    """--json says where the paper is and how large."""
    out = tmp_path / "card.pdf"
    said = json.loads(call(works, "vehicle-card", "vehicle=102", "--out", out, "--json")[1])
    assert said == {
        "status": "done",
        "paper": str(out),
        "bytes": out.stat().st_size,
        "lacking": [],
    }


def test_signs_of_no_font_are_told_before_the_paper(works: Path, tmp_path: Path) -> None:
    """Each text with its signs and what to do, in words and as JSON; the paper is still written."""
    own = tmp_path / "works"
    shutil.copytree(works, own)
    kinds = own / "unit_kinds.csv"
    kinds.write_text(kinds.read_text().replace("Brake valve", "\u4e2d\u6587"))
    code, said = call(own, "unit-labels", "kind=valve", "--out", tmp_path / "one.pdf")
    assert code == 0, said
    first, last = said.strip().split("\n")
    assert "'\u4e2d\u6587" in first
    assert "U+4E2D U+6587" in first
    assert "into the folder fonts beside the tables" in first
    assert last == f"Paper: {tmp_path / 'one.pdf'}"
    code, said = call(own, "unit-labels", "kind=valve", "--out", tmp_path / "one.pdf", "--json")
    assert len(json.loads(said)["lacking"]) == 1


def test_a_broken_font_beside_the_tables_is_told(works: Path, tmp_path: Path) -> None:
    """The message names the file and what to do; nothing is written."""
    own = tmp_path / "works"
    shutil.copytree(works, own)
    (own / "fonts").mkdir()
    (own / "fonts" / "broken.otf").write_bytes(b"x")
    code, said = call(own, "unit-labels", "kind=valve", "--out", tmp_path / "one.pdf")
    assert code == 2
    assert "fonts/broken.otf: it cannot be read as a font" in said
    assert not (tmp_path / "one.pdf").exists()
