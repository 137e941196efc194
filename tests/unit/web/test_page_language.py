"""Pages in another language: which one, what is said in it, and what stays."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest

from pacewright.base.faults import WorksFaultyError
from pacewright.files.po import Entry, po_bytes
from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.web.app import create_app
from pacewright.web.language import Languages, chosen
from planner_desk import story_desk
from web_desk import ORIGIN, PASSWORD, browser

TEXTS = {
    "Sign in": "Anmelden",
    "Who is at the page?": "Wer ist da?",
    "Name": "Name der Person",
    "{path}: there is no such page. Check the address.": "{path}: keine solche Seite.",
    "Search": "Suchen",
    "The record tells nothing yet.": "Noch nichts.",
}


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """A small works with a language beside it."""
    made = story_desk(tmp_path, roles=(Role.PLANNER,))
    write(made, "de", TEXTS)
    return made


def write(desk: Desk, code: str, texts: dict[str, str]) -> None:
    """Put a language beside a works."""
    path = desk.path / "languages" / f"{code}.po"
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(po_bytes([Entry(text, said) for text, said in texts.items()]))


@pytest.mark.parametrize(
    ("accepted", "there", "code"),
    [
        ("de", ["de", "en"], "de"),
        ("de-CH-1996, de;q=0.5, en;q=0.2", ["de", "en"], "de"),
        ("zh-Hant-CN-x-private1-private2", ["zh-Hant", "zh", "en"], "zh-Hant"),
        ("en-GB, de;q=0.9", ["de", "en"], "en"),
        ("fr;q=0.4, de;q=0.8", ["de", "fr", "en"], "de"),
        ("de;q=0, fr", ["de", "en"], "en"),
        ("*", ["de", "en"], "en"),
        ("", ["de", "en"], "en"),
        ("de;q=x, ,;;q=1", ["de", "en"], "en"),
        ("de;q=\u00b2, de;q=1e9, de;q=-1", ["de", "en"], "en"),
    ],
)
def test_the_browser_gets_what_it_asks_for_and_is_there(
    accepted: str, there: list[str], code: str
) -> None:
    """Weights and lookup of RFC 9110 and RFC 4647, whose own example is the one in Chinese."""
    assert chosen(accepted, there) == code


def test_a_page_is_in_the_language_asked_for(desk: Desk) -> None:
    """Texts, attribute and header say so; without the wish the page is English, byte for byte."""
    client = browser(desk)
    english = client.get("/sign-in", headers={"accept-language": "en"})
    german = client.get("/sign-in", headers={"accept-language": "de-AT,en;q=0.5"})
    assert "Anmelden" in german.text and "Name der Person" in german.text
    assert '<html lang="de" data-words=' in german.text and "Suchen" in german.text
    assert german.headers["content-language"] == "de"
    assert "accept-language" in german.headers["vary"].lower()
    assert "Anmelden" not in english.text and '<html lang="en">' in english.text
    # What is sent is not touched: the fields bear the same names.
    assert 'name="password"' in german.text and 'action="/sign-in"' in german.text


def test_faults_are_said_in_the_language_to_people_and_scripts(desk: Desk) -> None:
    """The page of a fault and the JSON a page's script reads; REST stays English."""
    client = browser(desk, Role.PLANNER)
    german = {"accept-language": "de"}
    assert "/nowhere: keine solche Seite." in client.get("/nowhere", headers=german).text
    script = client.get("/nowhere", headers=german | {"accept": "application/json"})
    assert script.json() == {"status": "refused", "faults": ["/nowhere: keine solche Seite."]}
    rest = client.get("/api/nowhere", headers=german)
    assert rest.json()["faults"] == ["/api/nowhere: there is no such page. Check the address."]


def test_csv_and_rest_stay_as_they_are(desk: Desk) -> None:
    """They are an interface: a program reads the same whatever language it names."""
    client = browser(desk, Role.PLANNER)
    for path in ("/record/csv/events", "/api/record", "/static/web.js"):
        english, german = (
            client.get(path, headers={"accept-language": code}) for code in ("en", "de")
        )
        assert english.status_code == 200 and english.content == german.content
        assert "content-language" not in german.headers


def test_one_language_may_be_set_for_all(desk: Desk) -> None:
    """With --language every page is in it, whatever browsers ask for."""
    from fastapi.testclient import TestClient

    for always, word in (("de", "Anmelden"), ("en", "Sign in")):
        client = TestClient(create_app(desk, language=always), headers=ORIGIN)
        for accepted in ("de", "en", "fr"):
            assert word in client.get("/sign-in", headers={"accept-language": accepted}).text
        answer = client.post("/sign-in", data={"name": "planner", "password": PASSWORD})
        assert answer.status_code == 200, "signing in works in every language"


def test_a_faulty_language_is_refused_before_anything_is_served(desk: Desk) -> None:
    """All its faults, with file and line."""
    write(desk, "fr", {"{path} here": "ici"})
    with pytest.raises(WorksFaultyError, match=r"languages/fr.po row 2.*-path"):
        create_app(desk)


def test_names_follow_the_tables_of_the_works(desk: Desk) -> None:
    """A works that names a thing as a text of the program keeps the name, from the next page on."""
    open_works = SimpleNamespace(works=desk.works)
    languages = Languages(cast(Desk, open_works), {"de": desk.path / "languages" / "de.po"})
    before = languages.asked("de")
    assert before is not None and before.said("Search") == "Suchen"
    assert languages.asked("de") is before
    stages = (replace(desk.works.stages[0], name="Search"), *desk.works.stages[1:])
    open_works.works = replace(desk.works, stages=stages)
    after = languages.asked("de")
    assert after is not None and after.said("Search") == "Search"
