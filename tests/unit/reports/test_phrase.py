"""Texts with places: found in what is shown, and said anew."""

from string import Formatter

from hypothesis import given
from hypothesis import strategies as st

from pacewright.reports.words.phrase import Phrase, wrong_places

FIXED = st.text("abc ,.:", min_size=1, max_size=6)
VALUE = st.text("xyz0189-<>&\"'{}", max_size=8)


@given(st.lists(FIXED, min_size=2, max_size=5), st.data())
def test_places_give_back_what_was_put_in(fixed: list[str], data: st.DataObject) -> None:
    """Values that share no letter with the fixed parts come back exactly, as from an f-string."""
    names = [f"p{at}" for at in range(len(fixed) - 1)]
    values = [data.draw(VALUE) for _ in names]
    text = fixed[0] + "".join(
        f"{{{name}}}{part}" for name, part in zip(names, fixed[1:], strict=True)
    )
    # Formatter is Python's own filling of such texts: the outside to compare with.
    said = Formatter().vformat(text, (), dict(zip(names, values, strict=True)))
    assert Phrase(text).values(said) == tuple(values)
    assert Phrase(text).filled(names, values) == said


@given(st.text("ab c", max_size=12), st.lists(st.text("ab c", max_size=4), max_size=4))
def test_a_reading_is_found_whenever_there_is_one(said: str, fixed: list[str]) -> None:
    """Whether a phrase fits is what a search with backtracking says, and its reading is one."""
    import re

    text = "{p}".join(["", *fixed, ""]) if fixed else "{p}"
    pattern = "(.*)".join(re.escape(part) for part in Phrase(text).fixed)
    values = Phrase(text).values(said)
    assert (values is not None) == (re.fullmatch(pattern, said) is not None)
    if values is not None:
        assert Phrase(text).filled(Phrase(text).places, values) == said


def test_places_may_change_their_order() -> None:
    """The stage may come before the count; a place without a name keeps its turn."""
    english = Phrase("{count} pieces wait at {stage}")
    values = english.values("12 pieces wait at paint")
    assert values is not None
    assert Phrase("An {stage} warten {count}").filled(english.places, values) == (
        "An paint warten 12"
    )
    turned = Phrase("{} would be booked, {} are known")
    assert turned.filled(("", ""), ("3", "4")) == "3 would be booked, 4 are known"


def test_anchors_are_whole_words_of_the_phrase() -> None:
    """A word that touches a place may be longer in the text and is no anchor."""
    assert Phrase("{count} pieces late{more} now").anchors == ("pieces", "now")


def test_wrong_places_are_named() -> None:
    """Missing and foreign places are told apart, and one place twice is one too many."""
    assert wrong_places("{count} at {stage}", "bei {stage}: {count}") == ()
    assert wrong_places("{count} at {stage}", "bei {shop}") == ("+shop", "-count", "-stage")
    assert wrong_places("{count}", "{count} {count}") == ("+count",)
