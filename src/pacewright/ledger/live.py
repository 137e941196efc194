"""Where everything stands now, kept in memory, in step with the record."""

from sqlalchemy import Connection, select

from pacewright.ledger.database import Database
from pacewright.ledger.errors import RecordError, plainly, readable
from pacewright.ledger.reading import head_of
from pacewright.ledger.recall import CORRECTED, Recall, fold_on
from pacewright.ledger.snapshots import Snapshot, nearest, put, taken
from pacewright.ledger.stood import Stood
from pacewright.ledger.tables import EVENTS

FAR = 4
"""Stretches between snapshots beyond which a fold leaves some on its way."""


class Live:
    """The live standing of one open record.

    Parameters
    ----------
    every : least number of events between two snapshots.

    Attributes
    ----------
    recall : standings a little behind, for corrections; good for as long as the live one is.
    """

    def __init__(self, database: Database, every: int) -> None:
        self.recall = Recall()
        self._database, self._every = database, every
        self._stood: Stood | None = None
        self._snapshot_place = self._taken_place = 0
        self._on_the_way: list[Snapshot] = []

    def forget(self) -> None:
        """What stands in memory may hold what the database has not kept."""
        self._stood = None
        self._on_the_way.clear()
        self.recall.forget()

    def caught_up(self, link: Connection) -> Stood:
        """Where everything stands, what other writers kept included."""
        stood, self._stood = self._stood, None
        head = head_of(link)
        if stood is None or (stood.place, stood.digest.hex()) != (head.place, head.digest):
            if stood is None or not goes_on(link, stood):
                self.recall.forget()
                stood = nearest(link)
                self._snapshot_place = stood.place
            with readable(self._database.name):
                self._fold_from_afar(link, stood, head.place)
                fold_on(link, stood)
        self._stood = stood
        return stood

    def _fold_from_afar(self, link: Connection, stood: Stood, last_place: int) -> None:
        """Fold a long stretch, with snapshots on the way: closer to each other the nearer to now.

        They are wanted after a new form of snapshots, or where the cache was taken away: without
        them every question about yesterday would fold the whole record again.
        """
        distance, stretch = self._every, last_place - stood.place
        if stretch <= FAR * distance:
            return
        while 2 * distance < stretch:
            distance *= 2
        while distance >= self._every:
            fold_on(link, stood, last_place - distance)
            self._on_the_way.append(taken(stood))
            distance //= 2

    def becomes(self, stood: Stood, snapshot_left: int | None) -> None:
        """What was handed in is kept.

        Parameters
        ----------
        snapshot_left : place of the last snapshot that a correction left; None: no correction.
        """
        self._stood = stood
        if snapshot_left is not None:
            self._snapshot_place = min(self._snapshot_place, snapshot_left)

    def look_after(self) -> None:
        """Take a snapshot when it is time."""
        stood, every = self._stood, self._every
        if stood is None or self._database.read_only:
            return
        stretch, rested = stood.place - self._snapshot_place, stood.place - self._taken_place
        if stretch < max(every, stood.place // 100) and not self._on_the_way:
            return
        if rested < every // 4 and stretch < 10 * every:
            # Each correction of something recent takes the last one away: not anew every time.
            return
        try:
            self._keep_snapshot(stood)
        except RecordError:
            # A snapshot only saves time; what was handed in is kept already, and was answered so.
            return

    def _keep_snapshot(self, stood: Stood) -> None:
        snapshot = taken(stood)
        with plainly(self._database.name), self._database.writing() as link:
            # A correction by another writer in between makes it stale before it is kept.
            if goes_on(link, stood):
                for one in (*self._on_the_way, snapshot):
                    put(link, one, self._every)
                link.commit()
            self._on_the_way.clear()
            self._snapshot_place = self._taken_place = stood.place


def goes_on(link: Connection, stood: Stood) -> bool:
    """Whether the record goes on from where it was left, nothing before that mended since."""
    if stood.place:
        asked = select(EVENTS.c.digest).where(EVENTS.c.place == stood.place)
        if link.execute(asked).scalar() != stood.digest:
            return False
    news = select(EVENTS.c.place).where(EVENTS.c.kind == CORRECTED, EVENTS.c.place > stood.place)
    return link.execute(news.limit(1)).first() is None
