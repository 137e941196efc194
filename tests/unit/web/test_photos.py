"""Photos on pages and over REST: who sends and sees them, how they are served, where they show."""

import re
from collections.abc import Iterator
from hashlib import sha256
from html import unescape
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from pacewright.files.photo import PHOTO_BYTES, bare_photo
from pacewright.office.desk import Desk
from pacewright.office.rights import Role
from small_photos import GPS, JPEG, exif, jpeg, png
from web_booking import AS_SCRIPT, VEHICLE, book, hidden, let_in
from web_desk import browser, open_desk

PAGE = f"/inspection/{VEHICLE}"
CAME = jpeg(exif(6))
"""What a camera sends: a picture on its side, and where it was taken."""
DIGEST = sha256(bare_photo(CAME)).hexdigest()


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A works with one tram inside."""
    desk = open_desk(tmp_path)
    let_in(desk)
    yield desk
    desk.close()


@pytest.fixture
def inspector(desk: Desk) -> TestClient:
    """Who takes photos."""
    return browser(desk, Role.INSPECTOR)


def items(client: TestClient) -> list[str]:
    """``PIECE ITEM`` of every item of the form."""
    return [unescape(one) for one in re.findall(r'name="only" value="([^"]+)"', _form(client))]


def _form(client: TestClient) -> str:
    html: str = client.get(PAGE).text
    return html


def send(client: TestClient, cells: dict[str, str], files: dict[str, tuple[str, bytes]]) -> int:
    """The form as a browser without script sends it; gives the status."""
    html = _form(client)
    sent = {name: hidden(html, name) for name in ("event_id", "person")} | cells
    parts = {name: (named, content, "image/jpeg") for name, (named, content) in files.items()}
    return int(client.post(PAGE, data=sent, files=parts).status_code)


def test_a_photo_is_kept_for_an_event_to_name(desk: Desk, inspector: TestClient) -> None:
    """Sent over REST it is kept bare; the event that names it is booked and shows it."""
    answer = inspector.post("/api/photos", content=CAME)
    assert answer.json()["data"] == {
        "photo": DIGEST,
        "address": f"/api/photos/{DIGEST}",
        "media_type": "image/jpeg",
        "bytes": len(bare_photo(CAME)),
    }
    mark = items(inspector)[0]
    event = {"kind": "found", "piece": mark.split(" ")[0], "item_id": mark.split(" ")[1]}
    event |= {"verdict": "repair", "photo": DIGEST}
    booked = inspector.post("/api/events", json={"events": [{"event": event}]})
    assert booked.status_code == 200, booked.text
    place = booked.json()["data"]["answers"][0]["place"]
    for address in (f"/record/{place}", PAGE, f"/vehicles/{VEHICLE}"):
        assert f'<img src="/photos/{DIGEST}"' in inspector.get(address).text, address
    rows = inspector.get(f"/api{PAGE}").json()["data"]["tables"]["found"]["rows"]
    assert [one["photo"] for one in rows] == [DIGEST]
    assert desk.ledger.verify().sound


def test_a_photo_that_was_never_sent_is_not_named(inspector: TestClient) -> None:
    """The door of the record says to send it first; what is no digest is refused as such."""
    mark = items(inspector)[0]
    cells = {f"verdict {mark}": "repair", "only": mark}
    html = _form(inspector)
    cells |= {name: hidden(html, name) for name in ("event_id", "person")}
    for photo, status, said in (
        ("ab" * 32, 409, "Send the photo first"),
        ("again", 422, "SHA-256"),
    ):
        sent = inspector.post(PAGE, data=cells | {f"photo {mark}": photo}, headers=AS_SCRIPT)
        assert sent.status_code == status
        assert said in " ".join(sent.json()["faults"])


def test_without_script_the_photo_goes_with_the_form(desk: Desk, inspector: TestClient) -> None:
    """Its name is never asked; it is kept bare and named by the finding of its item alone."""
    mark, other = items(inspector)[:2]
    files = {f"file {mark}": ("../../etc/<b>.exe", CAME), f"file {other}": ("x.jpg", b"")}
    assert send(inspector, {f"verdict {mark}": "repair", "only": mark}, files) == 303
    (kept,) = desk.ledger.entries(kind="found")
    assert kept.entry.event.photo == DIGEST  # type: ignore[attr-defined]


def test_a_photo_without_a_verdict_is_not_lost_in_silence(
    desk: Desk, inspector: TestClient
) -> None:
    """It is told and nothing is booked, unless another item alone is sent."""
    mark, other = items(inspector)[:2]
    files = {f"file {other}": ("x.jpg", CAME)}
    assert send(inspector, {f"verdict {mark}": "repair"}, files) == 422
    assert not list(desk.ledger.entries(kind="found"))
    assert send(inspector, {f"verdict {mark}": "repair", "only": mark}, files) == 303
    assert desk.ledger.photo(DIGEST) is None


def test_what_is_no_photo_books_nothing(desk: Desk, inspector: TestClient) -> None:
    """HTML by the name of a photo is told with its item."""
    mark = items(inspector)[0]
    files = {f"file {mark}": ("weld.jpg", b"<html><script>alert(1)</script>")}
    assert send(inspector, {f"verdict {mark}": "repair"}, files) == 422
    assert not list(desk.ledger.entries(kind="found"))


@pytest.mark.parametrize(
    ("came", "status"),
    [
        (b"", 422),
        (b"<html>", 422),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", 422),
        (CAME[:-1], 422),
        (png(wide=60_000, high=60_000), 422),
        (JPEG + bytes(PHOTO_BYTES), 413),
    ],
)
def test_what_may_not_be_kept_is_refused(
    desk: Desk, inspector: TestClient, came: bytes, status: int
) -> None:
    """In the one shape of refusals, whatever sort it says it is."""
    answer = inspector.post("/api/photos", content=came, headers={"content-type": "image/jpeg"})
    assert answer.status_code == status
    assert answer.json()["status"] == "refused"
    assert "photo: " in answer.json()["faults"][0]


def test_what_hangs_on_does_not_come_in(inspector: TestClient) -> None:
    """A page behind a picture, and the place where it was taken, are not given out again."""
    behind = b"<script>alert(1)</script>"
    digest = inspector.post("/api/photos", content=jpeg(exif(3), behind=behind)).json()["data"][
        "photo"
    ]
    content = inspector.get(f"/photos/{digest}").content
    assert sha256(content).hexdigest() == digest
    assert GPS not in content
    assert behind not in content


def test_only_inspectors_send_and_everybody_signed_in_sees(
    desk: Desk, inspector: TestClient
) -> None:
    """The right is asked of the person; nobody sees a photo without signing in."""
    address = inspector.post("/api/photos", content=CAME).json()["data"]["address"]
    for role in Role:
        client = browser(desk, role)
        may = role is Role.INSPECTOR
        assert client.post("/api/photos", content=CAME).status_code == (200 if may else 403)
        assert client.get(address).content == bare_photo(CAME)
    stranger = browser(desk)
    assert stranger.get(address).status_code == 401
    assert stranger.get(address.removeprefix("/api")).status_code == 303
    assert stranger.post("/api/photos", content=CAME).status_code == 401


def test_a_photo_is_served_to_be_looked_at_only(inspector: TestClient) -> None:
    """True type, no guessing, a policy of its own, a name of ours; asked anew at each look."""
    address = inspector.post("/api/photos", content=png()).json()["data"]["address"]
    answer = inspector.get(address)
    assert answer.headers["content-type"] == "image/png"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["content-security-policy"].startswith("default-src 'none'; sandbox")
    assert re.fullmatch(
        r'inline; filename="photo-[0-9a-f]{12}\.png"', answer.headers["content-disposition"]
    )
    assert answer.headers["cache-control"] == "private, no-cache"
    again = inspector.get(address, headers={"if-none-match": answer.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert inspector.get("/api/photos/" + "0" * 64).status_code == 404
    assert inspector.get("/api/photos/..%2Fsecret").status_code in (404, 422)


def test_a_finding_of_a_unit_shows_its_photo_on_the_sheet_of_the_unit(
    desk: Desk, inspector: TestClient
) -> None:
    """Booked on its form with the photo, without script; also after it was made good."""
    unit = {"unit": "pantograph:P-77", "condition": "unserviceable", "place_id": "body"}
    assert book(browser(desk, Role.STORES), "unit_entered", unit).json()["status"] == "done"
    html = inspector.get("/book/unit_found").text
    assert 'enctype="multipart/form-data"' in html
    cells = {name: hidden(html, name) for name in ("event_id", "person", "then")}
    cells |= {"unit": "pantograph:P-77", "item_id": "pantograph", "verdict": "repair"}
    answer = inspector.post(
        "/book/unit_found", data=cells, files={"file": ("m.jpg", CAME, "text/html")}
    )
    assert answer.status_code == 303, answer.text
    book(inspector, "reconditioned", {"unit": "pantograph:P-77", "shop_id": ""})
    page = inspector.get("/serial?code=pantograph:P-77").text
    assert f'<img src="/photos/{DIGEST}"' in page


def test_other_forms_take_no_files(desk: Desk) -> None:
    """A photo sent with a form that has no field for one is not kept."""
    planner = browser(desk, Role.PLANNER)
    html = planner.get("/book/promised").text
    cells = {name: hidden(html, name) for name in ("event_id", "person", "then")}
    cells |= {"vehicle_id": VEHICLE, "release_day": f"{desk.now():%Y-%m-%d}"}
    sent = planner.post("/book/promised", data=cells, files={"file": ("m.jpg", CAME, "image/jpeg")})
    assert sent.status_code == 303, sent.text
    assert desk.ledger.photo(DIGEST) is None
