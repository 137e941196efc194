"""What a compiled run writes down: rows of events, waits by cause, time integrals.

Step functions are integrated by their changes: last value times the end, less change times moment,
the moments being worked minutes, none before the measuring begins.
"""

from pacewright.simulate.kernel.compiled import woven
from pacewright.simulate.kernel.memory import RUN, Words
from pacewright.simulate.kernel.things import PIECE, ROW

CODE_BITS = 8
AMOUNT_BITS = 32


@woven
def note(m: Words, code: int, vehicle: int, place: int, amount: int) -> None:
    """It happened now. Without room for its row it is lost, and that is noted."""
    row = m[RUN.rows]
    end = m[RUN.rows_end]
    if row < end:
        m[row + ROW.time_and_code] = (m[RUN.now] << CODE_BITS) | code
        m[row + ROW.vehicle] = vehicle
        m[row + ROW.place_and_amount] = (place << AMOUNT_BITS) | amount
        m[RUN.rows] = row + ROW.words
    elif end:
        m[RUN.rows_lost] = 1


@woven
def wait(m: Words, p: int, cause: int) -> None:
    """What a piece waited for ends now; only the way of the leading piece is kept."""
    worked = m[RUN.worked]
    if m[p + PIECE.number] == 0:
        waited(m, p, cause, worked - m[p + PIECE.since])
    m[p + PIECE.since] = worked


@woven
def waited(m: Words, p: int, cause: int, minutes: int) -> None:
    """A leading piece waited; most waits are none, and not worth the way to their word."""
    if minutes:
        m[m[RUN.waits] + m[p + PIECE.vehicle] * m[RUN.causes] + cause] += minutes


@woven
def measuring(m: Words) -> bool:
    """True when plain sums count."""
    return m[RUN.now] >= m[RUN.measure_from]
