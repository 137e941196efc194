"""The chapter on the works run through: sound, escaped, honest about what it does not know."""

import re
from collections import Counter
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser
from itertools import pairwise
from math import inf, nan
from xml.etree import ElementTree

import pytest

from made_forecast import RUNS, made_forecast
from made_plan import made_plan
from pacewright.plans.forecast import Forecast
from pacewright.reports.page import report_page

EVIL = "<script>alert('x')</script>\"&<blink>"


def page_of(forecast: Forecast) -> str:
    """The page of the invented plan with a forecast."""
    plan, works, _ = made_forecast()
    return report_page(plan, works, forecast)


@cache
def page() -> str:
    """The page of the invented forecast."""
    return page_of(made_forecast()[2])


def chapter(content: str) -> str:
    """The chapter alone."""
    (found,) = re.findall(r'<section id="run".*?</section>', content, re.S)
    return found


class Elements(HTMLParser):
    """Every element with its attributes, and all text."""

    def __init__(self, content: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(content)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.text += data + " "


@cache
def shown() -> str:
    """The words of the chapter, white space made plain."""
    return " ".join(Elements(chapter(page())).text.split())


def test_without_a_forecast_the_page_is_as_before() -> None:
    """No chapter, no entry, no style, no word of it."""
    content = report_page(*made_plan())
    for trace in ('id="run"', "#run", "flowline", "run through", "vehicle-days</dt>"):
        assert trace not in content


def test_page_is_the_same_each_time() -> None:
    """The same forecast gives the same page."""
    assert page() == page_of(made_forecast()[2])


def test_answer_stands_first() -> None:
    """Output against pace, turn time, promise and the three greatest hold-ups open the chapter."""
    start = shown()[:1500]
    for said in (
        f"run through {RUNS} times",
        "10.31 ± 0.10 vehicles a full week come out at a pace of 11.0",
        "each takes 23.6 ± 0.3 working days",
        "26 % ± 2 keep their promise",
        "people (Body maker, Body shop: 1,210)",
        "assembly (Chassis (two-axle): 640)",
        "part (Auxiliary converter: 412)",
    ):
        assert said in start, said
    assert "Air compressor" not in start
    head = Elements(page().split('<section id="decisions"')[0]).text
    assert "vehicles a full week come out" in " ".join(head.split())


def test_every_part_of_the_chapter_is_there_with_its_help() -> None:
    """Each part has a heading or a caption, words on how to read it, and its table behind it."""
    for said in (
        "Output by week.", "Turn time and promise", "What vehicles stand for", "Flow of the works.",
        "Use of shops, stages and crews", "Floats as they came out", "What piles up",
        "Plan beside run through", "How sure this is",
    ):  # fmt: skip
        assert said in shown(), said
    names = re.findall(r'data-name="(run_\w+)"', page())
    assert {
        "run_weeks",
        "run_turns",
        "run_turn_days",
        "run_hold_ups",
        "run_queues",
        "run_floats",
        "run_piles",
        "run_beside",
        "run_shops",
        "run_fullest",
        "run_stage_use",
        "run_crew_use",
    } <= set(names)
    assert max(Counter(names).values()) == 1  # fmt: skip


def test_how_sure_is_said_whole() -> None:
    """Runs, seed, start, what is left out, what counts, and the precision reached and asked."""
    for said in (
        "60: the precision asked for was reached", "7: the same seed", "40 working days at the",
        "28 Dec 2026 to", "96 weeks", "95 % sure", "0.9 %, 1.0 % asked for", "compiled kernel",
        "Vehicles are called in evenly at the pace.",
    ):  # fmt: skip
        assert said in shown(), said


def test_every_cause_and_verdict_is_a_word() -> None:
    """No cause by shape alone; where figures differ, the word and the reason stand there."""
    cells = re.findall(r'<t[dh][^>]*class="causecell">(.*?)</t[dh]>', page(), re.S)
    assert len(cells) >= 7 + 12
    for cell in cells:
        assert re.search(r"</svg> (gate|position|part|assembly|batch|people|inspection)$", cell)
    rows = re.findall(r'class="word">(\w+)</td><td class="whycell">(.*?)</td>', page())
    assert [word for word, _ in rows] == ["differs"] * 3 + ["agrees"]
    assert all(bool(why) == (word == "differs") for word, why in rows)
    for row in (one.split("</table>")[0] for one in chapter(page()).split("<tr>")):
        for look, word in (("here short", "worse"), ("inuse short", "full")):
            if f'class="{look}"' in row and "<td" in row:
                assert f"<td>{word}" in row


def test_ids_headings_and_drawings_are_sound() -> None:
    """Ids are single, headings step by one, each drawing parses and says what it shows."""
    found = Elements(page()).found
    ids = Counter(one["id"] for _, one in found if "id" in one)
    assert max(ids.values()) == 1
    for _, one in found:
        for target in (one.get("aria-labelledby") or "").split():
            assert target in ids
        if (one.get("href") or "").startswith("#"):
            assert one["href"][1:] in ids
        assert "style" not in one
    levels = [int(tag[1]) for tag, _ in found if re.fullmatch(r"h[1-6]", tag)]
    assert all(after <= before + 1 for before, after in pairwise(levels))
    drawings = re.findall(r"<svg.*?</svg>", chapter(page()), re.S)
    assert len(drawings) > 100
    for one in drawings:
        root = ElementTree.fromstring(one)
        title = root.find("title")
        named = root.get("aria-label") or (title.text if title is not None else "")
        assert (named or "").strip() or root.get("aria-hidden") == "true"
    for whole in re.findall(r'<svg class="drawing".*?</svg>', chapter(page()), re.S):
        desc = ElementTree.fromstring(whole).find("desc")
        assert desc is not None and desc.text and len(desc.text) > 15
    assert not re.search(r"https?:|@import|src=|nan|NaN|\binf\b", chapter(page()))


def test_nothing_a_user_wrote_becomes_markup() -> None:
    """Markup in names, notes and reasons of the forecast is shown as text."""
    plan, works, one = made_forecast()

    def named(rows):
        return tuple(replace(row, name=EVIL) for row in rows)

    evil = replace(
        one, figures=named(one.figures), turns=named(one.turns), holdups=named(one.holdups),
        uses=named(one.uses), queues=named(one.queues), floats=named(one.floats),
        piles=named(one.piles), notes=(EVIL,), card=replace(one.card, method=EVIL),
        beside=tuple(replace(b, figure=EVIL, unit=EVIL, why=EVIL) for b in one.beside),
        start=EVIL, weeks=tuple(replace(w, label=EVIL) for w in one.weeks),
    )  # fmt: skip
    shops = tuple(replace(s, name=EVIL) for s in works.shops)
    trades = tuple(replace(t, name=EVIL) for t in works.trades)
    content = report_page(plan, replace(works, shops=shops, trades=trades), evil)
    assert content.count("<script>") == 1 and "&lt;script&gt;alert(" in content
    found = Elements(content).found
    assert "blink" not in {tag for tag, _ in found}
    for drawing in re.findall(r"<svg.*?</svg>", chapter(content), re.S):
        ElementTree.fromstring(drawing)


def test_interrupted_run_says_on_what_it_rests() -> None:
    """A run stopped by hand is told as such, with its number of runs."""
    broken = replace(
        made_forecast()[2], interrupted=True, stopped_by="interrupted", replications=12
    )
    words = " ".join(Elements(chapter(page_of(broken))).text.split())
    assert "Stopped before its end." in words and "rest on 12 runs only" in words
    assert "12: stopped by hand before its end" in words
    assert "Stopped before its end." not in shown()


def test_forecast_with_nothing_in_it_still_makes_a_page() -> None:
    """No week, no vehicle, no hold-up, no float: the chapter is short, not broken."""
    empty = replace(
        made_forecast()[2], figures=(), weeks=(), turns=(), holdups=(), uses=(), queues=(),
        floats=(), piles=(), beside=(), notes=(),
    )  # fmt: skip
    found = chapter(page_of(empty))
    words = " ".join(Elements(found).text.split())
    for said in ("nothing stands.", "Nothing stands.", "No vehicle came in and went out",
                 "No unit was asked for.", "Nothing to compare."):  # fmt: skip
        assert said in words
    for drawing in re.findall(r"<svg.*?</svg>", found, re.S):
        ElementTree.fromstring(drawing)


@pytest.mark.parametrize("half", [inf, nan, 0.0])
def test_what_is_not_known_is_never_shown_as_a_number(half: float) -> None:
    """One run alone has no interval: words say so, and no drawing holds "inf" or "nan"."""
    one = made_forecast()[2]
    unsure = replace(
        one, replications=1,
        figures=tuple(replace(f, half_width=half, low=f.mean - half, high=f.mean + half)
                      for f in one.figures),
        holdups=tuple(replace(h, half_width=half) for h in one.holdups),
        uses=tuple(replace(u, half_width=half) for u in one.uses),
        queues=tuple(replace(q, half_width=half) for q in one.queues),
        floats=tuple(replace(f, half_width=half) for f in one.floats),
        piles=tuple(replace(p, half_width=half) for p in one.piles),
        beside=tuple(replace(b, half_width=half) for b in one.beside),
        turns=tuple(replace(t, mean=replace(t.mean, half_width=half)) for t in one.turns),
    )  # fmt: skip
    found = chapter(page_of(unsure))
    assert not re.search(r"\bnan\b|\binf\b|no limit", found)
    assert ("too few runs to tell how sure" in found) == (half != 0.0)


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour (W3C, WCAG 2.2, definition of relative luminance)."""
    digits = colour[1:] if len(colour) == 7 else "".join(d * 2 for d in colour[1:])
    parts = [int(digits[n : n + 2], 16) / 255 for n in (0, 2, 4)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("look", [0, 1, 2], ids=["light", "dark", "print"])
def test_marks_of_the_chapter_can_be_told_from_their_ground(look: int) -> None:
    """What marks standing work, held places and bars has 3 to 1 (WCAG 2.2, 1.4.11)."""
    style = re.findall(r"<style>(.*?)</style>", page(), re.S)[0]
    block = re.findall(r":root \{(.*?)\}", style, re.S)[look]
    found = dict(re.findall(r"--([a-z0-9-]+): (#[0-9a-f]{3,6})\b", block))
    for mark, ground in (("red-ink", "panel"), ("h4", "paper"), ("ink", "h2"), ("blue", "h2"),
                         ("red", "paper"), ("amber-ink", "paper")):  # fmt: skip
        high, low = sorted((luminance(found[mark]), luminance(found[ground])), reverse=True)
        assert (high + 0.05) / (low + 0.05) >= 3, (mark, ground)
