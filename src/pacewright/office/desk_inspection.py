"""Findings of a strip inspection as they were filled in on a form, made into entries."""

from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256

from pacewright.base.faults import CallError
from pacewright.office.booking import NotAnEventError
from pacewright.office.desk import Desk
from pacewright.office.desk_booking import Answer, Entry, Outcome, Sender, hand_in, typed_entry
from pacewright.office.photos import photos_kept
from pacewright.works import Works


@dataclass(frozen=True, slots=True)
class Filled:
    """One item as it was filled in.

    Parameters
    ----------
    piece : code of what it is on.
    measurement : as typed; blank: by eye.
    photo : digest of one that is kept; blank: none was taken.
    """

    piece: str
    item_id: str
    verdict: str
    measurement: str = ""
    photo: str = ""


def filled_in(cells: Mapping[str, str], only: str = "") -> tuple[Filled, ...]:
    """The items of a form that have a verdict.

    Parameters
    ----------
    cells : fields of the form, named ``verdict PIECE ITEM``, ``measured PIECE ITEM`` and
        ``photo PIECE ITEM``.
    only : ``PIECE ITEM`` of the one item that is sent; empty: all.

    Examples
    --------
    >>> filled_in({"verdict body:B-1 weld": "use", "verdict body:B-1 roof": ""})
    (Filled(piece='body:B-1', item_id='weld', verdict='use', measurement='', photo=''),)
    """
    found = []
    for name, verdict in cells.items():
        sort, _, item = name.partition(" ")
        piece, _, item_id = item.partition(" ")
        if sort == "verdict" and verdict and item_id and only in ("", item):
            measured = cells.get(f"measured {item}", "").strip()
            photo = cells.get(f"photo {item}", "").strip()
            found.append(Filled(piece, item_id, verdict, measured, photo))
    return tuple(found)


def photos_of_items(
    desk: Desk, cells: Mapping[str, str], files: Mapping[str, bytes], only: str = ""
) -> dict[str, str]:
    """Photos sent with the form, kept; gives the fields that name them.

    Raises
    ------
    NotAnEventError : one is no photo, or belongs to an item without a verdict; nothing was booked.
    """
    items = {name.partition(" ")[2] for name in files}
    wanted = {one for one in items if only in ("", one)}
    bare = [one for one in sorted(wanted) if not cells.get(f"verdict {one}")]
    if bare:
        raise NotAnEventError(
            [f"{one}: a photo without a verdict. Choose the verdict too." for one in bare]
        )
    return photos_kept(desk, files, wanted)


def finding_cells(works: Works, one: Filled) -> dict[str, str]:
    """The fields of the finding, with the limit it was held against and its unit.

    With two limits the one passed over stands, or else the nearer one.
    """
    cells = {"piece": one.piece, "item_id": one.item_id, "verdict": one.verdict}
    cells["photo"] = one.photo
    row = next((row for row in works.operations if row.operation_id == one.item_id), None)
    limits = [] if row is None else [row.inspect_least, row.inspect_most]
    given = [limit for limit in limits if limit is not None]
    if row is None or not given:
        return cells | {"measurement": one.measurement}
    try:
        near = min(given, key=lambda limit: abs(limit - float(one.measurement)))
    except ValueError:
        near = given[0]
    told = {"measurement": one.measurement, "limit": f"{near:g}"} if one.measurement else {}
    return cells | told | {"reading_unit": row.inspect_unit if told else ""}


def book_findings(
    desk: Desk, sender: Sender, items: tuple[Filled, ...], at: str, event_id: str
) -> tuple[Answer, ...]:
    """Hand in what was filled in: all of it, or nothing when one item is refused.

    Parameters
    ----------
    at : when it was inspected; blank: now.
    event_id : of the form; each item gets an id of its own from it.

    Raises
    ------
    NotAnEventError : nothing is filled in, or fields are wrong; with every fault.
    CallError : the door refuses an item; with every reason.
    """
    if not items:
        raise NotAnEventError(
            ["No verdict is chosen. An item is sent with its verdict. Choose one, then send it."]
        )
    entries: list[Entry] = []
    faults: list[str] = []
    for one in items:
        mark = sha256(f"{one.piece} {one.item_id}".encode()).hexdigest()[:10]
        cells = finding_cells(desk.works, one) | {"at": at}
        try:
            entries.append(typed_entry(desk, sender, "found", cells, f"{event_id}-{mark}"))
        except NotAnEventError as error:
            faults += [f"{one.item_id} on {one.piece}: {line}" for line in error.faults]
    if faults:
        raise NotAnEventError(faults)
    answers = hand_in(desk, entries, together=True)
    refused = [one for one in answers if one.outcome is Outcome.REFUSED]
    if refused:
        raise CallError("\n".join(dict.fromkeys(_own_reasons(refused))))
    return answers


def _own_reasons(refused: list[Answer]) -> list[str]:
    # Those only refused because of others say so; what helps is what is wrong with the others.
    lines = [line for one in refused for line in one.reasons]
    return [one for one in lines if not one.startswith("handed in together with it")] or lines
