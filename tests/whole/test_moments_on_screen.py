"""Days and moments are written on every page as people write them; files and programs get ISO."""

import re
from collections.abc import Iterator
from html import unescape

import pytest

from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from pacewright.office.sheets.catalogue import SHEETS
from pacewright.reports.written import MONTHS, local
from web_desk import browser
from web_example import open_example, write_example
from web_visits import addresses

ISO = re.compile(r"(?<![\w-])[12]\d{3}-[01]\d-[0-3]\d")
TYPED = re.compile(r"(?:\bas|written|format) [12]\d{3}-[01]\d-[0-3]\d")
"""An example of how a day is to be typed: it must be in the form the field takes."""
NOT_SEEN = re.compile(r"<(script|style|title|desc|code|pre|textarea)\b.*?</\1>|<[^>]*>", re.DOTALL)


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """An example works with a month of its record."""
    room = tmp_path_factory.mktemp("moments")
    made = open_example(write_example(room), room)
    yield made
    made.close()


def seen(html: str) -> str:
    """What a reader sees of a page; ``title`` of a drawing is told when it is pointed at."""
    return unescape(NOT_SEEN.sub(" ", html))


def test_no_page_shows_a_day_or_moment_as_files_do(desk: Desk) -> None:
    """Every page of every role: no ISO 8601 in what is seen, but plenty of days."""
    wrong, pages, days = [], 0, 0
    clients = {role: browser(desk, role) for role in Role}
    clients[Role.PLANNER].post("/tokens", data={"note": "scale", "days": "9", "right": "SEE"})
    clients[Role.INSPECTOR].get("/today")
    for address, role in addresses(desk):
        text = seen(clients[role].get(address).text)
        pages += 1
        days += len(re.findall(rf"\d (?:{'|'.join(MONTHS)}) 20\d\d", text))
        found = ISO.findall(TYPED.sub("", text))
        if found:
            at = ISO.search(text)
            assert at
            wrong.append((address, len(found), text[max(0, at.start() - 60) : at.end() + 20]))
    assert not wrong, "\n".join(map(str, wrong))
    assert pages > len(SHEETS)
    assert days > 100


def test_what_is_refused_tells_moments_as_people_do(desk: Desk) -> None:
    """A booking before what is recorded is refused with days a reader knows."""
    client = browser(desk, Role.PLANNER)
    form = {
        "at": "2020-01-06T07:30",
        "piece": f"vehicle:{_inside(desk)}",
        "cause": "people",
        "reason": "none to be had",
        "event_id": "m1",
    }
    answer = client.post("/book/held", data=form)
    assert answer.status_code == 409
    text = seen(answer.text)
    assert "6 Jan 2020 07:30" in text
    assert not ISO.search(TYPED.sub("", text))


def _inside(desk: Desk) -> str:
    with desk.standing() as standing:
        return sorted(one.vehicle_id for one in standing.inside())[0]


def test_programs_and_files_get_iso_8601(desk: Desk) -> None:
    """The same sheet as JSON and CSV has days that sort as text and are read everywhere."""
    client = browser(desk, Role.PLANNER)
    assert ISO.search(client.get("/api/record").text)
    assert ISO.search(client.get("/record/csv/events").text)


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ("until 2026-02-28T07:05:09", "until 28 Feb 2026 07:05"),
        ("2026-02-30 is no day", "2026-02-30 is no day"),
        ("kept_as 20260228T070509-floats.csv", "kept_as 20260228T070509-floats.csv"),
        ("order WO-2026-02-28", "order WO-2026-02-28"),
        ("2026-02-28/7", "2026-02-28/7"),
        ("at 2026-02-28T07:05:09Z", "at 28 Feb 2026 07:05 UTC"),
        ("(2026-02-28).", "(28 Feb 2026)."),
        ("such as 2026-02-28", "such as 2026-02-28"),
    ],
)
def test_only_days_and_moments_are_rewritten(said: str, written: str) -> None:
    """Numbers of orders, names of files and examples to type stay as they are."""
    assert local(said) == written
