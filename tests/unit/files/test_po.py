"""PO files: read back as written, and read the same by a library of others."""

from io import BytesIO

import pytest
from babel.messages.pofile import read_po as babel_reads
from hypothesis import given
from hypothesis import strategies as st

from pacewright.base.faults import WorksFaultyError
from pacewright.files.po import HEAD, Entry, po_bytes, read_po

TEXT = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cs", "Cc", "Zl", "Zp")), max_size=30
)
HEADED = Entry("", HEAD.format("de"))


@given(st.dictionaries(TEXT.filter(bool), TEXT, max_size=6), st.booleans())
def test_what_is_written_is_read_by_us_and_by_babel(texts: dict[str, str], unsure: bool) -> None:
    """Quotes, backslashes, brackets and any script come back; Babel reads the same file so."""
    entries = [Entry(text, said, ("web/a.py",), unsure=unsure) for text, said in texts.items()]
    made = po_bytes([HEADED, *entries])
    assert {one.text: one.said for one in read_po(made, "x.po") if one.text} == texts
    other = babel_reads(BytesIO(made))
    assert {one.id: one.string for one in other if one.id} == texts
    assert all(one.fuzzy == unsure for one in other if one.id)


def test_babel_finds_no_fault_with_named_places() -> None:
    """Texts with named places bear the flag other tools check them by."""
    made = po_bytes([HEADED, Entry("{count} at {stage}", "bei {stage}: {count}")])
    (one,) = [one for one in babel_reads(BytesIO(made)) if one.id]
    assert "python-brace-format" in one.flags
    assert b"#, python-brace-format" in made


FROM_THE_MANUAL = b"""\
# SOME DESCRIPTIVE TITLE.
msgid ""
msgstr ""
"Content-Type: text/plain; charset=UTF-8\\n"
"Language: de\\n"

#  translator-comments
#. extracted-comments
#: src/msgcmp.c:338 src/po-lex.c:699
#, fuzzy, c-format
#| msgid "previous-untranslated-string"
msgid "untranslated-string"
msgstr "translated-string"
msgid ""
"Here is an example of how one might continue a very long string\\n"
"for the common case"
msgstr "lang"

#~ msgid "gone \\"text\\""
#~ msgstr "weg"
"""
"""Made of the pieces the GNU gettext manual shows in "The Format of PO Files" (from memory)."""


def test_the_form_of_the_manual_is_read() -> None:
    """Remarks, flags, earlier texts, texts over several lines and texts no longer used."""
    head, first, second, gone = read_po(FROM_THE_MANUAL, "x.po")
    assert head.said == "Content-Type: text/plain; charset=UTF-8\nLanguage: de\n"
    assert first == Entry(
        "untranslated-string", "translated-string", ("src/msgcmp.c:338", "src/po-lex.c:699"),
        ("translator-comments",), True, "previous-untranslated-string", False, 12,
    )  # fmt: skip
    assert second.text.startswith("Here is an example") and "\nfor the" in second.text
    assert (gone.text, gone.said, gone.gone) == ('gone "text"', "weg", True)
    assert read_po(po_bytes([head, first, second, gone]), "y.po")[3].gone


@pytest.mark.parametrize(
    ("content", "row", "says"),
    [
        (b'msgid "a"\nmsgstr "b"\n\nmsgid "a"\nmsgstr "c"\n', 4, "stands in line 1 as well"),
        (b'msgid "a"\nmsgstr b\n', 2, "is no line of a PO file"),
        (b'msgid "a"\nmsgid_plural "as"\nmsgstr[0] "b"\n', 2, "is no line of a PO file"),
        (b'\n"a"\n', 2, "is no line of a PO file"),
        (b'msgid "a"\nmsgstr "\xff"\n', 2, "no UTF-8"),
    ],
)
def test_faults_are_told_with_their_line(content: bytes, row: int, says: str) -> None:
    """Every fault names file, line, what was found, the rule and the remedy."""
    with pytest.raises(WorksFaultyError) as raised:
        read_po(content, "languages/de.po")
    (fault,) = raised.value.faults
    assert (fault.file, fault.row) == ("languages/de.po", row)
    assert says in str(fault) and fault.rule and fault.remedy


@pytest.mark.parametrize("odd", ["\u2028", "\u0085", "\x0b", "\x1c"])
def test_signs_that_part_lines_elsewhere_stay_within_a_text(odd: str) -> None:
    """What is written is read again, whatever a translator's editor put in."""
    entry = Entry("a", f"b{odd}c", row=1)
    assert read_po(po_bytes([entry]), "languages/de.po") == (entry,)
