"""A correction at the door: the record as mended by it must be possible from end to end."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection

from pacewright.events.corrections import why_wrong_by_itself
from pacewright.events.fold import refusals
from pacewright.events.record import Corrected, Recorded
from pacewright.events.things import Event
from pacewright.events.written import from_json
from pacewright.ledger.chain import Row
from pacewright.ledger.door import broken_rules, in_future
from pacewright.ledger.entry import Door, Manner
from pacewright.ledger.recall import (
    Instead,
    Recall,
    corrections_after,
    instead_of,
    row_of,
    rows_after,
    truth,
)
from pacewright.ledger.stood import Stood


@dataclass(frozen=True, slots=True)
class Mended:
    """The record as a correction would make it.

    Parameters
    ----------
    stood : where everything stands then.
    root : place of the event that is mended in the end; a correction may void another one.
    """

    stood: Stood
    root: int


@dataclass(frozen=True, slots=True)
class Mender:
    """Judges corrections within one writing transaction.

    Parameters
    ----------
    door : asked of what a correction puts in place, as things stood there.
    now : works clock.
    """

    link: Connection
    recall: Recall
    door: Door | None
    now: datetime
    manner: Manner

    def mend(self, one: Recorded) -> Mended | tuple[str, ...]:
        """Fold the record as if it had been written so from the start.

        Returns
        -------
        What comes of it, or every reason why ``one``, not in the record yet, cannot be kept.
        """
        root, chain = self._root(one)
        known = [] if root is None else [Recorded(root.event_id, from_json(root.body)), *chain]
        wrong = why_wrong_by_itself(known, one)
        if root is None or wrong:
            return (str(wrong),)
        stood = self.recall.before(self.link, root.place)
        instead = instead_of([*corrections_after(self.link, root.place), one])
        reasons = self._in_place(stood, truth(root, instead))
        stood.step(root)
        reasons = reasons or self._onward(stood, instead)
        return reasons or Mended(stood, root.place)

    def _root(self, one: Recorded) -> tuple[Row | None, list[Recorded]]:
        """The event mended in the end, and every correction that has to do with it."""
        target, row = one.event, None
        while isinstance(target, Corrected):
            row = row_of(self.link, target.mends)
            if row is None:
                return None, []
            target = from_json(row.body)
        if row is None:
            return None, []
        family, chain = {row.event_id}, []
        for known in corrections_after(self.link, row.place):
            if isinstance(known.event, Corrected) and known.event.mends in family:
                family.add(known.event_id)
                chain.append(known)
        return row, chain

    def _in_place(self, stood: Stood, events: tuple[Event, ...]) -> tuple[str, ...]:
        for event in events:
            reasons = (
                *in_future(event, self.now, self.manner.ahead),
                *broken_rules(stood.standing, event, self.door),
            )
            if reasons:
                return reasons
            stood.follow((event,))
        return ()

    def _onward(self, stood: Stood, instead: Instead) -> tuple[str, ...]:
        for row in rows_after(self.link, stood.place):
            for event in truth(row, instead):
                found = refusals(stood.standing, event)
                if found:
                    lines = "\n".join(map(str, found))
                    place = f"event {row.event_id}, place {row.place} of the record,"
                    return (f"with this correction {place} is impossible:\n{lines}",)
                stood.follow((event,))
            stood.step(row)
        return ()
