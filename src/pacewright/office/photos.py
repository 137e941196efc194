"""Photos at the desk: kept for a finding, found again by their digest."""

from collections.abc import Iterable, Mapping, Sequence

from pacewright.base.faults import CallError
from pacewright.control.scope_seen import seen_of
from pacewright.events.stages import Found
from pacewright.events.standing import Standing
from pacewright.events.units import UnitFound
from pacewright.files.photo import PHOTO_BYTES as PHOTO_BYTES  # noqa: PLC0414
from pacewright.files.photo import NoPhotoError, bare_photo, sort_of
from pacewright.ledger.errors import RecordError
from pacewright.office.booking import NotAnEventError
from pacewright.office.desk import Desk
from pacewright.office.desk_booking import NotNowError
from pacewright.office.errors import NotFoundError
from pacewright.reports.sheet import Photo
from pacewright.reports.table import Table, table, text
from pacewright.reports.written import moment

SENT, KEPT = "file", "photo"
"""How fields of a form begin: a photo sent with it, and the digest of one kept before."""


def keep_photo(desk: Desk, came: bytes) -> str:
    """Keep the picture of a photo, and nothing else that came with it; gives its digest.

    Raises
    ------
    NotAnEventError : it is no photo that may be kept.
    NotNowError : the record cannot be written.
    CallError : this server only shows.
    """
    if desk.read_only:
        raise CallError("This server only shows. No photo is kept here. Ask where booking is.")
    try:
        return desk.ledger.keep_photo(bare_photo(came))
    except NoPhotoError as error:
        raise NotAnEventError([str(error)]) from error
    except RecordError as error:
        raise NotNowError(str(error)) from error


def photos_kept(
    desk: Desk, files: Mapping[str, bytes], only: Iterable[str] | None = None
) -> dict[str, str]:
    """The photos that came with a form, each kept; gives the fields that name them.

    Parameters
    ----------
    files : field, ``file`` or ``file PIECE ITEM``, and what came.
    only : what follows ``file`` in the fields that are wanted; None: all.

    Raises
    ------
    As ``keep_photo``; with every file that is no photo.
    """
    wanted = None if only is None else set(only)
    fields: dict[str, str] = {}
    faults: list[str] = []
    for name, came in files.items():
        sort, _, item = name.partition(" ")
        if sort != SENT or (wanted is not None and item not in wanted):
            continue
        try:
            fields[f"{KEPT} {item}".strip()] = keep_photo(desk, came)
        except NotAnEventError as error:
            faults += [f"{item}, {line}" if item else line for line in error.faults]
    if faults:
        raise NotAnEventError(faults)
    return fields


def photo(desk: Desk, digest: str) -> tuple[bytes, str]:
    """A photo and its media type.

    Raises
    ------
    NotFoundError : none is kept under that digest.
    """
    content = desk.ledger.photo(digest)
    if content is None:
        raise NotFoundError(f"photo {digest[:64]}: none is kept. Check the digest.")
    return content, sort_of(content)


def found_on(standing: Standing, vehicle_id: str) -> list[Found]:
    """What inspection found of a vehicle inside and its assemblies, the newest first."""
    seen = seen_of(standing, vehicle_id)
    found = [event for one in (seen.whole, *seen.assemblies) for event in one.found.values()]
    return sorted(found, key=lambda one: one.at, reverse=True)


def photo_table(photos: Sequence[Photo]) -> Table:
    """Photos as rows, so that CSV and REST name them too."""
    return table(
        ("photos", "Photos", "One row a photo."),
        (
            text("caption", "what it shows: item, verdict, when"),
            text("digest", "SHA-256 by which it is found, under /api/photos/"),
        ),
        photos,
    )


def photos_of(
    found: Iterable[Found | UnitFound], names: Mapping[str, str] | None = None
) -> tuple[Photo, ...]:
    """The photos of some findings, each with what it shows.

    Parameters
    ----------
    names : item -> its name, to be said instead of its id.
    """
    names = names or {}
    return tuple(
        Photo(
            one.photo,
            f"{names.get(one.item_id) or one.item_id}: {one.verdict.value}, {moment(one.at)}",
        )
        for one in found
        if one.photo
    )
