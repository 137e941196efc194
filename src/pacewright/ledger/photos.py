"""Photos of a record: kept once each, named by events through their SHA-256, gone through."""

from collections.abc import Iterator
from hashlib import sha256

from sqlalchemy import Connection, func, insert, select

from pacewright.base.progress import Progress
from pacewright.events.record import Corrected
from pacewright.events.things import Event
from pacewright.ledger.database import Database
from pacewright.ledger.errors import READS_WRONG, plainly
from pacewright.ledger.tables import PHOTOS
from pacewright.ledger.verified import RecordFault

AT_ONCE = 4
"""Photos held in memory together when many are gone through or copied."""


def photos_named(event: Event) -> tuple[str, ...]:
    """Digests of the photos an event names; of a correction, those of what it puts in place."""
    if isinstance(event, Corrected):
        named = [str(body.get("photo", "")) for body in event.instead]
    else:
        named = [getattr(event, "photo", "")]
    return tuple(one for one in named if one)


def keep_photo(database: Database, content: bytes) -> str:
    """Keep a photo, once; gives the digest by which events name it.

    Raises
    ------
    RecordError : the database could not do it; the photo was not kept.
    """
    digest = sha256(content).hexdigest()
    with plainly(database.name, "The photo was not kept."), database.writing() as link:
        if not _is_kept(link, digest):
            link.execute(insert(PHOTOS).values(digest=digest, content=content))
            link.commit()
    return digest


def photo_of(database: Database, digest: str) -> bytes | None:
    """The photo of a digest; None: none is kept."""
    asked = select(PHOTOS.c.content).where(PHOTOS.c.digest == digest)
    with plainly(database.name, ""), database.reading() as link:
        content = link.execute(asked).scalar()
    return bytes(content) if content is not None else None


def not_kept(link: Connection, event: Event) -> tuple[str, ...]:
    """Why an event may not name its photos, a sentence each; empty: all of them are kept."""
    return tuple(
        f"photo: {one[:12]}... is not kept here. An event names a photo that the record holds. "
        "Send the photo first, or leave it out."
        for one in photos_named(event)
        if not _is_kept(link, one)
    )


def _is_kept(link: Connection, digest: str) -> bool:
    asked = select(func.count()).select_from(PHOTOS).where(PHOTOS.c.digest == digest)
    return bool(link.execute(asked).scalar())


class PhotosTold:
    """The photos that events name, held against those that are kept.

    Attributes
    ----------
    unnamed : photos kept that no event names: their booking did not follow, or was refused.
    """

    def __init__(self, link: Connection, progress: Progress) -> None:
        self.unnamed = 0
        self._link, self._progress = link, progress
        self._named: dict[str, int] = {}

    def take(self, place: int, event: Event) -> None:
        """Note what an event names."""
        for one in photos_named(event):
            self._named.setdefault(one, place)

    def rest(self) -> Iterator[RecordFault]:
        """Each photo that is not as it was kept, or is missing, once every event was taken."""
        there = set()
        try:
            for digest, content in self._rows():
                there.add(digest)
                if sha256(content).hexdigest() != digest:
                    yield RecordFault(
                        self._named.get(digest, 0), f"photo {digest[:12]}... is not as it was kept"
                    )
        except READS_WRONG as error:
            said = str(error).strip().split("\n", 1)[0][:200]
            yield RecordFault(0, f"the photos cannot be read ({said})")
            return
        for digest, place in self._named.items():
            if digest not in there:
                yield RecordFault(place, f"photo {digest[:12]}..., which it names, is missing")
        self.unnamed = len(there - self._named.keys())

    def _rows(self) -> Iterator[tuple[str, bytes]]:
        count = self._link.execute(select(func.count()).select_from(PHOTOS)).scalar() or 0
        asked = select(PHOTOS.c.digest, PHOTOS.c.content).order_by(PHOTOS.c.digest)
        told = self._link.execute(asked.execution_options(yield_per=AT_ONCE))
        for number, (digest, content) in enumerate(told):
            self._progress("verifying the photos", number / count)
            yield digest, content
