"""What clerks have not written yet at the end of a record."""

from datetime import datetime, timedelta

from pacewright.events.gate import Admitted, Called, Promised
from pacewright.events.identity import Married
from pacewright.events.record import Attended
from pacewright.events.stages import Moved, StageFinished, Stored, WorkStarted
from pacewright.events.things import WHOLE, Piece, Unit
from pacewright.events.units import Fitted, Issued, Received, Removed
from pacewright.invent.not_yet import NotYetWritten

SINCE = datetime(2026, 3, 2, 8)
BODY, FRAME, OTHER = Piece("body", "B-1"), Piece("frame", "F-1"), Piece("body", "B-2")
ONE, MOTOR, SPARE = Piece(WHOLE, "11"), Unit("motor", "M-1"), Unit("motor", "M-2")


def at(minute: int) -> datetime:
    """A moment after which clerks lag."""
    return SINCE + timedelta(minutes=minute)


def test_moves_and_issues_are_held_back_and_what_follows_on_the_same_things() -> None:
    """The body moved: its work, its marriage and the vehicle that came of it; nothing else."""
    not_yet = NotYetWritten(SINCE)
    told = [
        (Moved(SINCE - timedelta(minutes=1), BODY, "paint", 1), False),
        (StageFinished(at(0), BODY, "paint"), False),
        (Moved(at(1), BODY, "fit", 1), True),
        (WorkStarted(at(2), BODY, "fit", "fitter"), True),
        (WorkStarted(at(3), OTHER, "paint", "painter"), False),
        (StageFinished(at(4), FRAME, "build"), False),
        (Married(at(5), "11", (BODY, FRAME)), True),
        (StageFinished(at(6), FRAME, "build"), True),
        (Removed(at(7), MOTOR, ONE), True),
        (Received(at(8), MOTOR, "motors"), True),
        (Promised(at(9), "11", SINCE.date()), True),
        (Issued(at(10), SPARE, OTHER), True),
        (Fitted(at(11), SPARE, OTHER), True),
        (Stored(at(12), Piece("body", "B-3"), "yard"), True),
    ]
    assert [not_yet.holds_back(event) for event, _ in told] == [held for _, held in told]


def test_the_gate_and_the_roll_are_written_at_once() -> None:
    """A call, an admission and attendance name nothing that is behind."""
    not_yet = NotYetWritten(SINCE)
    assert not_yet.holds_back(Moved(at(0), BODY, "fit", 1))
    assert not not_yet.holds_back(Called(at(1), "12", "T1", "east", SINCE.date()))
    assert not not_yet.holds_back(Admitted(at(1), "13"))
    assert not not_yet.holds_back(Attended(at(2), "paint", "painter", SINCE.date(), 2.0, 16.0))


def test_without_a_moment_nothing_is_held_back() -> None:
    """All is written."""
    assert not NotYetWritten(None).holds_back(Moved(at(0), BODY, "fit", 1))
