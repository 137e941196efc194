"""How papers are set: data stays data, pages count by card, codes are whole, bytes repeat."""

import re
from io import BytesIO
from pathlib import Path

import pytest
import segno
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from pacewright.base.faults import CallError
from pacewright.reports.papers import press
from pacewright.reports.papers.blocks import (
    Box,
    Choices,
    Column,
    Facts,
    Heading,
    Lines,
    Rows,
    Said,
    Strong,
)
from pacewright.reports.papers.press import Card, Paper, Size, pdf
from pacewright.reports.papers.qr import QUIET, Code, code, stage_code
from paper_ground import pages, text_of

WILD = '#panic("x") [b] $x^2$ *c* _d_ `e` <f> @g \\h // i /* j */ #{k} ~ "l" - m é ß Ж Ω'


def paper(*cards: Card) -> Paper:
    """A paper of these cards."""
    return Paper("trial", "trial", "Lindmoor Works", "9 Mar 2026", "record up to event 7", cards)


def test_signs_of_the_setting_language_print_as_they_are() -> None:
    """Names with # [ ] $ and the like are text wherever they stand, never markup or code."""
    rows = Rows((Column(WILD), Column("b")), [[WILD, Strong(WILD, WILD)]])
    blocks = (Facts(((WILD, WILD),)), rows, Said(WILD), rows.__class__((), [], WILD))
    said = text_of(paper(Card(WILD, WILD, blocks)))
    plain = " ".join(WILD.split())
    assert said.count(plain) == 10, said


def test_same_paper_gives_same_bytes() -> None:
    """No clock, no font of the machine and no random name gets into the file."""
    one = paper(Card("Card", "1", (Said("twice"),), code("vehicle:1")))
    assert pdf(one) == pdf(one)
    assert b"CreationDate(D:19700101000000Z)" in pdf(one)


def test_only_the_shipped_font_is_used() -> None:
    """Every font named in the file is the one that comes with the package."""
    made = pdf(paper(Card("Card", "1", (Said("some words"),))))
    fonts = set(re.findall(rb"/BaseFont */[A-Z]{6}\+([A-Za-z-]+)", made))
    assert {one.split(b"-")[0] for one in fonts} == {b"NotoSans"}, fonts


def test_pages_count_within_each_card() -> None:
    """A card of two pages says 1 of 2 and 2 of 2, and the next begins at 1 again."""
    long = Rows((Column("n"),), [[f"row {n}"] for n in range(70)])
    found = pages(paper(Card("A", "1", (long,)), Card("B", "2", (Said("short"),))))
    assert [re.findall(r"page \d+ of \d+", one) for one in found] == [
        ["page 1 of 2"],
        ["page 2 of 2"],
        ["page 1 of 1"],
    ]
    assert "n row" in found[1].replace("row 4", "n row 4"), "the head of the table is repeated"


def test_each_card_is_found_in_the_readers_list_of_contents() -> None:
    """Every card is a bookmark by title and subject, its headings below it; the file is tagged."""
    made = pdf(
        paper(Card("Job card", "Body 1", (Heading("Notes"),)), Card("Job card", "Body 2", ()))
    )
    reader = PdfReader(BytesIO(made))
    tops = [one.title for one in reader.outline if not isinstance(one, list)]
    below = [one.title for part in reader.outline if isinstance(part, list) for one in part]
    assert tops == ["Job card Body 1", "Job card Body 2"]
    assert below == ["Notes"]
    assert "/StructTreeRoot" in reader.trailer["/Root"]


def test_every_page_tells_works_basis_and_that_it_certifies_nothing() -> None:
    """Works, day, place in the record and the line that it plans only stand on each page."""
    long = Rows((Column("n"),), [[f"row {n}"] for n in range(70)])
    for one in pages(paper(Card("A", "1", (long,)))):
        assert "9 Mar 2026" in one
        assert "record up to event 7" in one
        assert "does not certify" in one


@pytest.mark.parametrize(
    ("size", "wide_mm", "tall_mm"),
    [(Size.A4, 210, 297), (Size.A4_WIDE, 297, 210), (Size.A5, 148, 210)],
)
def test_sizes_are_those_of_the_standard(size: Size, wide_mm: float, tall_mm: float) -> None:
    """A4 is 210 x 297 mm and A5 148 x 210 mm (ISO 216)."""
    made = pdf(paper(Card("A", "1", (Said("x"),), size=size)))
    found = re.search(rb"/MediaBox *\[0 0 ([\d.]+) ([\d.]+)\]", made)
    assert found
    assert float(found[1]) == pytest.approx(wide_mm / 25.4 * 72, abs=0.01)
    assert float(found[2]) == pytest.approx(tall_mm / 25.4 * 72, abs=0.01)


def test_fixed_choice_is_told_in_words_too() -> None:
    """All verdicts are named, the fixed one among them."""
    rows = Rows((Column("verdict"),), [[Choices(("use", "repair"), "repair")], [Box()]])
    said = text_of(paper(Card("A", "1", (rows, Lines(2)))))
    assert "use" in said
    assert "repair" in said


def modules(one: Code) -> list[list[int]]:
    """The symbol read back from its drawing, without the quiet zone."""
    found = re.search(r'viewBox="0 0 (\d+) \1"', one.svg)
    assert found
    wide = int(found[1])
    dark = [[0] * wide for _ in range(wide)]
    runs = re.findall(r"M(\d+) (\d+)h(\d+)v1h-(\d+)z", one.svg)
    assert "".join(f"M{x} {y}h{n}v1h-{m}z" for x, y, n, m in runs) in one.svg
    for x, y, length, back in runs:
        assert length == back
        for place in range(int(length)):
            dark[int(y)][int(x) + place] = 1
    border = [*dark[:QUIET], *dark[-QUIET:], *([r[:QUIET] + r[-QUIET:] for r in dark])]
    assert not any(any(row) for row in border), "the quiet zone is clear"
    return [row[QUIET:-QUIET] for row in dark[QUIET:-QUIET]]


@pytest.mark.parametrize("says", ["vehicle:1043", "motor:M-7", "stage:strip", f"body:{'x' * 40}"])
def test_drawn_codes_are_those_of_the_library(says: str) -> None:
    """Module for module the drawing is a fresh full-size symbol of the same text (segno)."""
    fresh = segno.make(says, error="m", micro=False)
    assert modules(code(says)) == [list(row) for row in fresh.matrix]
    assert not fresh.is_micro
    assert code(says).says == says


def test_code_of_a_stage_is_what_scanning_expects() -> None:
    """A stage is written as other things are: what it is, colon, its id."""
    assert stage_code("paint").says == "stage:paint"


def test_missing_library_is_told_with_its_remedy(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without typst the message names the extra to install."""
    monkeypatch.setattr(press, "find_spec", lambda name: None)
    with pytest.raises(CallError, match="extra 'papers'"):
        press.pdf(paper(Card("A", "1", (Said("x"),))))


def test_too_many_cards_are_refused_before_they_are_set() -> None:
    """More cards than the memory of a works' server should bear are not begun."""
    with pytest.raises(CallError, match="At most 1,000 are printed at once"):
        press.pdf(paper(*[Card("A", "1", ())] * 1001))


@pytest.mark.parametrize(
    ("program", "why"),
    [
        ("import sys; sys.exit('no room')", "could not be set: no room"),
        ("import time; time.sleep(9)", "took more than 0.5 seconds"),
    ],
)
def test_failure_of_the_setting_is_told(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, program: str, why: str
) -> None:
    """A setting that dies or hangs is told, and the next paper can be set."""
    (tmp_path / "setting.py").write_text(program)
    with monkeypatch.context() as broken:
        broken.setattr(press, "_FOLDER", tmp_path)
        broken.setattr(press, "MOST_SECONDS", 0.5)
        with pytest.raises(CallError, match=why):
            press.pdf(paper(Card("A", "1", (Said("x"),))))
    assert pdf(paper(Card("A", "1", (Said("x"),))))


def test_a_long_serial_may_break_anywhere() -> None:
    """A serial without a place to break stays on its card and reads whole."""
    serial = "X" * 40 + "/" + "Y" * 40
    rows = Rows((Column("a"), Column("b", 8)), [[serial, "next"]])
    made = pdf(paper(Card("A", serial, (rows,), size=Size.A5)))
    assert "".join(text_of(made).split()).count(serial) == 2


@settings(max_examples=4, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.text(max_size=60), min_size=40, max_size=80))
def test_any_text_at_all_can_be_printed(texts: list[str]) -> None:
    """Whatever signs names are made of, a paper comes out and keeps its foot."""
    rows = Rows((Column("a"), Column("b")), [[one, Strong(one, one)] for one in texts])
    blocks = (rows, Facts(tuple((one, one) for one in texts)), Said(" ".join(texts)))
    assert "does not certify" in text_of(paper(Card(texts[0], texts[1], blocks)))
