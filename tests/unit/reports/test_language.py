"""Finished English texts said in another language, in plain texts and in pages."""

from html import escape, unescape
from time import perf_counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacewright.reports.words.html_text import page_in
from pacewright.reports.words.language import Language
from pseudo_language import pseudo_language

TEXTS = {
    "{count} pieces wait at {stage}": "An {stage} warten {count} Teile",
    "late": "spät",
    "vehicles": "Fahrzeuge",
    "Paint": "Farbe",
    "depot": "Depot",
    "Ready. Nothing waits.": "Bereit. Nichts wartet.",
    "Look at {what} first.": "Zuerst {what} ansehen.",
    "trade id": "Gewerk",
    "able {able} a week": "{able} je Woche möglich",
    "blank: not known": "leer: unbekannt",
    "running hours; blank: not known": "Betriebsstunden; leer: unbekannt",
    "hours": "Stunden",
    "Nov": "Nov.",
    "{name} of {total}": "{name} von {total}",
}


def language(*own: str) -> Language:
    """A small language."""
    return Language("de", TEXTS, frozenset(own))


@pytest.mark.parametrize(
    ("english", "said"),
    [
        ("late", "spät"),
        ("Late.", "Spät."),
        ("  late ", "  spät "),
        ("12 pieces wait at paint", "An paint warten 12 Teile"),
        ("12 pieces wait at Paint", "An Farbe warten 12 Teile"),
        ("1,204 vehicles", "1,204 Fahrzeuge"),
        ("9 Nov 2026", "9 Nov. 2026"),
        ("Able 12 a week.", "12 je Woche möglich."),
        ("able 12 a week", "12 je Woche möglich"),
        ("Ready. Nothing waits. Look at 7 first.", "Bereit. Nichts wartet. Zuerst 7 ansehen."),
        ("running hours; blank: not known [hours]", "Betriebsstunden; leer: unbekannt [Stunden]"),
        ("trade id painter", "Gewerk painter"),
        ("Smith of Leeds", "Smith of Leeds"),
        ("3 of 12", "3 von 12"),
        ("not in the language", "not in the language"),
        ("4711", "4711"),
        ("", ""),
    ],
)  # fmt: skip
def test_texts_are_found_whole_by_phrase_and_in_pieces(english: str, said: str) -> None:
    """The whole first, then the phrase that fits best, then pieces; the unknown stays."""
    assert language("painter").said(english) == said


def test_names_of_the_works_are_no_words() -> None:
    """A shop named as a text of the program keeps its name, alone and inside other texts."""
    own = language("Paint", "Paint, late and depot shop")
    assert own.said("Paint") == "Paint"
    assert own.said("Paint, late and depot shop") == "Paint, late and depot shop"
    assert own.said("12 pieces wait at Paint, late and depot shop") == (
        "An Paint, late and depot shop warten 12 Teile"
    )
    assert own.said("Paint, late and depot shop: late") == "Paint, late and depot shop: spät"
    assert language().said("Paint") == "Farbe"


@given(st.text(max_size=40), st.text("0123456789.,-", min_size=1, max_size=8))
def test_values_pass_as_they_are(stage: str, count: str) -> None:
    """Whatever stands in the places of a phrase comes out of it, never as something else."""
    text = f"{count} pieces wait at {stage}"
    known = Language("de", {"{count} pieces wait at {stage}": "{stage}|{count}"})
    if stage and stage.strip() == stage and not any(mark in stage for mark in ".!?;:"):
        assert known.said(text) == f"{stage}|{count}"


@given(st.text(max_size=60))
def test_the_same_in_english_changes_nothing(text: str) -> None:
    """A language in which every text is itself gives back every text, byte for byte."""
    same = Language("en", {one: one for one in TEXTS})
    assert same.said(text) == text
    page = f'<p title="{escape(text)}">{escape(text)}</p>'
    assert page_in(same, page) == page


@given(st.lists(st.sampled_from([*TEXTS, ". ", "; ", ": ", ", ", " (", ")", "\n", "x", "7"])))
def test_texts_put_together_stay_what_they_are(parts: list[str]) -> None:
    """Texts joined in any way give themselves back in a language that is English."""
    text = "".join(parts)
    assert Language("en", {one: one for one in TEXTS}).said(text) == text


PAGE = (
    '<!doctype html><html lang="en"><head><title>late</title><script>const late = "late";</script>'
    '</head><body><b translate="no">late</b><p title=\'late\' class="late">late</p>'
    '<input name="late" value="late" placeholder="late"><code>late</code>'
    '<option>late</option><option value="late">late</option><td>late<td>12 pieces wait at x'
    "<!-- late --><div data-say='{&#34;late&#34;: &#34;late&#34;}'></div></body></html>"
)


def test_only_what_people_read_is_said() -> None:
    """Texts and read attributes change; values, names, code, marked names and bare options stay."""
    said = page_in(language(), PAGE, ["late", "unknown"])
    assert said == (
        "<!doctype html><html lang=\"de\" data-words='{&quot;late&quot;: &quot;spät&quot;}'><head>"
        '<title>spät</title><script>const late = "late";</script>'
        '</head><body><b translate="no">late</b><p title=\'late\' class="late">spät</p>'
        '<input name="late" value="late" placeholder="spät"><code>late</code>'
        '<option>late</option><option value="late">spät</option><td>spät<td>An x warten 12 Teile'
        "<!-- late --><div data-say='{&quot;late&quot;: &quot;spät&quot;}'></div></body></html>"
    )


@given(st.text(max_size=30))
def test_nothing_becomes_markup(evil: str) -> None:
    """Neither a value nor a translation can bring in a tag: both are escaped once more."""
    known = Language("de", {"{count} pieces wait at {stage}": '<b title="{count}">{stage}</b>'})
    page = f"<p>{escape(f'1 pieces wait at {evil}<script>')}</p>"
    inner = page_in(known, page).removeprefix("<p>").removesuffix("</p>")
    assert "<" not in inner
    if evil.isalnum():
        assert unescape(inner) == f'<b title="1">{evil}<script></b>'


def test_a_language_from_right_to_left_says_so() -> None:
    """The direction stands on the page's first element."""
    assert page_in(Language("he", {}), '<html lang="en">') == '<html lang="he" dir="rtl">'


def test_json_keeps_its_keys() -> None:
    """Values are said, keys and figures stay."""
    assert language().data({"late": ["late", 3, None, {"late": "late"}]}) == {
        "late": ["spät", 3, None, {"late": "spät"}]
    }


def test_a_long_odd_text_costs_little() -> None:
    """A text made to fit many phrases badly is answered at once."""
    import time

    texts = ["{a} and {b} and {c} and {d} and {e} end", "{a}, {b}, {c}, {d} and {e}, last"]
    start = time.perf_counter()
    pseudo_language(texts).said("and, " * 4000)
    assert time.perf_counter() - start < 2


def test_a_text_of_no_end_stays_as_it_is() -> None:
    """An address of tens of thousands of signs is told on the page of a fault: at once."""
    began = perf_counter()
    endless = "late vehicles " * 4_000
    assert language().said(endless) == endless
    assert perf_counter() - began < 0.5
