"""Snapshots of standings: a cache beside the record, checked before it is believed."""

import zlib
from dataclasses import asdict, dataclass
from datetime import datetime
from hashlib import sha256

from sqlalchemy import Connection, and_, delete, func, insert, select

from pacewright.events.snapshot import FORM, StaleSnapshotError, read_snapshot, write_snapshot
from pacewright.events.standing import Standing
from pacewright.ledger.stood import Stood
from pacewright.ledger.tables import EVENTS, SNAPSHOTS


@dataclass(frozen=True, slots=True)
class Snapshot:
    """A standing as it is kept.

    Parameters
    ----------
    place, digest : the event after which it held.
    latest_at : latest moment told by any event so far, works clock.
    form : form of the standing as it is written.
    content : the standing, compressed.
    seal : SHA-256 over all of these.
    """

    place: int
    digest: bytes
    latest_at: datetime
    form: int
    content: bytes
    seal: bytes

    def seal_due(self) -> bytes:
        """The seal it must have."""
        told = f"{self.place} {self.latest_at.isoformat()} {self.form} ".encode()
        return sha256(told + self.digest + self.content).digest()

    def standing(self) -> Standing:
        """The standing.

        Raises
        ------
        StaleSnapshotError : it is of another form, or damaged.
        """
        if self.form != FORM or self.seal != self.seal_due():
            raise StaleSnapshotError(f"snapshot after place {self.place}: another form, or damaged")
        return read_snapshot(zlib.decompress(self.content))


def taken(stood: Stood) -> Snapshot:
    """A snapshot of where everything stands."""
    content = zlib.compress(write_snapshot(stood.standing), 1)
    bare = Snapshot(stood.place, stood.digest, stood.latest_at, FORM, content, b"")
    return Snapshot(bare.place, bare.digest, bare.latest_at, FORM, content, bare.seal_due())


_BELIEVED = and_(EVENTS.c.place == SNAPSHOTS.c.place, EVENTS.c.digest == SNAPSHOTS.c.digest)
# A snapshot counts only while the chain of the record passes through its digest.


def nearest_place(link: Connection, *, before: int) -> int:
    """Place of the last snapshot before a place; 0: there is none."""
    asked = select(func.max(SNAPSHOTS.c.place)).where(SNAPSHOTS.c.place < before)
    return int(link.execute(asked).scalar() or 0)


def nearest(
    link: Connection, *, before: int | None = None, latest_at: datetime | None = None
) -> Stood:
    """The standing of the last snapshot that can be believed; the empty one when there is none.

    Parameters
    ----------
    before : only snapshots of before this place.
    latest_at : only snapshots by which nothing is told of later than this moment.
    """
    asked = (
        select(SNAPSHOTS.c.place, EVENTS.c.recorded_at)
        .join(EVENTS, _BELIEVED)
        .where(SNAPSHOTS.c.form == FORM)
        .order_by(SNAPSHOTS.c.place.desc())
    )
    if before is not None:
        asked = asked.where(SNAPSHOTS.c.place < before)
    if latest_at is not None:
        asked = asked.where(SNAPSHOTS.c.latest_at <= latest_at)
    for place, recorded_at in link.execute(asked).fetchall():
        kept = snapshot_at(link, place)
        try:
            standing = kept.standing()
        except StaleSnapshotError:
            continue
        return Stood(standing, place, kept.digest, recorded_at, kept.latest_at)
    return Stood()


def snapshot_at(link: Connection, place: int) -> Snapshot:
    """The snapshot after a place."""
    return Snapshot(*link.execute(select(SNAPSHOTS).where(SNAPSHOTS.c.place == place)).one())


def snapshot_places(link: Connection) -> list[int]:
    """Places of all snapshots, in order."""
    return list(link.execute(select(SNAPSHOTS.c.place).order_by(SNAPSHOTS.c.place)).scalars())


def put(link: Connection, snapshot: Snapshot, every: int) -> None:
    """Keep a snapshot, and of the older ones only few: the further back, the fewer."""
    link.execute(delete(SNAPSHOTS).where(SNAPSHOTS.c.form != FORM))
    places = [one for one in snapshot_places(link) if one != snapshot.place]
    gone = [*(set(places) - spread(places, snapshot.place, every)), snapshot.place]
    link.execute(delete(SNAPSHOTS).where(SNAPSHOTS.c.place.in_(gone)))
    link.execute(insert(SNAPSHOTS).values(asdict(snapshot)))


def spread(places: list[int], head: int, every: int) -> set[int]:
    """Which snapshots stay: one in each stretch, four stretches a doubling of distance from now."""
    first: dict[tuple[int, int], int] = {}
    for place in sorted(places):
        distance = (head - place) // every
        doublings = distance.bit_length()
        # The oldest of a stretch stays, or none would ever grow old.
        first.setdefault((doublings, distance >> max(doublings - 3, 0)), place)
    return set(first.values())


def drop_from(link: Connection, place: int) -> None:
    """Take away the snapshots that rest on the event at ``place``, which was mended."""
    link.execute(delete(SNAPSHOTS).where(SNAPSHOTS.c.place >= place))
