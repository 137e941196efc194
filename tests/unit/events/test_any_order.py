"""Events in any order against a simple model: conservation of units, one place each."""

from collections import Counter
from datetime import datetime, timedelta
from typing import Any

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from events_story import vehicle
from pacewright.events.fold import fold, take, why_not
from pacewright.events.follow import carriers_at
from pacewright.events.gate import Admitted, Arrived, Released
from pacewright.events.identity import Married, Parted
from pacewright.events.snapshot import read_snapshot, write_snapshot
from pacewright.events.stages import Moved, Stored
from pacewright.events.standing import Standing
from pacewright.events.things import Condition, Event, Piece, Unit, Verdict
from pacewright.events.units import (
    Cleared,
    Fitted,
    Ordered,
    Purchased,
    Quarantined,
    Received,
    Reconditioned,
    Removed,
    Scrapped,
    Sent,
    UnitFound,
)

NUMBERS = ("11", "12")
SERIALS = tuple(Unit("motor", f"M-{n}") for n in range(4))
START = datetime(2026, 3, 2, 7, 0)
GOOD, BAD, ASIDE, GONE = "good", "bad", "aside", "gone"
CALLED_SO = {
    GOOD: Condition.SERVICEABLE,
    BAD: Condition.UNSERVICEABLE,
    ASIDE: Condition.QUARANTINE,
    GONE: Condition.SCRAPPED,
}
number, serial = st.sampled_from(NUMBERS), st.sampled_from(SERIALS)


class Works(RuleBasedStateMachine):
    """The model keeps plain facts by hand: who is in, in what pieces, which unit is where."""

    def __init__(self) -> None:
        super().__init__()
        self.now = Standing()
        self.told: list[Event] = []
        self.at = START
        self.inside: dict[str, bool] = {}  # number -> let in yet
        self.pieces_of: dict[str, tuple[Piece, Piece] | None] = dict.fromkeys(NUMBERS)
        self.apart: dict[str, bool] = dict.fromkeys(NUMBERS, False)
        self.loose: list[Piece] = []
        self.position: dict[Piece, int] = {}
        self.units: dict[Unit, list[str]] = {}  # unit -> [condition, number it is on or ""]
        self.owed: Counter[str] = Counter()
        self.on_order = 0
        self.was_on: list[tuple[datetime, Unit, str]] = []

    def tell(self, allowed: bool, model: type[Event], *fields: Any) -> bool:
        """The event is refused exactly when the model says so."""
        self.at += timedelta(minutes=1)
        event = model(self.at, *fields)
        reason = why_not(self.now, event)
        assert (reason is None) == allowed, (event, reason)
        if allowed:
            take(self.now, event)
            self.told.append(event)
        return allowed

    @initialize(inside=st.lists(number, unique=True))
    def some_are_inside(self, inside: list[str]) -> None:
        """Else most stories would end before anything is taken off."""
        for n in inside:
            self.arrive(n)
            self.admit(n)

    @rule(n=number)
    def arrive(self, n: str) -> None:
        if self.tell(n not in self.inside, Arrived, n, "T1"):
            self.inside[n] = False

    @rule(n=number)
    def admit(self, n: str) -> None:
        if self.tell(self.inside.get(n) is False, Admitted, n):
            self.inside[n] = True

    @rule(n=number)
    def release(self, n: str) -> None:
        fine = all(state == GOOD for state, on in self.units.values() if on == n)
        allowed = self.inside.get(n, False) and not self.apart[n] and not self.owed[n] and fine
        if self.tell(allowed, Released, n, "I. I."):
            del self.inside[n]
            self.position.pop(vehicle(n), None)

    def stands(self, piece: Piece) -> bool:
        """By the model the piece stands by itself inside."""
        if piece.assembly_id == "vehicle":
            return self.inside.get(piece.serial, False) and not self.apart[piece.serial]
        leads = any(self.apart[n] and self.pieces_of[n][0] == piece for n in NUMBERS)  # type: ignore[index]
        return leads or piece in self.loose

    @rule(sort=st.sampled_from(["vehicle", "body", "frame"]), n=number, place=st.integers(1, 3))
    def move(self, sort: str, n: str, place: int) -> None:
        piece = Piece(sort, n)
        taken = place in self.position.values()
        if self.tell(self.stands(piece) and not taken, Moved, piece, "bay", place):
            self.position[piece] = place

    @rule(sort=st.sampled_from(["vehicle", "body", "frame"]), n=number)
    def store(self, sort: str, n: str) -> None:
        piece = Piece(sort, n)
        if self.tell(self.stands(piece), Stored, piece, "yard"):
            self.position.pop(piece, None)

    @rule(n=number, likely=st.booleans(), body=number, frame=number)
    def part(self, n: str, likely: bool, body: str, frame: str) -> None:
        pieces = (Piece("body", body), Piece("frame", frame))
        if likely:
            pieces = self.pieces_of[n] or (Piece("body", n), Piece("frame", n))
        known = self.pieces_of[n]
        others = {one for m in NUMBERS if m != n for one in self.pieces_of[m] or ()}
        new = known is None and not any(one in others or one in self.loose for one in pieces)
        as_known = known == pieces and not self.apart[n]
        whole = self.inside.get(n, False) and not self.apart[n]
        if self.tell(whole and (new or as_known), Parted, n, pieces):
            self.pieces_of[n] = pieces
            self.apart[n] = True
            self.loose.append(pieces[1])
            place = self.position.pop(vehicle(n), None)
            if place is not None:
                self.position.update(dict.fromkeys(pieces, place))

    @rule(n=number, likely=st.booleans(), body=number, frame=number)
    def marry(self, n: str, likely: bool, body: str, frame: str) -> None:
        known = self.pieces_of[n]
        lead = known[0] if likely and known else Piece("body", body)
        pieces = (lead, Piece("frame", frame))
        allowed = self.apart[n] and known is not None and known[0] == pieces[0]
        if self.tell(allowed and pieces[1] in self.loose, Married, n, pieces):
            self.loose.remove(pieces[1])
            for m in NUMBERS:  # the frame is under one vehicle only
                held = self.pieces_of[m]
                if held and held[1] == pieces[1]:
                    self.pieces_of[m] = (held[0], Piece("frame", "gone"))
            self.pieces_of[n] = pieces
            self.apart[n] = False
            self.position.pop(pieces[1], None)
            place = self.position.pop(pieces[0], None)
            if place is not None:
                self.position[vehicle(n)] = place

    @rule(n=number, unit=serial)
    def remove(self, n: str, unit: Unit) -> None:
        known = self.units.get(unit)
        allowed = self.inside.get(n, False) and (known is None or known[1] == n)
        if self.tell(allowed, Removed, unit, vehicle(n)):
            self.units[unit] = [BAD, ""]
            self.owed[n] += 1

    @rule(unit=serial)
    def buy(self, unit: Unit) -> None:
        if self.tell(unit not in self.units, Purchased, unit, "store"):
            self.units[unit] = [GOOD, ""]
            self.on_order = max(0, self.on_order - 1)

    @rule(units=st.integers(1, 3), late=st.booleans())
    def order(self, units: int, late: bool) -> None:
        """A day before the order no seller promises."""
        due_in = (self.at - timedelta(days=2 * late)).date()
        if self.tell(not late, Ordered, "motor", units, due_in):
            self.on_order += units

    @rule(n=number, unit=serial)
    def change(self, n: str, unit: Unit) -> None:
        """The whole round of a unit, as far as the model lets it go."""
        self.remove(n, unit)
        self.recondition(unit)
        self.fit(n, unit)

    @rule(n=number, unit=serial)
    def fit(self, n: str, unit: Unit) -> None:
        ready = self.units.get(unit) == [GOOD, ""]
        allowed = ready and self.inside.get(n, False) and self.owed[n] > 0
        if self.tell(allowed, Fitted, unit, vehicle(n)):
            self.units[unit][1] = n
            self.owed[n] -= 1

    @rule(unit=serial, onward=st.booleans())
    def send(self, unit: Unit, onward: bool) -> None:
        state, on = self.units.get(unit, [GONE, ""])
        self.tell(state != GONE and not on, Sent if onward else Received, unit, "shop")

    @rule(unit=serial)
    def recondition(self, unit: Unit) -> None:
        state, _ = self.units.get(unit, [GONE, ""])
        if self.tell(state in (GOOD, BAD), Reconditioned, unit):
            self.units[unit][0] = GOOD

    @rule(unit=serial)
    def scrap(self, unit: Unit) -> None:
        state, on = self.units.get(unit, [GONE, ""])
        if self.tell(state in (GOOD, BAD) and not on, Scrapped, unit, "why"):
            self.units[unit][0] = GONE

    @rule(unit=serial)
    def quarantine(self, unit: Unit) -> None:
        state, on = self.units.get(unit, [GONE, ""])
        if self.tell(state in (GOOD, BAD) and not on, Quarantined, unit, "why"):
            self.units[unit][0] = ASIDE

    @rule(unit=serial, verdict=st.sampled_from([Verdict.USE, Verdict.REPAIR]))
    def find(self, unit: Unit, verdict: Verdict) -> None:
        state, _ = self.units.get(unit, [GONE, ""])
        known = self.tell(state != GONE, UnitFound, unit, "shaft", verdict)
        if known and verdict is Verdict.REPAIR and state == GOOD:
            self.units[unit][0] = BAD

    @rule(unit=serial)
    def clear(self, unit: Unit) -> None:
        state, _ = self.units.get(unit, [GONE, ""])
        if self.tell(state == ASIDE, Cleared, unit, "I. I."):
            self.units[unit][0] = BAD

    @invariant()
    def units_are_where_the_model_has_them(self) -> None:
        """None lost, none doubled; each in its one place and condition; debts as counted."""
        assert set(self.now.units) == set(self.units)
        for unit, (state, on) in self.units.items():
            known = self.now.units[unit]
            assert known.condition is CALLED_SO[state]
            bearer = self.now.unit_links.now_on(unit)
            assert bearer == known.onto
            assert (bearer is not None) == bool(on)
            if on:
                assert unit in self.now.units_on(on)
                self.was_on.append((self.at, unit, on))
        for n in NUMBERS:
            if n in self.now.vehicles:
                assert self.now.whole(n).owed.get("motor", 0) == self.owed[n]

    @invariant()
    def orders_are_open_until_as_many_came_in(self) -> None:
        """Open units as counted; no order stays open with none to come."""
        waiting = self.now.orders.get("motor", [])
        assert sum(one.units for one in waiting) == self.on_order
        assert all(one.units > 0 for one in waiting)

    @invariant()
    def positions_are_where_the_model_has_them(self) -> None:
        """Each piece stands on one position, and each position knows who stands there."""
        there = {one: place for (_, place), who in self.now.occupied.items() for one in who}
        assert there == self.position
        assert {p: k.position for p, k in self.now.pieces.items() if k.position} == self.position
        for piece, known in self.now.pieces.items():
            assert known.stands == self.stands(piece)

    def teardown(self) -> None:
        """Folding all again, trusted or not, or by a snapshot, ends in the same; history stays."""
        assert fold(self.told) == self.now == fold(self.told, trusted=True)
        half = fold(self.told[: len(self.told) // 2])
        later = self.told[len(self.told) // 2 :]
        assert fold(later, read_snapshot(write_snapshot(half))) == self.now
        for moment, unit, on in self.was_on:
            assert carriers_at(self.now, unit, moment)[-1] == vehicle(on)


Works.TestCase.settings = settings(max_examples=100, stateful_step_count=60, deadline=None)
TestAnyOrder = Works.TestCase
