"""The units of a run told with their serials: from the vehicle through the shop to the next one."""

from collections import defaultdict, deque
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from math import ceil
from random import Random

from pacewright.events.stages import PutIntoUse, PutOutOfUse
from pacewright.events.things import Condition, Event, Piece, Unit, Verdict
from pacewright.events.units import (
    Cleared,
    Fitted,
    Issued,
    Ordered,
    Purchased,
    Quarantined,
    Received,
    Reconditioned,
    Removed,
    Robbed,
    Scrapped,
    Sent,
    UnitEntered,
    UnitFound,
)
from pacewright.parts.tables import Operation
from pacewright.simulate.told_ages import AgesTold
from pacewright.simulate.told_ground import Ground
from pacewright.simulate.told_here import Ask, Here
from pacewright.simulate.told_tests import inspected
from pacewright.simulate.told_turns import NOBODY, Origin, Turns

STORE, SECOND_SITE = "store", "second-site"
FIRST_APPROVAL, SECOND_APPROVAL = "planner 1", "works manager 1"
_QUARANTINED_SHARE = 0.004
# Minutes a unit is on its way from the vehicle to the door of its shop, at least and at most.
_WAY_LEAST, _WAY_MOST = 20, 90

Later = Callable[[int, Callable[[], None]], None]
"""Asks to be called when so many working minutes have gone by."""


@dataclass(slots=True, eq=False)
class InShop:
    """A unit on its way to its shop, or there."""

    unit: Unit
    origin: Origin
    received: bool = False
    quarantined: bool = False
    gone: bool = False


@dataclass(slots=True)
class _Kind:
    """Where the units of one kind are, in the order in which they came there."""

    unit_kind_id: str
    shop_id: str
    letters: str
    serials: int = 0
    to_order: int = 0
    lot: deque[InShop] = field(default_factory=deque)
    beyond_repair: deque[InShop] = field(default_factory=deque)
    ready: deque[Unit] = field(default_factory=deque)
    site: deque[Unit] = field(default_factory=deque)
    asks: list[Ask] = field(default_factory=list)
    benches_out: list[int] = field(default_factory=list)

    def new(self) -> Unit:
        """A unit never heard of before."""
        self.serials += 1
        return Unit(self.unit_kind_id, f"{self.letters}-{self.serials:05d}")


class UnitsTold:
    """Tells every unit.

    A run knows how many units of a kind are where, not which. Told so, lots go in order of
    removal, and each unit is made good, or cannot be, as the draws of the run say.

    Parameters
    ----------
    ground : names of the run.
    tell : takes the events, in order.
    later : calls back when working minutes have gone by.
    """

    def __init__(
        self, ground: Ground, tell: Callable[[Event], None], later: Later, chance: Random
    ) -> None:
        self._ground, self._tell, self._later, self._chance = ground, tell, later, chance
        self.at = ground.moment(0)
        kinds = ground.works.unit_kinds
        letters = _letters([one.unit_kind_id for one in kinds])
        self._kinds = [
            _Kind(one.unit_kind_id, one.shop_id, prefix)
            for one, prefix in zip(kinds, letters, strict=True)
        ]
        self._on: dict[tuple[Piece, str], list[Unit]] = defaultdict(list)
        self._off: dict[tuple[int, int, int], int] = defaultdict(int)
        self._turns: Turns[InShop] = Turns(ground)
        self._from_site = [deque(self._turns.back_from_site(k)) for k in range(len(kinds))]
        self._ages = AgesTold(ground, tell, Random(chance.random()))
        self._stash: list[Unit] = []
        self._orders = 0
        self._doubts: dict[str, list[tuple[Operation, float]]] = defaultdict(list)
        for work in ground.works.operations:
            share, kind_id = work.occurrence_share, work.unit_kind_id
            if kind_id and work.type_id is None and 0 < share < 1 and not work.must_change:
                self._doubts[kind_id].append((work, share))

    def true_shares(self, shares: dict[str, float]) -> None:
        """Operation on a unit -> how often it is needed in truth."""
        for kind, doubts in self._doubts.items():
            self._doubts[kind] = [
                (work, shares.get(work.operation_id, share)) for work, share in doubts
            ]

    # -- the float at the start --------------------------------------------------------------

    def begin(self) -> None:
        """The count of the stores."""
        quarantine = {one.unit_kind_id: one.quarantine for one in self._ground.works.floats}
        rows = self._ground.table.kinds
        for k, kind in enumerate(self._kinds):
            for _ in range(int(rows.serviceable[k])):
                kind.ready.append(self._enter(kind, Condition.SERVICEABLE, STORE))
                self._ages.read(self.at, kind.ready[-1], k)
            for n in range(int(rows.unserviceable[k])):
                unit = self._enter(kind, Condition.UNSERVICEABLE, kind.shop_id)
                self._turns.is_there(k, n, InShop(unit, NOBODY, received=True))
            for _ in range(quarantine.get(kind.unit_kind_id, 0)):
                self._enter(kind, Condition.QUARANTINE, STORE)
            for _ in range(self._ground.works.unit_kinds[k].site_float):
                kind.site.append(self._enter(kind, Condition.SERVICEABLE, SECOND_SITE))
                self._ages.read(self.at, kind.site[-1], k)

    def _enter(self, kind: _Kind, condition: Condition, place: str) -> Unit:
        unit = kind.new()
        self._tell(UnitEntered(self.at, unit, condition, place))
        return unit

    # -- off the vehicle and to the shop -----------------------------------------------------

    def removed(self, here: Here, whole: Piece, k: int, units: int) -> None:
        """Units come off a piece; what goes on the whole vehicle again is owed to that."""
        kind = self._kinds[k]
        off = whole if self._ground.fit_whole[k] else here.piece
        n = 0 if self._ground.fit_whole[k] else here.n
        self._off[here.v, n, k] += units
        self._gather_from_site(k)
        for origin in self._turns.came_off(here, k):
            known = self._on.get((here.piece, kind.unit_kind_id)) or self._on.get(
                (whole, kind.unit_kind_id)
            )
            unit = known.pop(0) if known else kind.new()
            self._tell(Removed(self.at, unit, off))
            kind.lot.append(InShop(unit, origin))

    def sent(self, k: int, lot: int) -> None:
        """A lot leaves for its shop."""
        kind, minute = self._kinds[k], self._ground.minute_of(self.at)
        self._gather_from_site(k)
        for _ in range(lot):
            one = kind.lot.popleft()
            self._tell(Sent(self.at, one.unit, kind.shop_id))
            if self._turns.cannot_be_made_good(k, one.origin):
                kind.beyond_repair.append(one)
            else:
                self._turns.leaves(k, minute, one.origin, one)
            way = _WAY_LEAST + int((_WAY_MOST - _WAY_LEAST) * self._chance.random())
            self._later(way, partial(self._received, one, kind))

    def _gather_from_site(self, k: int) -> None:
        """What the second site gave up joins the lot when it is here."""
        coming, minute = self._from_site[k], self._ground.minute_of(self.at)
        while coming and coming[0][0] <= minute:
            _, origin = coming.popleft()
            kind = self._kinds[k]
            kind.lot.append(InShop(self._back_from_site(kind), origin))

    def _back_from_site(self, kind: _Kind) -> Unit:
        if kind.site:
            unit = kind.site.popleft()
            self._tell(UnitFound(self.at, unit, kind.unit_kind_id, Verdict.REPAIR))
        else:
            unit = self._enter(kind, Condition.UNSERVICEABLE, SECOND_SITE)
        self._tell(Received(self.at, unit, STORE))
        return unit

    def _received(self, one: InShop, kind: _Kind) -> None:
        if one.received:
            return
        one.received = True
        self._tell(Received(self.at, one.unit, kind.shop_id))
        if one.gone:
            return
        for work, share in self._doubts.get(kind.unit_kind_id, ()):
            self._inspected(one.unit, work, self._chance.random() < share)
        if self._chance.random() < _QUARANTINED_SHARE:
            one.quarantined = True
            self._tell(Quarantined(self.at, one.unit, "serial plate and papers do not agree"))
            days = 1 + 3 * self._chance.random()
            a_day = self._ground.clock.minutes[0]
            self._later(int(days * a_day), partial(self._cleared, one))

    def _inspected(self, unit: Unit, work: Operation, needed: bool) -> None:
        one = inspected(work, needed, self._chance)
        self._tell(
            UnitFound(
                self.at,
                unit,
                work.operation_id,
                one.verdict,
                one.measurement,
                one.limit,
                one.reading_unit,
            )
        )

    def _cleared(self, one: InShop) -> None:
        if one.quarantined:
            one.quarantined = False
            self._tell(Cleared(self.at, one.unit, "quality inspector 1"))

    def scrapped(self, k: int) -> None:
        """One of the lot just sent cannot be made good."""
        kind = self._kinds[k]
        one = kind.beyond_repair.popleft()
        one.gone = True
        self._received(one, kind)
        reason = self._ages.scrapped(self.at, one.unit, k)
        self._tell(UnitFound(self.at, one.unit, kind.unit_kind_id, Verdict.SCRAP))
        self._tell(Scrapped(self.at, one.unit, reason))
        self._order(k)

    def _order(self, k: int) -> None:
        """New ones are ordered when a whole lot of them has been scrapped."""
        kind, row = self._kinds[k], self._ground.works.unit_kinds[k]
        kind.to_order += 1
        if kind.to_order < row.purchase_lot:
            return
        kind.to_order = 0
        self._orders += 1
        due_in = self._ground.works.calendar.add(self.at.date(), ceil(row.purchase_days))
        number = f"PO-{self._orders:05d}"
        self._tell(Ordered(self.at, kind.unit_kind_id, row.purchase_lot, due_in, number))

    # -- into the pool -----------------------------------------------------------------------

    def bought(self, k: int) -> None:
        """A new unit comes in."""
        kind = self._kinds[k]
        unit = kind.new()
        self._tell(Purchased(self.at, unit, STORE))
        self._ages.new(unit)
        kind.ready.append(unit)

    def made_good(self, k: int) -> None:
        """A unit is made good: the one whose turn is over."""
        kind = self._kinds[k]
        one = self._turns.made_good(k, self._ground.minute_of(self.at))
        self._received(one, kind)
        self._cleared(one)
        self._ages.read(self.at, one.unit, k)
        self._tell(Reconditioned(self.at, one.unit, kind.shop_id))
        kind.ready.append(one.unit)

    def bench_lost(self, k: int, reason: str) -> None:
        """One bench of a kind fewer: the last one in use."""
        self._turns.bench_lost(k, self._ground.minute_of(self.at))
        kind = self._kinds[k]
        bench = int(self._ground.table.kinds.benches[k]) - len(kind.benches_out)
        kind.benches_out.append(bench)
        if bench > 0:
            self._tell(PutOutOfUse(self.at, kind.unit_kind_id, bench, reason))

    def bench_back(self, k: int) -> None:
        """It is back."""
        self._turns.bench_back(k, self._ground.minute_of(self.at))
        kind = self._kinds[k]
        bench = kind.benches_out.pop()
        if bench > 0:
            self._tell(PutIntoUse(self.at, kind.unit_kind_id, bench))

    def site_drawn(self, k: int) -> None:
        """The second site gets a unit."""
        kind = self._kinds[k]
        unit = kind.ready.popleft()
        self._tell(Sent(self.at, unit, SECOND_SITE))
        self._later(_WAY_MOST, partial(self._at_site, kind, unit))

    def _at_site(self, kind: _Kind, unit: Unit) -> None:
        self._tell(Received(self.at, unit, SECOND_SITE))
        kind.site.append(unit)

    # -- to the vehicle ----------------------------------------------------------------------

    def ask(self, here: Here) -> None:
        """A piece in its position asks for what came off it."""
        here.asks.clear()
        for k, _ in self._ground.fits[here.step]:
            n = 0 if self._ground.fit_whole[k] else here.n
            units = self._off.pop((here.v, n, k), 0)
            if units:
                here.asks[k] = Ask(here, units)
                self._kinds[k].asks.append(here.asks[k])

    def given(self, v: int, k: int, units: int) -> None:
        """Units of the pool are given out for a vehicle."""
        kind = self._kinds[k]
        mine = [one for one in kind.asks if one.here.v == v]
        # Who robs asked last.
        ask = mine[-1] if self._stash else mine[0]
        for _ in range(units):
            if self._stash:
                unit = self._stash.pop()
            else:
                unit = kind.ready.popleft()
                self._tell(Issued(self.at, unit, ask.here.piece))
            ask.got.append(unit)
        ask.lacks -= units
        if ask.lacks == 0:
            kind.asks.remove(ask)

    def robbed(self, victim: list[Here], k: int, units: int, robber: int) -> None:
        """Units given out for one that waits for something else go to another."""
        kind = self._kinds[k]
        ask = next(one.asks[k] for one in victim if k in one.asks and len(one.asks[k].got) >= units)
        to = [one for one in kind.asks if one.here.v == robber][-1].here.piece
        for _ in range(units):
            unit = ask.got.pop()
            self._tell(
                Robbed(
                    self.at,
                    unit,
                    ask.here.piece,
                    to,
                    FIRST_APPROVAL,
                    SECOND_APPROVAL,
                    "the other waits for nothing else",
                )
            )
            self._stash.append(unit)
        if ask.lacks == 0:
            kind.asks.insert(0, ask)
        ask.lacks += units

    def fitted(self, here: Here) -> None:
        """What was given out for a piece goes on it as the work begins."""
        for k, ask in here.asks.items():
            for unit in ask.got:
                self._tell(Fitted(self.at, unit, here.piece))
                self._on[here.piece, self._kinds[k].unit_kind_id].append(unit)
        here.asks.clear()


def _letters(names: list[str]) -> list[str]:
    """Initials of every kind, made longer until no two are alike."""
    found: list[str] = []
    for name in names:
        words = name.upper().replace("_", "-").split("-")
        letters = "".join(word[0] for word in words if word)
        tail = iter("".join(words[-1][1:]) + "XYZ")
        while letters in found:
            letters += next(tail)
        found.append(letters)
    return found
