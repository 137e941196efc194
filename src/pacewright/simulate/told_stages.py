"""The way of every piece of a run told: positions, work, tests, findings, parting, marriage."""

from collections import defaultdict
from collections.abc import Callable
from datetime import date, datetime
from math import ceil
from random import Random

from pacewright.events.gate import Promised
from pacewright.events.identity import Modified, Stripped
from pacewright.events.stages import (
    Failed,
    Freed,
    Held,
    Moved,
    PutIntoUse,
    PutOutOfUse,
    Rectified,
    Redone,
    StageFinished,
)
from pacewright.events.things import WHOLE, Cause, Event, Piece
from pacewright.simulate.table import Then
from pacewright.simulate.told_found import FoundTold
from pacewright.simulate.told_ground import Ground
from pacewright.simulate.told_here import NOWHERE, Here, Positions
from pacewright.simulate.told_identity import IdentityTold
from pacewright.simulate.told_lifting import LIFT_MINUTES, LiftsTold
from pacewright.simulate.told_tests import TestsTold
from pacewright.simulate.told_units import Later, UnitsTold

# Working minutes a piece stands before anybody writes down why.
_HELD_AFTER = 60
# Of those that wait for people so many are found standing unsafely.
_UNSAFE_SHARE, _UNSAFE = 0.01, "supports not checked since it was set down"
_FREED_BY = "safety inspector 1"
# Working days past the promise at which a new one is given, and that a new one leaves in hand.
_CLEARLY_LATE, _IN_HAND = 1, 1


class StagesTold:
    """Tells the way of every piece.

    Parameters
    ----------
    ground, tell, later, chance : as for units.
    units : told of what comes off and goes on.
    """

    def __init__(
        self,
        ground: Ground,
        tell: Callable[[Event], None],
        later: Later,
        chance: Random,
        units: UnitsTold,
    ) -> None:
        self._ground, self._tell, self._later = ground, tell, later
        self._chance, self._units = chance, units
        self.at: datetime = ground.moment(0)
        self.now = 0
        self.here: dict[tuple[int, int], Here] = {}
        self.promises: dict[int, date] = {}
        self.last: Here
        self._positions = Positions(ground.table.stages.positions.tolist())
        self._tests = TestsTold(ground, tell, chance)
        self._lifts = LiftsTold(ground, tell)
        self._found = FoundTold(ground, tell, chance)
        self._identity = IdentityTold(ground, tell)
        self._stripped: dict[int, int] = defaultdict(int)

    # -- who is where ------------------------------------------------------------------------

    def enter(self, v: int) -> Here:
        """A vehicle comes."""
        self.here[v, 0] = Here(v, 0, self.whole(v))
        return self.here[v, 0]

    def whole(self, v: int) -> Piece:
        """The vehicle as a piece."""
        return Piece(WHOLE, self._ground.numbers[v])

    def of_vehicle(self, v: int) -> list[Here]:
        """The pieces that came in with a vehicle and are inside."""
        return [one for (w, _), one in self.here.items() if w == v]

    def leave(self, v: int) -> None:
        """A vehicle is gone."""
        self._positions.leave(self.here.pop((v, 0)))
        self.promises.pop(v, None)

    # -- waiting -----------------------------------------------------------------------------

    def waits(self, here: Here, cause: Cause, waits_for: str = "") -> None:
        """A piece begins to wait; when it still does after a while somebody writes it down."""
        here.wait += 1
        here.cause, here.waits_for = cause, waits_for
        wait = here.wait
        self._later(_HELD_AFTER, lambda: self._still_waits(here, wait))

    def _still_waits(self, here: Here, wait: int) -> None:
        if here.wait != wait or here.cause is None:
            return
        self._tell(Held(self.at, here.piece, here.cause, self._what_for(here)))
        here.held = here.cause
        if here.cause is Cause.PEOPLE and self._chance.random() < _UNSAFE_SHARE:
            self._tell(Held(self.at, here.piece, Cause.SAFETY, reason=_UNSAFE))
            here.unsafe = True

    def _what_for(self, here: Here) -> str:
        if here.cause is not Cause.PART:
            return here.waits_for
        lacking = [k for k, ask in here.asks.items() if ask.lacks]
        return self._ground.table.names.kinds[lacking[0]] if lacking else ""

    def waits_no_more(self, here: Here, frees: bool = False) -> None:
        """The wait is over; some holds end of themselves, others are freed, safety's always."""
        if here.unsafe:
            self._tell(Freed(self.at, here.piece, Cause.SAFETY, _FREED_BY))
            here.unsafe = False
        if frees and here.held is not None:
            self._tell(Freed(self.at, here.piece, here.held))
        here.wait += 1
        here.cause = here.held = None

    # -- position, units, people -------------------------------------------------------------

    def ready(self, here: Here, stage: int) -> None:
        """A piece asks for a position."""
        if here.n == 0 and here.piece.assembly_id != WHOLE and self._ground.is_whole[stage]:
            self.waits_no_more(here)
            self._identity.married(self.at, here)
        self.waits(here, Cause.POSITION, self._ground.stages[stage])

    def positioned(self, here: Here, stage: int) -> None:
        """A piece is put on a position, and asks for its units."""
        self.waits_no_more(here)
        position = self._positions.enter(here, stage)
        here.step = self._ground.step_of[self._ground.types[here.v], stage]
        here.failed = None
        here.passed.clear()
        self._tell(Moved(self.at, here.piece, self._ground.stages[stage], position))
        self._units.ask(here)
        if here.asks:
            self.waits(here, Cause.PART)

    def supplied(self, here: Here) -> None:
        """All units are there."""
        self.waits_no_more(here, frees=True)
        self.waits(here, Cause.BATCH if self._is_charge(here) else Cause.PEOPLE, self._trade(here))

    def _is_charge(self, here: Here) -> bool:
        return int(self._ground.table.stages.batch[here.stage]) > 1

    def _trade(self, here: Here) -> str:
        crews = self._ground.crews
        for c in self._ground.needs[here.step]:
            crew = crews[c]
            if crew is not None:
                return crew[1]
        return ""

    def batched(self, here: Here) -> None:
        """The charge is made up."""
        self.waits_no_more(here, frees=True)
        self.waits(here, Cause.PEOPLE, self._trade(here))

    def started(self, here: Here, c: int) -> None:
        """A trade starts; with the first of them the units go on."""
        if here.cause is not None:
            self.waits_no_more(here, frees=c < 0)
        if here.asks:
            self._units.fitted(here)
        crew = self._ground.crews[c] if c >= 0 else None
        if crew is not None:
            here.started[c] = self.now
            if self._lifts.started(self.at, here, crew[1]):
                self._later(LIFT_MINUTES, lambda: self._lifts.lifted(self.at, here))

    def ended(self, here: Here, c: int) -> None:
        """A trade ends; its time is written down as people write it down."""
        crew = self._ground.crews[c] if c >= 0 else None
        if crew is None:
            return
        clock = self._ground.clock
        calendar = int(self._ground.table.crews.calendar[c])
        worked = clock.worked(self.now, calendar)
        minutes = worked - clock.worked(here.started.pop(c), calendar)
        need = self._ground.needs[here.step][c]
        scatter = 0.9 + 0.2 * self._chance.random()
        hours = max(0.1, round(minutes * need / 6000 * scatter, 1))
        self._lifts.ended(self.at, here, crew[1], hours)

    # -- the end of a stage ------------------------------------------------------------------

    def failed(self, here: Here) -> None:
        """A piece fails: one of the items of the stage, if it has any."""
        first = here.failed is None
        here.failed = self._tests.failed(self.at, here)
        reason = f"{', '.join(here.failed)} out of limits" if here.failed else "faults on the run"
        self._tell(Failed(self.at, here.piece, self._ground.stages[here.stage], reason))
        if first:
            self.waits(here, Cause.INSPECTION, here.failed[0] if here.failed else "")

    def finished(self, here: Here) -> None:
        """The stage is passed: the tests, what was put right, what was found."""
        self._lifts.finished(self.at, here)
        self._tests.passed(self.at, here)
        stage_id = self._ground.stages[here.stage]
        if here.failed is not None:
            self._tell(Rectified(self.at, here.piece, stage_id))
            here.failed = None
        self._found.at_end_of(self.at, here)
        self._tell(StageFinished(self.at, here.piece, stage_id))
        self.last = here
        self._modified(here)
        if self._ground.strips[here.step]:
            self._stripped[here.v] += 1
            if self._stripped[here.v] == self._ground.strip_stages[self._ground.types[here.v]]:
                del self._stripped[here.v]
                self._tell(Stripped(self.at, self._ground.numbers[here.v]))
        if here.n == 0:
            self._promise(here)
            if self._ground.table.steps.then[here.step] == Then.MARRY:
                self.waits(here, Cause.ASSEMBLY)

    def _modified(self, here: Here) -> None:
        ground = self._ground
        where = ground.types[here.v], here.stage
        for campaign_id, first, last in ground.campaigns.get(where, ()):
            if first <= int(ground.table.vehicles.day[here.v]) <= last:
                self._tell(Modified(self.at, ground.numbers[here.v], campaign_id))

    def _promise(self, here: Here) -> None:
        """A new promise when the old one will clearly not be kept."""
        ground, promise = self._ground, self.promises.get(here.v)
        left = ground.days_left[ground.types[here.v], here.stage]
        if promise is None or left < 1:
            return
        calendar, today = ground.works.calendar, self.at.date()
        days_to_promise = calendar.count(today, promise) - 1 if promise >= today else -1
        if left > days_to_promise + _CLEARLY_LATE:
            day = calendar.add(today, ceil(left) + _IN_HAND)
            if day > promise:
                self.promises[here.v] = day
                self._tell(Promised(self.at, ground.numbers[here.v], day))

    def redone(self, here: Here) -> None:
        """The stage before is done again."""
        self._tell(Redone(self.at, here.piece, self._ground.stages[here.stage]))

    # -- parting and marriage ----------------------------------------------------------------

    def parted(self, v: int) -> None:
        """A vehicle is parted into its assemblies."""
        lead = self.here[v, 0]
        others = self._identity.parted(self.at, lead)
        self.here.update({(v, one.n): one for one in others})
        self._positions.share(lead, others)

    def stored(self, here: Here) -> None:
        """A piece waits on the floor for any vehicle of its type."""
        self._positions.leave(here)
        here.stage = NOWHERE
        self._identity.stored(self.at, here)

    def married(self, v: int, origin: int) -> None:
        """One piece is taken for a vehicle; the marriage is told when it has all."""
        taken = self._identity.taken(v, origin)
        del self.here[taken.v, taken.n]

    # -- upsets ------------------------------------------------------------------------------

    def upset(self, u: int) -> None:
        """A position or bench is lost."""
        stage = int(self._ground.table.upsets.stage[u])
        reason = self._ground.table.names.upsets[u]
        if stage < 0:
            self._units.bench_lost(int(self._ground.table.upsets.kind[u]), reason)
            return
        position = self._positions.lose(stage)
        if position:
            self._tell(PutOutOfUse(self.at, self._ground.stages[stage], position, reason))

    def mended(self, u: int) -> None:
        """A position or bench is back."""
        stage = int(self._ground.table.upsets.stage[u])
        if stage < 0:
            self._units.bench_back(int(self._ground.table.upsets.kind[u]))
            return
        position = self._positions.regain(stage)
        if position:
            self._tell(PutIntoUse(self.at, self._ground.stages[stage], position))
