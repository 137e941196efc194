"""The page: alone, whole, escaped, the same each time, readable by all."""

import re
from base64 import b64encode
from collections import Counter
from dataclasses import replace
from functools import cache
from hashlib import sha256
from html.parser import HTMLParser
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from made_plan import made_plan
from pacewright.plans.plan import Plan
from pacewright.reports.page import report_page
from pacewright.reports.sections.calls import MOST_CALLS
from pacewright.works import Works

EVIL = "<script>alert('x')</script>\"&<blink>"


@cache
def page() -> str:
    """The page of the invented plan."""
    return report_page(*made_plan())


class Elements(HTMLParser):
    """Every element with its attributes, and the text the page shows."""

    def __init__(self, content: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.text: list[str] = []
        self.inside: list[str] = []
        self.feed(content)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))
        if tag in ("script", "style"):
            self.inside.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if self.inside and tag == self.inside[-1]:
            self.inside.pop()

    def handle_data(self, data: str) -> None:
        if not self.inside:
            self.text.append(data)


@cache
def elements() -> Elements:
    """The page of the invented plan, parsed."""
    return Elements(page())


def evil_plan() -> tuple[Plan, Works]:
    """The plan with markup in every name and sentence that comes from outside."""
    plan, works = made_plan()

    def named(rows):
        return tuple(replace(row, name=f"{EVIL}{n}") for n, row in enumerate(rows))

    works = replace(
        works,
        depots=named(works.depots),
        shops=named(works.shops),
        trades=named(works.trades),
        stages=named(works.stages),
        unit_kinds=named(works.unit_kinds),
        vehicle_types=named(works.vehicle_types),
        assemblies=named(works.assemblies),
        campaigns=named(works.campaigns),
    )
    line = plan.line
    line = replace(
        line,
        stages=tuple(replace(s, name=EVIL, reason=EVIL) for s in line.stages),
        trades=tuple(replace(t, reason=EVIL) for t in line.trades),
        plant=tuple(replace(p, name=EVIL, reason=EVIL) for p in line.plant),
        slowest=EVIL,
        notes=(EVIL,),
    )
    floats = replace(
        plan.floats,
        lines=tuple(replace(f, name=EVIL, law=EVIL, note=EVIL) for f in plan.floats.lines),
        notes=(EVIL,),
    )
    programme = replace(
        plan.programme,
        calls=tuple(replace(c, note=EVIL) for c in plan.programme.calls),
        unplaced=tuple(replace(u, reason=EVIL, remedy=EVIL) for u in plan.programme.unplaced),
        reliefs=tuple(replace(r, sentence=EVIL, unit=EVIL) for r in plan.programme.reliefs),
        notes=(EVIL,),
    )
    windows = tuple(replace(w, note=f"odometer {EVIL}") for w in plan.windows)
    plan = replace(
        plan, works_name=EVIL, line=line, floats=floats, programme=programme, windows=windows,
        assumptions=(EVIL,), inputs_hash=EVIL,
    )  # fmt: skip
    return plan, works


def test_page_is_the_same_each_time() -> None:
    """The same plan gives the same page; nothing tells the time of making it."""
    assert page() == report_page(*made_plan())
    assert "<h1>Ostrelle Trolleybus Works</h1>" in page()


def test_nothing_a_user_wrote_becomes_markup() -> None:
    """Markup in names, notes and reasons is shown as text: there is one script, ours."""
    content = report_page(*evil_plan())
    assert content.count("<script>") == 1
    assert "&lt;script&gt;alert(" in content
    found = Elements(content).found
    assert Counter(tag for tag, _ in found)["script"] == 1
    assert "blink" not in {tag for tag, _ in found}
    assert not any(key.startswith("on") for _, attributes in found for key in attributes)


def test_page_asks_nothing_of_the_network() -> None:
    """No address, no import, no outer file; what is named is a place on the page itself."""
    assert not re.search(r"https?:|//[a-z]+\.|@import|src=", page())
    assert set(re.findall(r"url\(([^)]*)\)", page())) <= {
        f"#{one['id']}" for tag, one in elements().found if tag == "pattern"
    }
    assert all(tag not in ("img", "link", "iframe", "object") for tag, _ in elements().found)


def test_policy_names_the_one_style_and_the_one_script() -> None:
    """The content policy of the page holds the SHA-256 of what stands in it (CSP level 3)."""
    policy = next(one["content"] for _, one in elements().found if one.get("http-equiv"))
    for tag in ("style", "script"):
        (content,) = re.findall(rf"<{tag}>(.*?)</{tag}>", page(), re.S)
        digest = b64encode(sha256(content.encode()).digest()).decode()
        assert f"{tag}-src 'sha256-{digest}'" in policy
    assert "default-src 'none'" in policy
    assert not any("style" in one for _, one in elements().found)


def test_ids_are_single_and_every_reference_is_met() -> None:
    """Links and labels lead somewhere."""
    ids = Counter(one["id"] for _, one in elements().found if "id" in one)
    assert max(ids.values()) == 1
    for _, one in elements().found:
        for target in (one.get("aria-labelledby") or "").split():
            assert target in ids
        if (one.get("href") or "").startswith("#"):
            assert one["href"][1:] in ids


def test_every_drawing_is_sound_and_says_what_it_shows() -> None:
    """Each SVG parses as XML; each is named for those who do not see it, or hidden from them."""
    svgs = re.findall(r"<svg.*?</svg>", page(), re.S)
    assert len(svgs) > 100
    for one in svgs:
        root = ElementTree.fromstring(one)
        if root.get("role") == "img":
            title = root.find("title")
            name = root.get("aria-label") or (title is not None and title.text)
            assert name and name.strip()
        else:
            assert root.get("aria-hidden") == "true"
    for whole in re.findall(r'<svg class="drawing".*?</svg>', page(), re.S):
        desc = ElementTree.fromstring(whole).find("desc")
        assert desc is not None and desc.text and len(desc.text) > 15


def test_no_gear_without_its_word() -> None:
    """State is never by colour or shape alone: each mark has its word beside it."""
    cells = re.findall(r'<td class="gear">(.*?)</td>', page(), re.S)
    plan, _ = made_plan()
    places = len(plan.line.stages) + len(plan.line.trades) + len(plan.line.plant)
    assert len(cells) >= places
    for cell in cells:
        assert re.search(r"</svg> (holds up|tight|geared|runs ahead)$", cell)


def test_headings_step_down_one_by_one() -> None:
    """One h1, and no level is left out: screen readers walk by them."""
    levels = [int(tag[1]) for tag, _ in elements().found if re.fullmatch(r"h[1-6]", tag)]
    assert levels.count(1) == 1 and levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_reads_without_script() -> None:
    """Every call-in, decision, unit kind and caution line stands in the page as text."""
    plan, _ = made_plan()
    text = " ".join(elements().text)
    for call in plan.programme.calls:
        assert call.vehicle_id in text
    for line in plan.floats.lines:
        assert line.name in text
    assert "licensed people certify" in text and "never shortened to save a takt" in text
    assert "9 Nov 2026" in text and "2026-11-09" not in text


def test_large_fleet_lists_its_firm_zone_and_names_the_file() -> None:
    """Above the bound only the firm zone is listed, and the page says where the rest stands."""
    plan, works = made_plan(20_000)
    content = report_page(plan, works)
    firm = sum(call.zone == "firm" for call in plan.programme.calls)
    assert len(plan.programme.calls) > MOST_CALLS
    assert f"{firm:,} of {len(plan.programme.calls):,} call-ins" in content
    assert "tables/programme.csv" in content
    assert len(content.encode()) < 2_000_000


def test_plan_with_nothing_in_it_still_makes_a_page() -> None:
    """No call-in, no float, no plant, no depot: the page is short, not broken."""
    plan, works = made_plan()
    programme = replace(
        plan.programme, weeks=(), calls=(), unplaced=(), reliefs=(), depot_weeks=(), notes=()
    )
    line = replace(
        plan.line, stages=(), trades=(), plant=(), route=(), units=(), turns=(), pace_a_week=0.0
    )
    floats = replace(plan.floats, lines=(), curve=(), notes=())
    plan = replace(plan, programme=programme, line=line, floats=floats, windows=(), assumptions=())
    works = replace(works, depots=(), vehicles=(), plant=(), campaigns=())
    content = report_page(plan, works)
    assert "Nothing: every vehicle is placed" in content
    for one in re.findall(r"<svg.*?</svg>", content, re.S):
        ElementTree.fromstring(one)


def colours(block: str) -> dict[str, str]:
    """The colours a block of the style sheet sets."""
    return dict(re.findall(r"--([a-z0-9-]+): (#[0-9a-f]{3,6})\b", block))


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour (W3C, WCAG 2.2, definition of relative luminance)."""
    digits = colour[1:] if len(colour) == 7 else "".join(d * 2 for d in colour[1:])
    parts = [int(digits[n : n + 2], 16) / 255 for n in (0, 2, 4)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours (W3C, WCAG 2.2, definition of contrast ratio)."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_formula_at_its_ends() -> None:
    """Black on white is 21 to 1 (WCAG 2.2); #767676 on white is just above 4.5 (W3C technique)."""
    assert contrast("#000", "#fff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("look", [0, 1, 2], ids=["light", "dark", "print"])
def test_text_can_be_read(look: int) -> None:
    """Text has 4.5 to 1 against its ground, marks 3 to 1 (WCAG 2.2, 1.4.3 and 1.4.11)."""
    style = re.findall(r"<style>(.*?)</style>", page(), re.S)[0]
    found = colours(re.findall(r":root \{(.*?)\}", style, re.S)[look])
    for ground in ("paper", "panel"):
        for ink in ("ink", "soft", "link", "red-ink", "green-ink", "amber-ink"):
            assert contrast(found[ink], found[ground]) >= 4.5, (ink, ground)
    for mark in ("blue", "red", "green"):
        assert contrast(found[mark], found["paper"]) >= 3, mark
    # The two commonest types are told apart in grey as well.
    assert contrast(found["blue"], found["orange"]) >= 1.3 or look == 1
