"""Every page and paper in a made-up language: what is neither in it nor data is counted."""

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import Enum
from typing import Any
from unittest.mock import patch

import pytest

from pacewright.base.hazards import Hazard
from pacewright.files.po import Entry, po_bytes
from pacewright.office.desk import Desk
from pacewright.office.languages import own_words, read_texts
from pacewright.office.rights import Right, Role
from pacewright.office.texts_drawn import drawn_texts
from pacewright.reports.papers.catalogue import SORTS
from pacewright.reports.papers.press import Paper, Printed, paper_data
from pacewright.reports.words.html_text import page_in
from pacewright.reports.words.language import Language
from pseudo_language import Left, pseudo, visible, words_in
from web_desk import browser
from web_example import open_example, write_example
from web_visits import addresses

PSEUDO = "qps"
"""Code for private use (BCP 47) of the made-up language."""
MOST_LEFT = 0.02
MOST_LEFT_ON_A_PAGE = 0.06

SENT = re.compile(r'\s(?:name|value|action|href|id|for|hx-get|data-draft)="[^"]*"')
"""What forms send and links lead to: the same in every language."""

KNOWN: tuple[tuple[str, frozenset[str], str], ...] = (
    ("", frozenset({"vehicle:1043"}), "an example of a code"),
    ("/works/", frozenset(Hazard), "choices in tables, as the files hold them"),
    ("/tokens", frozenset(one.name for one in Right), "names of rights, as REST takes them"),
    ("/people", frozenset({"testclient", *Role}), "names of accounts and devices of this test"),
    ("/papers", frozenset({"size", *SORTS}), "names by which papers are asked for"),
)
"""What is left in English on purpose: pages (by the beginning of their path), words, and why."""


@dataclass
class Seen:
    """What was fetched in English, the made-up language, and texts that are data."""

    pages: dict[str, str] = field(default_factory=dict)
    papers: dict[str, Paper] = field(default_factory=dict)
    texts: dict[str, str] = field(default_factory=dict)
    own: frozenset[str] = frozenset()
    data: set[str] = field(default_factory=set)

    @property
    def pseudo(self) -> Language:
        """The made-up language of this works."""
        return Language(PSEUDO, self.texts, self.own)


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Seen]:
    """An example works with a month of record, and the made-up language beside it."""
    room = tmp_path_factory.mktemp("language")
    desk = open_example(write_example(room), room)
    path = desk.path / "languages" / f"{PSEUDO}.po"
    path.parent.mkdir()
    path.write_bytes(po_bytes([Entry(one.text, pseudo(one.text)) for one in drawn_texts()]))
    found = Seen(texts=read_texts(path), own=own_words(desk.works), data=_data(desk))
    try:
        _fetch(desk, found)
        yield found
    finally:
        desk.close()


def _fetch(desk: Desk, found: Seen) -> None:
    clients = {role: browser(desk, role) for role in Role}
    for address, role in addresses(desk):
        found.pages[address] = clients[role].get(address).text
    with desk.standing() as standing:
        inside = sorted(one.vehicle_id for one in standing.inside())[0]

    def kept(paper: Paper, language: Language | None, _: object) -> Printed:
        assert language is not None and language.code == PSEUDO
        found.papers[paper.key] = paper
        return Printed(b"%PDF", ())

    with patch("pacewright.reports.papers.press.printed", kept):
        for key, sort in SORTS.items():
            asked = {"vehicle": inside} if "vehicle" in sort.needs else {}
            answer = clients[Role.PLANNER].get(
                f"/papers/{key}.pdf", params=asked, headers={"accept-language": PSEUDO}
            )
            # 409: of this sort there is nothing to print in this works today.
            assert answer.status_code in (200, 409), answer.text


def _data(desk: Desk) -> set[str]:
    """Texts of tables and record: names, ids, notes, people."""
    data = set(own_words(desk.works)) | set(words_in(desk.works)) | {f"The {one}" for one in Role}
    for kept in desk.ledger.entries():
        entry = kept.entry
        data |= {entry.recorded_by, entry.device, entry.reference, *words_in(entry.event)}
    return {one for one in data if not isinstance(one, Enum)}


def _texts(thing: Any, name: str = "") -> Iterator[str]:
    """Texts of a paper's data that are printed."""
    if isinstance(thing, dict):
        for key, one in thing.items():
            if key not in ("is", "look", "size", "key", "name", "lang"):
                yield from _texts(one, key)
    elif isinstance(thing, list):
        for one in thing:
            yield from _texts(one, name)
    elif isinstance(thing, str):
        # Long words are given places to break: without them they are the ids they were.
        plain = thing.replace("\u200b", "")
        yield from visible(plain) if name == "svg" else [plain]


def _plain_words(words: frozenset[str]) -> set[str]:
    return {str(one) for one in words}


def _told(data: set[str], what: dict[str, Iterator[str]]) -> tuple[float, dict[str, float], str]:
    """Share left in all and by page, and the texts it is left in."""
    left, total, by_page, where = 0, 0, dict[str, float](), []
    for name, texts in what.items():
        known = [words for at, words, _ in KNOWN if name.startswith(at)]
        one = Left(data.union(*map(_plain_words, known)))
        for text in texts:
            before = sum(one.left.values())
            one.see(text)
            if sum(one.left.values()) > before:
                where.append(f"{name}: {text[:200]}")
        left, total = left + sum(one.left.values()), total + one.words
        by_page[name] = one.share
    assert total > 1000
    return left / total, by_page, "\n".join(sorted(set(where)))


def test_pages_are_in_the_language(seen: Seen) -> None:
    """Under 2 % of the words of all pages are neither in the language nor data."""
    pages = {at: page_in(seen.pseudo, one) for at, one in seen.pages.items()}
    share, by_page, where = _told(seen.data, {at: visible(one) for at, one in pages.items()})
    print(f"pages: {share:.2%} left in English\n{where}")
    assert share < MOST_LEFT, where
    assert not {at: f"{one:.1%}" for at, one in by_page.items() if one > MOST_LEFT_ON_A_PAGE}, where
    assert len(pages) > 25
    assert all(f'<html lang="{PSEUDO}"' in one for one in pages.values())
    for at, one in pages.items():
        assert SENT.findall(one) == SENT.findall(seen.pages[at]), f"{at}: what is sent is changed"


def test_papers_are_in_the_language(seen: Seen) -> None:
    """The same holds for every sort of paper."""
    papers = {key: json.loads(paper_data(one, seen.pseudo)) for key, one in seen.papers.items()}
    share, _, where = _told(seen.data, {key: _texts(one) for key, one in papers.items()})
    print(f"papers: {share:.2%} left in English\n{where}")
    assert share < MOST_LEFT, where
    assert len(papers) > len(SORTS) - 3, sorted(papers)
    assert all(one["lang"] == PSEUDO for one in papers.values())


def test_a_language_that_is_english_changes_nothing(seen: Seen) -> None:
    """Byte for byte: no page and no paper loses or moves anything on the way."""
    same = Language("en", {text: text for text in seen.texts}, seen.own)
    assert not [at for at, one in seen.pages.items() if page_in(same, one) != one]
    assert not [key for key, one in seen.papers.items() if paper_data(one, same) != paper_data(one)]
