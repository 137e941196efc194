"""Texts drawn out of the source, and the file of a language made of them and kept."""

import ast
from pathlib import Path

import pytest

from pacewright.base.faults import CallError, WorksFaultyError
from pacewright.files.po import Entry, po_bytes, read_po
from pacewright.office.languages import (
    languages_of,
    merged,
    own_words,
    read_texts,
    write_words,
)
from pacewright.office.texts_drawn import Drawn, drawn_texts, script_texts
from pacewright.office.texts_of_code import texts_of_module
from pacewright.office.texts_of_pages import texts_of_script, texts_of_template
from small_works import small_works

SOURCE = '''
"""Not read: a docstring."""
KEYS = {"look": "shown", "Two words": rows["no key"]}
class Sort(StrEnum):
    GATE = "gate house"
    ONE = "outline"
def f(n, one):
    x = f"{len(n)} piece{'' if len(n) == 1 else 's'} at {one.stage_id}{why}. See {one.stage_id}."
    y = "Joined " + f"with {n}" + other
    figure = Figure("Late", some(n, "vehicle"), "days", "How late.")
    spec = text("shop_id", "where it is"), whole("rows", "how many", "pieces")
    if n == "not this": pass
    q = re.compile(r"\\d no text")
    words(x, y, "said", "tick end")
    html = f"<p class='x y'>In <b>tags {n}</b></p>"
    return "single"
'''


def test_texts_of_code_are_fixed_ones_and_ones_with_places() -> None:
    """Choices in an f-string make a text each; keys, looks, patterns and comparisons are none."""
    found = list(texts_of_module(ast.parse(SOURCE)))
    assert "{n} piece at {stage_id}. See {stage_id_2}." in found
    assert "{n} pieces at {stage_id}. See {stage_id_2}." in found
    assert "Joined with {n}" in found
    shown = {
        "shown", "Two words", "gate house", "outline", "Late", "vehicle", "vehicles", "days",
        "How late.", "shop id", "shop", "where it is", "rows", "how many", "pieces", "said", "In",
        "tags {n}", "single",
    }  # fmt: skip
    assert shown <= set(found)
    assert not {"look", "no key", "not this", "tick end", "x y", "no text"} & set(found)


def test_texts_of_templates_and_scripts() -> None:
    """Values are places, what may be absent ends a text, attributes that are read are texts."""
    source = (
        '<p title="Tip {{ one.name }}" class="no text">Wait {{ rows|length }} of {{ rows }}'
        '{% if x %} more{% endif %}</p>{# Not this. #}{{ n|some("row") }}'
    )
    found = [one for one in texts_of_template(source) if one]
    assert found == ["row", "rows", "Tip {name}", "Wait {rows} of {rows_2}", "more", "{n}"]
    assert list(texts_of_script('a = word("One") + "two"; word("{} rows")')) == ["One", "{} rows"]


def test_the_whole_package_is_drawn_once() -> None:
    """Texts of sheets, forms, papers, drawings, events, faults, templates and scripts are there."""
    drawn = {one.text: one.files for one in drawn_texts()}
    assert len(drawn) > 5000
    for text, file in (
        ("What this is and how it is computed", "web/texts.py"),
        ("Who may do what in this works?", "web/texts.py"),
        ("Sign in", "web/texts.py"),
        ("This is the first start. The account made here is the administrator's: it opens and "
         "closes the others. Planners, inspectors and stores get accounts of their own.",
         "web/texts.py"),
        ("An id has 1 to 40 letters, digits or . _ / - and starts with a letter or digit.",
         "base/columns.py"),
        ("page {x} of {y}", "reports/papers/press.py"),
        ("Search", "reports/templates/report.js"),
    ):  # fmt: skip
        assert file in drawn[text], text
    assert not any(
        name.startswith(("cli/", "invent/")) for names in drawn.values() for name in names
    )
    assert set(script_texts()) <= set(drawn)
    assert all(text == " ".join(text.split()) for text in drawn)


def test_a_changed_text_keeps_what_was_said_marked_to_be_looked_at() -> None:
    """Kept, new, changed a little, gone, and come back."""
    there = [
        Entry("", "Language: de\n"),
        Entry("Sign in", "Anmelden", notes=("short",)),
        Entry("Ten pieces wait here.", "Zehn Teile warten hier."),
        Entry("Never heard of again", "Weg"),
        Entry("Back again", "Wieder da", gone=True),
        Entry("Not said and gone", ""),
    ]
    drawn = [
        Drawn("Sign in", ("a.py",)), Drawn("Ten pieces waited here.", ("b.py",)),
        Drawn("Brand new", ()), Drawn("Back again", ()),
    ]  # fmt: skip
    head, kept, changed, new, back, gone = merged(drawn, there, "de")
    assert head.said == "Language: de\n"
    assert (kept.said, kept.files, kept.notes, kept.unsure) == (
        "Anmelden", ("a.py",), ("short",), False,
    )  # fmt: skip
    assert (changed.said, changed.unsure, changed.was) == (
        "Zehn Teile warten hier.", True, "Ten pieces wait here.",
    )  # fmt: skip
    assert (new.said, back.said, back.gone) == ("", "Wieder da", False)
    assert (gone.text, gone.gone) == ("Never heard of again", True)


def test_the_file_of_a_language_is_made_and_brought_up_to_date(tmp_path: Path) -> None:
    """Made empty, filled in, renewed without loss; unsure texts are not used."""
    made = write_words(tmp_path, "de")
    assert (made.said, made.unsure, made.gone) == (0, 0, 0)
    path = tmp_path / "languages" / "de.po"
    entries = [
        Entry(one.text, "Anmelden") if one.text == "Sign in" else one
        for one in read_po(path.read_bytes(), "de.po")
    ]
    entries += [Entry("No such text", "x"), Entry("Sign inn", "y", unsure=True)]
    path.write_bytes(po_bytes(entries))
    assert read_texts(path) == {"Sign in": "Anmelden", "No such text": "x"}
    again = write_words(tmp_path, "de", dry=True)
    assert (again.texts, again.said, again.gone) == (made.texts, 1, 2)
    before = path.read_bytes()
    write_words(tmp_path, "de")
    after = path.read_bytes()
    assert read_texts(path) == {"Sign in": "Anmelden"} and after != before
    write_words(tmp_path, "de")
    assert path.read_bytes() == after
    assert languages_of(tmp_path) == {"de": path}


def test_wrong_places_are_refused_with_file_and_line(tmp_path: Path) -> None:
    """All of them at once; a place may be moved, not lost and not made up."""
    path = tmp_path / "de.po"
    path.write_bytes(
        po_bytes([Entry("{a} of {b}", "{b} von {a}"), Entry("{a} it", "es"), Entry("it", "{c}")])
    )
    with pytest.raises(WorksFaultyError) as raised:
        read_texts(path)
    assert [(one.file, one.row) for one in raised.value.faults] == [
        ("languages/de.po", 6), ("languages/de.po", 9),
    ]  # fmt: skip
    assert "-a" in str(raised.value) and "+c" in str(raised.value)


@pytest.mark.parametrize("code", ["", "en", "../de", "DE", "d", "german language"])
def test_a_code_that_is_no_language_is_refused(tmp_path: Path, code: str) -> None:
    """Nothing is written outside the folder of languages."""
    with pytest.raises(CallError, match="BCP 47"):
        write_words(tmp_path, code)
    assert not list(tmp_path.iterdir())


def test_names_and_ids_of_a_works_are_its_own() -> None:
    """Names, ids, and the works' own name; notes and choices of a list are not among them."""
    works = small_works()
    own = own_words(works)
    assert works.settings.name in own
    assert {one.stage_id for one in works.stages} <= own
    assert {one.name for one in works.unit_kinds} <= own
