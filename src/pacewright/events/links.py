"""What was on what, from when to when: identity followed both ways at any moment."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Generic, NamedTuple, TypeVar

from pacewright.events.things import Piece, Unit

Thing = TypeVar("Thing", Piece, Unit)


class Link(NamedTuple):
    """One thing was on one carrier for a time.

    Parameters
    ----------
    carrier : vehicle or assembly it was on.
    since : from this moment on; None: since before the record began.
    until : up to but not at this moment; None: still.
    """

    carrier: Piece
    since: datetime | None
    until: datetime | None

    def holds_at(self, moment: datetime) -> bool:
        """True when the link stood at ``moment``."""
        return (self.since is None or self.since <= moment) and (
            self.until is None or moment < self.until
        )


@dataclass(slots=True)
class Links(Generic[Thing]):
    """All links of things of one sort (assemblies, or units) to what carries them.

    Parameters
    ----------
    of : thing -> its links in order of time; at most the last is open.
    ever_on : carrier -> every thing that was ever on it; follows from ``of``, kept for speed.
    on : carrier -> what is on it now; follows from ``of``, kept for speed.
    """

    of: dict[Thing, list[Link]] = field(default_factory=dict)
    ever_on: dict[Piece, dict[Thing, None]] = field(default_factory=dict)
    on: dict[Piece, dict[Thing, None]] = field(default_factory=dict)

    def copy(self) -> "Links[Thing]":
        """One that changes nothing in this one when it changes."""
        return Links(
            {thing: chain.copy() for thing, chain in self.of.items()},
            {carrier: things.copy() for carrier, things in self.ever_on.items()},
            {carrier: things.copy() for carrier, things in self.on.items()},
        )

    def join(self, thing: Thing, carrier: Piece, since: datetime | None) -> None:
        """From ``since`` on ``thing`` is on ``carrier``."""
        chain = self.of.get(thing)
        if chain is None:
            self.of[thing] = [Link(carrier, since, None)]
        else:
            chain.append(Link(carrier, since, None))
        for index in (self.ever_on, self.on):
            things = index.get(carrier)
            if things is None:
                index[carrier] = {thing: None}
            else:
                things[thing] = None

    def part(self, thing: Thing, carrier: Piece, until: datetime) -> None:
        """``thing`` comes off; never heard of before, it was on ``carrier`` all the while."""
        chain = self.of.get(thing)
        if chain is None:
            self.of[thing] = [Link(carrier, None, until)]
            self.ever_on.setdefault(carrier, {})[thing] = None
            return
        last = chain[-1]
        if last.until is None:
            chain[-1] = Link(last.carrier, last.since, until)
            things = self.on[last.carrier]
            del things[thing]
            if not things:
                del self.on[last.carrier]

    def now_on(self, thing: Thing) -> Piece | None:
        """What carries ``thing`` now."""
        chain = self.of.get(thing)
        return chain[-1].carrier if chain and chain[-1].until is None else None

    def on_now(self, carrier: Piece) -> tuple[Thing, ...]:
        """What is on ``carrier`` now, as far as the record knows."""
        return tuple(sorted(self.on.get(carrier, ())))

    def carrier_at(self, thing: Thing, moment: datetime) -> Piece | None:
        """What carried ``thing`` at ``moment``; None: nothing, or not known."""
        for link in reversed(self.of.get(thing, ())):
            if link.holds_at(moment):
                return link.carrier
        return None

    def on_at(self, carrier: Piece, moment: datetime) -> tuple[Thing, ...]:
        """What was on ``carrier`` at ``moment``, as far as the record knows."""
        return tuple(
            one
            for one in sorted(self.ever_on.get(carrier, ()))
            if any(link.carrier == carrier and link.holds_at(moment) for link in self.of[one])
        )

    def rehang(self, old: Piece, new: Piece, moment: datetime) -> None:
        """All that is on ``old`` is on ``new`` from ``moment`` on."""
        for thing in self.on_now(old):
            self.part(thing, old, moment)
            self.join(thing, new, moment)
