"""Pieces at the start as the record knows them: stage, position, work under way, units owed."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import NamedTuple

import numpy as np

from pacewright.events.standing import PieceStanding
from pacewright.events.things import WHOLE, Piece
from pacewright.shops.tables import Stage
from pacewright.simulate.calendars import Clock, Stretch
from pacewright.simulate.chains import Chain, Chains, TypeChains
from pacewright.simulate.crews import Crews
from pacewright.simulate.live_start import Brought, LiveStart, lead_of, minute_of
from pacewright.simulate.start_debt import Debts, Place, Row
from pacewright.simulate.start_owed import Owed
from pacewright.simulate.start_table import UNKNOWN, Floats, Ints, Stand, StartRows, There
from pacewright.simulate.table import FAR, Then
from pacewright.works import Works

FAR_SHARE = 0.99
"""Work that has gone on longer than this share of its law is taken to have gone on so long only."""

_ALL = 1 << 40
"""More minutes than any work takes."""


@dataclass(frozen=True)
class PieceStarts:
    """What the record says of the pieces of a run.

    Parameters
    ----------
    works, chains, crews, stretch : of the table that is compiled.
    live : the record and the moment.
    brought : the vehicles of the run with their pieces, in the order of the table.
    laws : quantiles of the work of each stage [min].
    """

    works: Works
    chains: Chains
    crews: Crews
    stretch: Stretch
    live: LiveStart
    brought: Sequence[Brought]
    laws: Floats

    def rows(self) -> StartRows:
        """The rows, in the order in which the pieces came to where they are."""
        debts = Debts(self.works, self.chains)
        rows = sorted(
            (debts.settled(one) for one in self._every()), key=lambda one: (one.since, one.piece)
        )
        work = [self._work(one) for one in rows]
        asks = np.full((len(rows), len(self.works.unit_kinds)), UNKNOWN, np.int64)
        late = np.zeros_like(asks)
        for place, one in enumerate(rows):
            for k, units in one.asks.items():
                asks[place, k] = units
            for k, units in one.late.items():
                late[place, k] = units
        return StartRows(
            piece=_ints([one.piece for one in rows]),
            step=_ints([one.place.step for one in rows]),
            stand=_ints([int(one.place.stand) for one in rows]),
            held=_ints([one.place.held for one in rows]),
            begun=_ints([one.begun for one in work]),
            ended=_ints([one.ended for one in work]),
            attempt=_ints([int(one.known.failed) if one.known else 0 for one in rows]),
            done_minutes=_ints([one.minutes for one in work]),
            share=np.array([one.share for one in work], np.float64),
            finished=_ints([self._finished(one) for one in rows]),
            asks=asks,
            late=late,
            more=_ints([one.more for one in rows]),
        )

    def _every(self) -> Iterator[Row]:
        first = 0
        for one in self.brought:
            chains = self.chains.of_type[one.coming.type_id]
            if one.coming.there in {There.INSIDE, There.GONE}:
                yield from self._of_vehicle(one, chains, first)
            first += 1 + sum(chain.pieces for chain in chains.parts[1:])

    def _of_vehicle(self, one: Brought, chains: TypeChains, first: int) -> Iterator[Row]:
        owed = Owed(self.works, self.live.standing, self.issued, one, chains)
        leading = chains.parts[0].assembly_id if chains.parts else ""
        lead = lead_of(one, leading)
        if lead is not None:
            whole = one.whole is not None
            stands = self._whole(lead, chains) if whole else self._parted(lead, chains, 0)
            yield Row(lead.since or self.live.now, first, stands, lead, owed.lead())
        number = first
        for which, chain in enumerate(chains.parts[1:], start=1):
            mine = one.pieces.get(chain.assembly_id, [])
            for place in range(chain.pieces):
                number += 1
                if place < len(mine):
                    known = mine[place]
                    stands = self._parted(known, chains, which)
                    since = known.since or self.live.now
                    yield Row(since, number, stands, known, owed.piece(chain, place))
                elif one.whole is None or owed.married():
                    continue
                elif asks := owed.piece(chain, place):
                    elsewhere = Place(Stand.ELSEWHERE, chain.first_step)
                    yield Row(self.live.now, number, elsewhere, None, asks)

    # -- where a piece stands ------------------------------------------------------------------

    def _whole(self, known: PieceStanding, chains: TypeChains) -> Place:
        """A vehicle that is whole: before it parted, or married again."""
        parted = {stage.stage_id for chain in chains.parts for stage in chain.stages}
        chain = chains.after if parted & {*known.done, known.stage_id} else chains.before
        if known.stage_id in parted:
            return Place(Stand.ASKS, chain.first_step, self._stage_index[known.stage_id])
        return self._on(known, chain)

    def _parted(self, known: PieceStanding, chains: TypeChains, which: int) -> Place:
        """An assembly by itself; ``which`` 0 is the leading one."""
        chain = chains.parts[which]
        if any(one.stage_id == known.stage_id for one in chains.before.stages):
            held = self._stage_index[known.stage_id]
            return Place(Stand.PARTED, chain.first_step, held)
        if not known.position and not known.came_from:
            # Entered in the books by itself: a spare, ready to be married.
            return Place(Stand.WAITS, chain.end_step - 1)
        return self._on(known, chain)

    def _on(self, known: PieceStanding, chain: Chain) -> Place:
        """On a stage of its way, or on none: then at the first that it has not done."""
        names = [one.stage_id for one in chain.stages]
        if known.stage_id in names and known.position:
            return self._at(known, chain, names.index(known.stage_id))
        held = self._stage_index.get(known.stage_id, -1) if known.position else -1
        for place, name in enumerate(names):
            if name not in known.done:
                return Place(Stand.ASKS, chain.first_step + place, held)
        last = chain.end_step - 1
        parts = chain.assembly_id == WHOLE and self.chains.steps[last].then == Then.PART
        return Place(Stand.PASSED if parts or known.position else Stand.WAITS, last)

    def _at(self, known: PieceStanding, chain: Chain, place: int) -> Place:
        step, stage = chain.first_step + place, chain.stages[place]
        if known.finished and not known.failed:
            if place + 1 < len(chain.stages):
                return Place(Stand.ASKS, step + 1, self._stage_index[stage.stage_id])
            return Place(Stand.PASSED, step)
        if known.failed or known.began or self._works_by_itself(stage, step):
            return Place(Stand.AT_WORK, step)
        return Place(Stand.POSITIONED, step)

    def _works_by_itself(self, stage: Stage, step: int) -> bool:
        """A stage that needs nobody begins when the piece stands there, if it fits no unit."""
        fits = any(one.fit_stage_id == stage.stage_id for one in self.works.unit_kinds)
        return not any(need for _, need in self._needs(step)) and stage.batch_size == 1 and not fits

    @cached_property
    def _stage_index(self) -> dict[str, int]:
        return {one.stage_id: s for s, one in enumerate(self.works.stages)}

    def _needs(self, step: int) -> list[tuple[int, int]]:
        return self.crews.needs(self.chains.steps[step])

    # -- work under way ------------------------------------------------------------------------

    class _Work(NamedTuple):
        begun: int = 0
        ended: int = 0
        minutes: int = 0
        share: float = 0.0

    def _work(self, row: Row) -> _Work:
        """Which parts of the work are under way and done, and how long the last has gone on."""
        known = row.known
        if known is None or row.place.stand not in {Stand.AT_WORK, Stand.LACKS}:
            return self._Work()
        if row.place.stand is Stand.LACKS and known.finished:
            # All of it is done: only what was added is left.
            return self._Work(minutes=_ALL)
        begun, ended, since = self._parts(known, row.place.step)
        if not begun:
            return self._Work(0, ended)
        minutes = self._worked_since(since, row.place.step)
        if known.failed:
            return self._Work(begun, ended, minutes)
        law = self.laws[self._stage_index[self.chains.steps[row.place.step].stage.stage_id]]
        share = share_below(law, minutes)
        if share > FAR_SHARE:
            far = int(np.interp(FAR_SHARE, np.linspace(0.0, 1.0, len(law)), law))
            return self._Work(begun, ended, min(minutes, far), FAR_SHARE)
        return self._Work(begun, ended, minutes, share)

    def _parts(self, known: PieceStanding, step: int) -> tuple[int, int, datetime]:
        """Bits of the crews at work and of those that are done; when the last began."""
        begun = ended = 0
        since = known.since or self.live.now
        people = self.works.people
        needs = self._needs(step)
        for n, (c, need) in enumerate(needs):
            trade = people[c].trade_id if need else ""
            if not need or trade in known.trades:
                begun |= 1 << n
                since = max(since, known.began.get(trade, since))
            elif trade in known.began:
                ended |= 1 << n
        if known.began and not begun and ended.bit_count() == len(needs):
            # All trades are done and the stage is not passed yet: it is about to be.
            return 1, ended & ~1, known.last_at or since
        return begun, ended, since

    def _worked_since(self, since: datetime, step: int) -> int:
        stage = self.chains.steps[step].stage
        start = self.stretch.days.start
        began = min(minute_of(self.stretch, since), start)
        if stage.night_goes_on:
            return max(0, start - max(0, began))
        hours = self.works.shop_hours_a_day[stage.shop_id]
        k = self.stretch.calendar_of(hours)
        return self._clock.worked(start, k) - self._clock.worked(began, k)

    @cached_property
    def _clock(self) -> Clock:
        return Clock.of(self.stretch.days)

    def _finished(self, row: Row) -> int:
        """When the stage before was finished: when it was last told of, or came where it stands."""
        if row.known is None:
            return self.stretch.days.start
        if row.place.stand is Stand.LACKS:
            # Its work had begun: it has not been left to wait.
            return FAR
        waits = row.place.stand is Stand.ASKS
        at = row.known.last_at if waits else row.known.since
        return minute_of(self.stretch, at or self.live.now)

    # -- units ---------------------------------------------------------------------------------

    @cached_property
    def issued(self) -> Counter[tuple[Piece, str]]:
        """Units given out and not yet fitted: for which piece, of which kind."""
        return Counter(
            (one.issued_to, unit.unit_kind_id)
            for unit, one in self.live.standing.units.items()
            if one.issued_to is not None
        )


def share_below(law: Floats, minutes: float) -> float:
    """Share of a law, given by its quantiles, that lies below a value."""
    return float(np.interp(minutes, law, np.linspace(0.0, 1.0, len(law)), left=0.0, right=1.0))


def _ints(values: list[int]) -> Ints:
    return np.array(values, np.int64)
