"""The record against a model of a few lines: one place each, nothing lost, nothing doubled."""

import copy
import itertools
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from events_story import vehicle
from pacewright.events.gate import Admitted, Arrived, Released
from pacewright.events.standing import Phase
from pacewright.events.things import Condition, Event, Unit
from pacewright.events.units import Fitted, Purchased, Reconditioned, Removed, Scrapped
from pacewright.ledger.entry import Entry, Outcome
from pacewright.ledger.store import Ledger
from record_entries import MORNING, correction, entry, manner

VEHICLES, SERIALS = ("11", "12", "13"), ("M-1", "M-2", "M-3", "M-4")
STORE, SCRAP = "store", "scrap"
_numbers = itertools.count()


@dataclass
class Model:
    """Where everything is, in the plainest way.

    Parameters
    ----------
    phase : of each vehicle: out | gate | in.
    place : of each unit: store, scrap, or the vehicle it is on.
    """

    phase: dict[str, str] = field(default_factory=lambda: dict.fromkeys(VEHICLES, "out"))
    place: dict[str, str] = field(default_factory=dict)
    good: set[str] = field(default_factory=set)
    owed: dict[str, int] = field(default_factory=lambda: dict.fromkeys(VEHICLES, 0))


class RecordMachine(RuleBasedStateMachine):
    """Events at random, sensible or not; the model says what must become of them."""

    new_address: Callable[[], str]

    def __init__(self) -> None:
        super().__init__()
        self.address = self.new_address()
        self.ledger = self._open()
        self.model = Model()
        self.sent: list[Entry] = []
        self.past: list[tuple[str, Model]] = []
        self.kept = 0
        self.minute = 0

    def _open(self) -> Ledger:
        return Ledger.open(self.address, manner=manner(snapshot_every=7))

    def teardown(self) -> None:
        self.ledger.close()

    def tell(self, possible: bool, model: type[Event], *fields: Any) -> bool:
        """Hand an event in; kept when the model says it is possible, else refused."""
        self.minute += 1
        event = model(MORNING + timedelta(minutes=self.minute), *fields)
        one = entry(f"id-{self.minute}", event)
        (answer,) = self.ledger.append([one])
        assert answer.outcome is (Outcome.KEPT if possible else Outcome.REFUSED), answer
        assert bool(answer.reasons) != possible
        if possible:
            self.kept += 1
            assert answer.place == self.kept
            self.sent.append(one)
            self.past.append((one.event_id, copy.deepcopy(self.model)))
        return possible

    @rule(number=st.sampled_from(VEHICLES))
    def arrives(self, number: str) -> None:
        if self.tell(self.model.phase[number] == "out", Arrived, number, "T1"):
            self.model.phase[number] = "gate"

    @rule(number=st.sampled_from(VEHICLES))
    def is_admitted(self, number: str) -> None:
        if self.tell(self.model.phase[number] == "gate", Admitted, number):
            self.model.phase[number] = "in"

    @rule(number=st.sampled_from(VEHICLES))
    def is_released(self, number: str) -> None:
        ready = self.model.phase[number] == "in" and not self.model.owed[number]
        if self.tell(ready, Released, number, "inspector 1"):
            self.model.phase[number] = "out"

    @rule(serial=st.sampled_from(SERIALS))
    def is_bought(self, serial: str) -> None:
        if self.tell(serial not in self.model.place, Purchased, Unit("motor", serial), STORE):
            self.model.place[serial] = STORE
            self.model.good.add(serial)

    @rule(serial=st.sampled_from(SERIALS), number=st.sampled_from(VEHICLES))
    def comes_off(self, serial: str, number: str) -> None:
        there = self.model.place.get(serial, number) == number
        possible = there and self.model.phase[number] == "in"
        if self.tell(possible, Removed, Unit("motor", serial), vehicle(number)):
            self.model.place[serial] = STORE
            self.model.good.discard(serial)
            self.model.owed[number] += 1

    @rule(serial=st.sampled_from(SERIALS), number=st.sampled_from(VEHICLES))
    def goes_on(self, serial: str, number: str) -> None:
        fits = self.model.place.get(serial) == STORE and serial in self.model.good
        possible = fits and self.model.phase[number] == "in" and self.model.owed[number] > 0
        if self.tell(possible, Fitted, Unit("motor", serial), vehicle(number)):
            self.model.place[serial] = number
            self.model.owed[number] -= 1

    @rule(serial=st.sampled_from(SERIALS))
    def is_made_good(self, serial: str) -> None:
        known = self.model.place.get(serial, SCRAP) != SCRAP
        if self.tell(known, Reconditioned, Unit("motor", serial)):
            self.model.good.add(serial)

    @rule(serial=st.sampled_from(SERIALS))
    def is_scrapped(self, serial: str) -> None:
        if self.tell(self.model.place.get(serial) == STORE, Scrapped, Unit("motor", serial)):
            self.model.place[serial] = SCRAP
            self.model.good.discard(serial)

    @rule(which=st.integers(0, 10**6))
    def is_sent_again(self, which: int) -> None:
        """Whatever was kept once is known, and changes nothing."""
        if self.sent:
            one = self.sent[which % len(self.sent)]
            assert self.ledger.append([one])[0].outcome is Outcome.KNOWN
            other = entry(one.event_id, Arrived(MORNING, "99", "T1"))
            assert self.ledger.append([other])[0].outcome is Outcome.REFUSED

    @rule()
    def the_last_is_voided(self) -> None:
        """What was told last did not happen: all is as before it."""
        if self.past:
            event_id, before = self.past.pop()
            self.minute += 1
            void = entry(f"id-{self.minute}", correction(event_id, minute=self.minute))
            assert self.ledger.append([void])[0].outcome is Outcome.KEPT
            self.kept += 1
            self.sent.append(void)
            self.model = before

    @rule()
    def is_opened_again(self) -> None:
        self.ledger.close()
        self.ledger = self._open()

    @invariant()
    def everything_is_in_its_one_place(self) -> None:
        now = self.ledger.standing()
        assert self.ledger.head().place == self.kept
        phases = {"out": Phase.IN_SERVICE, "gate": Phase.AT_GATE, "in": Phase.INSIDE}
        for number, phase in self.model.phase.items():
            known = now.vehicles.get(number)
            assert (known.phase if known else Phase.IN_SERVICE) is phases[phase]
            on = {one.serial for one in now.units_on(number)} if known else set()
            assert on == {one for one, place in self.model.place.items() if place == number}
        assert {one.serial for one in now.units} == self.model.place.keys()
        for unit, known_unit in now.units.items():
            place = self.model.place[unit.serial]
            assert (known_unit.condition is Condition.SCRAPPED) == (place == SCRAP)
            assert (known_unit.condition is Condition.SERVICEABLE) == (
                unit.serial in self.model.good
            )
            assert (known_unit.onto is None) == (place in (STORE, SCRAP))


def hold_against_model(new_address: Callable[[], str], examples: int, steps: int) -> None:
    """Run the machine on fresh records."""
    machine = type("Machine", (RecordMachine,), {"new_address": staticmethod(new_address)})
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=examples,
            stateful_step_count=steps,
            deadline=None,
            derandomize=True,
            database=None,
            suppress_health_check=list(HealthCheck),
        ),
    )


def test_the_record_agrees_with_the_model_on_sqlite(tmp_path: Path) -> None:
    """Kept is what is possible, refused what is not; each unit is in one place."""
    hold_against_model(lambda: str(tmp_path / f"{next(_numbers)}.sqlite"), 20, 40)


def test_the_record_agrees_with_the_model_on_postgresql(request: pytest.FixtureRequest) -> None:
    """The same on the other database."""
    server = request.getfixturevalue("server")
    hold_against_model(lambda: server.new_schema(f"model_{next(_numbers)}"), 5, 30)
