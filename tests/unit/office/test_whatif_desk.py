"""What-if runs of a desk: one at a time, bounded, stopped, kept and dropped."""

import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from pacewright.base.faults import WorksFaultyError
from pacewright.office import whatif_desk, whatif_watch
from pacewright.office.backroom import BackRoom
from pacewright.office.desk import Desk
from pacewright.office.errors import CallError, NotFoundError
from pacewright.office.simulating import Asked
from pacewright.office.whatif import make_comparison
from pacewright.office.whatif_desk import Trials, trials_of
from pacewright.office.whatif_trial import State, Trial, WhatIfAsked
from pacewright.plans.change import Change
from pacewright.simulate import replicate
from planner_desk import empty_desk

TEXT = '[[stages]]\nstage_id = "fitout"\npositions = 4\n'
ASKED = WhatIfAsked("More room", 'name = "More room"\n' + TEXT, replications=10, weeks=6)


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """The small works, opened."""
    made = empty_desk(tmp_path_factory.mktemp("whatif"))
    yield made
    made.close()


def over(trial: Trial, seconds: float = 30.0) -> Trial:
    """The run when it is over."""
    ends = time.monotonic() + seconds
    while not trial.state.is_over and time.monotonic() < ends:
        time.sleep(0.02)
    assert trial.state.is_over, f"still {trial.state} after {seconds} s"
    return trial


class Gate:
    """A comparison that waits until it is let go; what it is told of progress it hands on."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self.began, self.goes = threading.Event(), threading.Event()
        patch.setattr(whatif_watch, "make_comparison", self.compare)

    def compare(self, *given: Any) -> Any:
        """In place of the comparison."""
        progress = given[3]
        self.began.set()
        while not self.goes.wait(0.01):
            progress("replication 1 of 10", 0.1)
        return make_comparison(*given)


def test_a_run_comes_to_what_the_comparison_comes_to(desk: Desk) -> None:
    """The same change made by hand, compared in the foreground, gives equal figures."""
    trial = over(Trials(desk).ask(ASKED, "ada", "Ada"))
    assert trial.state is State.DONE, trial.why
    works, _ = desk.works_now()
    stages = tuple(
        replace(row, positions=4) if row.stage_id == "fitout" else row for row in works.stages
    )
    by_hand = Change("More room", replace(works, stages=stages), ("by hand",))
    expected = make_comparison(works, [by_hand], Asked(replications=10, weeks=6))
    assert trial.comparison is not None
    assert trial.comparison.changes[0].figures == expected.changes[0].figures
    assert trial.share == 1.0
    assert trial.differs == ("stages fitout: positions 2 -> 4",)


def test_one_person_one_run_and_the_next_waits(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """A second run of the same person is refused; another person's waits its turn."""
    gate, trials = Gate(monkeypatch), Trials(desk)
    first = trials.ask(ASKED, "ada", "Ada")
    assert gate.began.wait(5)
    with pytest.raises(CallError, match="One run at a time"):
        trials.ask(ASKED, "ada", "Ada")
    second = trials.ask(ASKED, "ben", "Ben")
    assert (first.state, second.state) == (State.RUNNING, State.WAITING)
    gate.goes.set()
    assert over(first).state is State.DONE
    assert over(second).state is State.DONE
    assert [one.number for one in trials.all()] == [2, 1]


def test_a_run_is_stopped_by_who_asked_only(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another person may look but not stop; stopped, the worker takes the next."""
    gate, trials = Gate(monkeypatch), Trials(desk)
    trial = trials.ask(ASKED, "ada", "Ada")
    assert gate.began.wait(5)
    waiting = trials.ask(ASKED, "ben", "Ben")
    with pytest.raises(CallError, match="Ask Ada"):
        trials.stop(trial.number, "ben")
    trials.stop(waiting.number, "ben")
    assert waiting.state is State.STOPPED
    trials.stop(trial.number, "ada")
    assert over(trial).state is State.STOPPED
    assert trial.comparison is None
    gate.goes.set()
    assert over(trials.ask(ASKED, "ada", "Ada")).state is State.DONE
    assert waiting.comparison is None


def test_a_dropped_run_is_gone(desk: Desk) -> None:
    """It is not found any more, and says so; its number is not given again."""
    trials = Trials(desk)
    trial = over(trials.ask(ASKED, "ada", "Ada"))
    trials.drop(trial.number, "ada")
    with pytest.raises(NotFoundError, match="there is none"):
        trials.one(trial.number)
    assert trials.ask(ASKED, "ada", "Ada").number == trial.number + 1


def test_only_so_many_are_kept(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """The oldest that is over goes first."""
    monkeypatch.setattr(whatif_desk, "MOST_KEPT", 2)
    trials = Trials(desk)
    for _ in range(3):
        over(trials.ask(ASKED, "ada", "Ada"))
    assert [one.number for one in trials.all()] == [3, 2]


def test_a_run_too_long_says_so(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ended before one pair was run it failed, and says what to ask for instead."""
    monkeypatch.setattr(whatif_watch, "MOST_SECONDS", -1.0)
    trial = over(Trials(desk).ask(ASKED, "ada", "Ada"))
    assert trial.state is State.FAILED
    assert "fewer weeks" in trial.why[0]


def test_a_run_cut_short_keeps_what_it_has(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ended by the time limit while the change runs, it rests on the pairs there are."""
    asked = replace(ASKED, replications=100)
    # One replication a piece, however quick the engine is, so that the limit falls among them.
    monkeypatch.setattr(replicate, "PIECE_SECONDS", 0.0)
    watches: list[Any] = []
    init = whatif_watch.Watch.__init__

    def began(self: Any, *given: Any) -> None:
        init(self, *given)
        watches.append(self)

    call = whatif_watch.Watch.__call__

    def told(self: Any, step: str, share: float) -> None:
        if step.startswith("More room: replication") and 0.02 <= share < 1:
            self._ends = 0.0
        call(self, step, share)

    monkeypatch.setattr(whatif_watch.Watch, "__init__", began)
    monkeypatch.setattr(whatif_watch.Watch, "__call__", told)
    trial = over(Trials(desk).ask(asked, "ada", "Ada"), 60)
    assert watches[0].too_long, "the run was over before the limit could end it"
    assert trial.state is State.SHORTENED, trial.why
    assert trial.comparison is not None
    assert 2 <= trial.comparison.replications < 100


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"replications": 9}, "from 10 to 200"),
        ({"weeks": 500}, "from 4 to 104"),
        ({"start": "never"}, "Choose one of"),
        ({"name": " "}, "1 to 80 letters"),
        ({"text": "#" * 20_001}, "Cut it"),
        (
            {"text": 'name = "x"\n[[stages]]\nstage_id = "fitout"\npositions = 2\n'},
            "nothing differs",
        ),
    ],
)
def test_bounds_are_kept(desk: Desk, changed: dict[str, Any], said: str) -> None:
    """What is out of bounds is refused before anything is run."""
    trials = Trials(desk)
    with pytest.raises(CallError, match=said):
        trials.ask(replace(ASKED, **changed), "ada", "Ada")
    assert trials.all() == ()


def test_faults_of_the_change_are_told(desk: Desk) -> None:
    """A stage that is not there is named, with the nearest that is."""
    text = '[[stages]]\nstage_id = "fitot"\npositions = 4\n'
    with pytest.raises(WorksFaultyError, match="fitout"):
        Trials(desk).ask(replace(ASKED, text=text), "ada", "Ada")


def test_a_failure_of_the_engine_does_not_end_the_worker(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is told with the run; the next run is made."""
    trials = Trials(desk)
    with monkeypatch.context() as inner:

        def fails(*_: Any) -> None:
            raise ZeroDivisionError("no takt")

        inner.setattr(whatif_watch, "make_comparison", fails)
        trial = over(trials.ask(ASKED, "ada", "Ada"))
    assert trial.state is State.FAILED
    assert "no takt" in trial.why[0]
    assert over(trials.ask(ASKED, "ada", "Ada")).state is State.DONE


def test_runs_outlive_a_change_of_the_tables(desk: Desk) -> None:
    """All who ask get the same set, also when papers of the desk are made anew."""
    first = trials_of(desk)
    desk.set_clock(desk.now)
    assert trials_of(desk) is first


def test_a_run_in_the_back_room_is_followed_and_comes_to_the_same(tmp_path: Path) -> None:
    """Run in another process it is seen to go on, can be stopped, and its figures are equal."""
    made = empty_desk(tmp_path, roles=())
    beside = over(Trials(made).ask(ASKED, "ada", "Ada"))
    made.elsewhere = BackRoom(made.path)
    trials = Trials(made)
    there = over(trials.ask(ASKED, "ada", "Ada"), 60)
    assert there.state is State.DONE, there.why
    assert there.comparison is not None and beside.comparison is not None
    # As text: what is no number is unlike itself once it was sent.
    assert repr(there.comparison.changes) == repr(beside.comparison.changes)
    long = trials.ask(replace(ASKED, replications=200, weeks=104), "ada", "Ada")
    ends = time.monotonic() + 60
    while not long.step and time.monotonic() < ends:
        time.sleep(0.02)
    assert long.step, "nothing was told of how far it is"
    trials.stop(long.number, "ada")
    assert over(long, 60).state is State.STOPPED
    made.close()
