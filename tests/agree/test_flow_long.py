"""The longest run of the compiled engine equals the plain one; a longer one is refused."""

from dataclasses import replace

import numpy as np
import pytest

from pacewright.simulate.engine import Engine, run_flow
from pacewright.simulate.laws import constant
from queue_flow import DAY, Server, queue_table

pytest.importorskip("numba", reason="the compiled engine is an extra")


def test_the_last_day_that_a_key_holds() -> None:
    """Keys up to that of nothing due are told apart; a longer run says so and does not hang."""
    from pacewright.simulate.kernel.heap import LAST_MINUTE
    from pacewright.simulate.kernel.pack import TooLargeError

    last = LAST_MINUTE // DAY
    arrivals = np.array([5, (last - 1) * DAY])
    table = queue_table([Server(constant(90), positions=1)], arrivals, days=last)
    compiled, plain = (run_flow(table, 1, 0, engine=one) for one in (Engine.COMPILED, Engine.PLAIN))
    assert compiled.released.tolist() == plain.released.tolist()
    assert compiled.released.tolist() == [5 + 90, (last - 1) * DAY + 90]
    longer = replace(table, days=replace(table.days, end=LAST_MINUTE))
    with pytest.raises(TooLargeError):
        run_flow(longer, 1, 0, engine=Engine.COMPILED)
