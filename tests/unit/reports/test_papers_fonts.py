"""Fonts of the works on papers, and signs that no font holds told before they print as boxes."""

import re
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont
from pypdf import PdfReader

from pacewright.base.faults import CallError
from pacewright.reports.papers.blocks import Column, Facts, Picture, Rows, Said
from pacewright.reports.papers.ground import Ground
from pacewright.reports.papers.press import Card, Paper, Size, pdf, printed
from pacewright.reports.papers.qr import code
from pacewright.reports.papers.signs import lacking_in_works
from pacewright.reports.papers.typefaces import fonts_beside, typefaces
from pacewright.reports.papers.unit_labels import unit_labels
from pacewright.reports.words.language import Language
from paper_ground import MONDAY, text_of, told
from small_works import small_works

GEORGIAN, CHINESE = "შემოწმება", "中文"


def font(path: Path, family: str, signs: str) -> Path:
    """A font file with a square for each sign: our own, made here."""
    pen = TTGlyphPen(None)
    pen.moveTo((100, 0))
    for point in ((100, 700), (600, 700), (600, 0)):
        pen.lineTo(point)
    pen.closePath()
    square = pen.glyph()
    names = [f"uni{ord(one):04X}" for one in sorted(set(signs))]
    build = FontBuilder(1000, isTTF=True)
    build.setupGlyphOrder([".notdef", *names])
    build.setupCharacterMap({int(one[3:], 16): one for one in names})
    build.setupGlyf({one: square for one in (".notdef", *names)})
    build.setupHorizontalMetrics({one: (700, 100) for one in (".notdef", *names)})
    build.setupHorizontalHeader(ascent=800, descent=-200)
    build.setupNameTable({"familyName": family, "styleName": "Regular", "psName": family})
    build.setupOS2(sTypoAscender=800, usWinAscent=800, usWinDescent=200)
    build.setupPost()
    path.parent.mkdir(exist_ok=True)
    build.save(path)
    return path


def paper(*blocks: Any) -> Paper:
    """A paper of one card."""
    card = Card("Card", "1", blocks, code("vehicle:1"), Size.A5)
    return Paper("trial", "trial", "Lindmoor Works", "9 Mar 2026", "no record", (card,))


def names_of_fonts(made: bytes) -> set[str]:
    """Names of the fonts in a PDF."""
    return {one.decode() for one in re.findall(rb"/BaseFont */[A-Z]{6}\+([A-Za-z]+)", made)}


def test_what_the_packages_font_holds_is_no_finding() -> None:
    """Latin, Greek and Cyrillic, marks set apart, joiners and line breaks lack nothing."""
    faces = typefaces(())
    assert faces.lacking("Bremse, é, e\u0301, Ω, Ж, ș, · … \u200b\u200d\ufe0f\n") == ""
    assert faces.lacking(f"{CHINESE} x {CHINESE}") == CHINESE


def test_signs_without_a_font_are_told_with_text_and_remedy_and_on_the_paper() -> None:
    """Card, text, signs, numbers and what to do; the foot of the page says what boxes are."""
    rows = Rows((Column("unit kind"),), [[GEORGIAN], ["Motor"]])
    done = printed(paper(rows, Facts((("Shop", CHINESE),)), Said("plain")))
    assert [one.text for one in done.lacking] == [GEORGIAN, CHINESE]
    said = str(done.lacking[1])
    assert said.startswith(f"Card 1: '{CHINESE}' has signs that no font here holds: {CHINESE}")
    assert "U+4E2D U+6587" in said
    assert "into the folder fonts beside the tables" in said
    text = text_of(done.made)
    assert "Boxes stand for signs that no font here holds: U+10D0" in text
    assert "and 1 more" in text


def test_a_font_of_the_works_is_used_for_what_ours_lacks(tmp_path: Path) -> None:
    """With the font nothing is lacking; ours still sets the rest; the bytes repeat."""
    files = (font(tmp_path / "fonts" / "k.ttf", "Kartuli", GEORGIAN),)
    faces = typefaces(files)
    done = printed(paper(Said(f"Motor {GEORGIAN}")), None, faces)
    assert done.lacking == ()
    assert names_of_fonts(done.made) == {"NotoSans", "Kartuli"}
    assert GEORGIAN in text_of(done.made)
    assert "Boxes stand" not in text_of(done.made)
    assert printed(paper(Said(f"Motor {GEORGIAN}")), None, faces).made == done.made
    assert "k.ttf" in faces.said


def test_a_font_that_adds_nothing_to_a_paper_changes_no_byte(tmp_path: Path) -> None:
    """Papers in Latin letters are the same with and without fonts of the works."""
    one = paper(Said("Motor"))
    faces = typefaces((font(tmp_path / "fonts" / "k.ttf", "Kartuli", GEORGIAN),))
    assert printed(one, None, faces).made == pdf(one)


def test_words_of_drawings_count_and_their_other_text_does_not() -> None:
    """What a drawing writes is looked at; what it only says to screen readers is not printed."""
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 20"><title>中</title>'
        '<text x="2" y="12">ქ &amp; x</text></svg>'
    )
    done = printed(paper(Picture(svg, "a drawing")))
    assert [one.text for one in done.lacking] == ["ქ & x"]


def test_only_font_files_of_the_folder_fonts_are_used_in_order(tmp_path: Path) -> None:
    """Beside the tables, or beside a workbook; licences and folders are left alone."""
    assert fonts_beside(tmp_path) == ()
    made = [font(tmp_path / "fonts" / name, "F", "ა") for name in ("b.ttf", "a.TTF")]
    (tmp_path / "fonts" / "OFL.txt").write_text("licence")
    (tmp_path / "fonts" / "c.ttf").mkdir()
    assert fonts_beside(tmp_path) == tuple(sorted(made))
    assert fonts_beside(tmp_path / "works.xlsx") == tuple(sorted(made))


def test_a_file_that_is_no_font_is_told(tmp_path: Path) -> None:
    """The message names file, rule and remedy."""
    wrong = tmp_path / "fonts" / "broken.ttf"
    wrong.parent.mkdir()
    wrong.write_bytes(b"no font at all")
    with pytest.raises(CallError, match=r"fonts/broken\.ttf: it cannot be read as a font.*Mend it"):
        typefaces(fonts_beside(tmp_path))


def test_a_font_the_setter_cannot_use_is_told(tmp_path: Path) -> None:
    """A font without a PostScript name is read here but not by the setting library: no boxes
    unannounced, but a message that names the file."""
    path = font(tmp_path / "fonts" / "k.ttf", "Kartuli", GEORGIAN)
    with TTFont(path) as one:
        one["name"].removeNames(nameID=6)
        one.save(path)
    with pytest.raises(CallError, match=r"fonts/k\.ttf: the library that sets papers cannot use"):
        printed(paper(Said("Motor")), None, typefaces((path,)))


def test_a_weight_that_lacks_a_sign_counts(tmp_path: Path) -> None:
    """A sign that only one weight of a family has may still print as a box in the other."""
    one = font(tmp_path / "fonts" / "1.ttf", "Two", "აბ")
    two = font(tmp_path / "fonts" / "2.ttf", "Two", "ა")
    assert typefaces((one, two)).lacking("აბ") == "ბ"


def test_tables_are_looked_through_for_the_page_of_papers() -> None:
    """Table, row and column of each name; ids and figures hold no such signs."""

    def change(tables: dict[str, list[dict[str, str]]]) -> None:
        tables["stages"][1]["name"] = f"Stage {CHINESE}"
        tables["unit_kinds"][0]["name"] = "Двигатель"

    works = small_works(change)
    (found,) = lacking_in_works(works, typefaces(()))
    assert found.where == f"stages, {works.stages[1].stage_id}, name"
    assert (found.text, found.signs) == (f"Stage {CHINESE}", CHINESE)


def test_labels_say_it_themselves() -> None:
    """A label has no foot of a page: its own small print says what the boxes are."""

    def change(tables: dict[str, list[dict[str, str]]]) -> None:
        next(row for row in tables["unit_kinds"] if row["unit_kind_id"] == "valve")["name"] = (
            CHINESE
        )

    case = told(small_works(change))
    done = printed(unit_labels(Ground(case.works, case.now, MONDAY), {"kind": "valve"}))
    assert "Boxes stand for signs that no font here holds: U+4E2D U+6587" in text_of(done.made)


def test_long_words_of_joining_scripts_are_not_parted() -> None:
    """A break allowed between Arabic letters would part them; long serials still break."""
    word = "المحركاتالكهربائيةالرئيسية"
    rows = Rows((Column("n"),), [[word], ["B" * 60]])
    done = printed(paper(rows))
    assert [one.text for one in done.lacking] == [word]
    assert "\u200b" not in done.lacking[0].text


def test_a_language_read_from_the_right_turns_the_page() -> None:
    """In Arabic the first column of a table stands on the right; in English on the left."""
    rows = Rows((Column("first"), Column("second")), [["a", "b"]])
    one = paper(rows)
    english, arabic = (
        places_of(printed(one, language).made) for language in (None, Language("ar", {}))
    )
    assert english["first"] < english["second"]
    assert arabic["first"] > arabic["second"]


def places_of(made: bytes) -> dict[str, float]:
    """Words of the first page -> where they begin, from the left."""
    found: dict[str, float] = {}

    def seen(text: str, now: Any, place: Any, *_more: Any) -> None:
        found.setdefault(text.strip(), now[4] + place[4])

    PdfReader(BytesIO(made)).pages[0].extract_text(visitor_text=seen)
    return found
