"""What threatens a promise: the wait that is longest in the runs in which it is broken."""

import numpy as np
from numpy.typing import NDArray

from pacewright.plans.forecast import Cause
from pacewright.plans.promise import Threat
from pacewright.simulate.figures import spans
from pacewright.simulate.places import places_of
from pacewright.simulate.releases import Releases
from pacewright.simulate.run import Causes
from pacewright.works import Works


def threat_to(works: Works, runs: Releases, column: int, late: NDArray[np.bool_]) -> Threat | None:
    """The cause with the longest mean wait of a vehicle over the runs in which it is late.

    Parameters
    ----------
    works : names of places.
    runs : the runs, and ``column`` of the vehicle in them.
    late : run -> whether it is late there.

    Returns
    -------
    None when it is late in none; a threat without a cause when it waits for nothing.
    """
    if not late.any():
        return None
    causes = Causes.of(runs.table)
    day = int(runs.table.days.minutes[0])
    mean = runs.waits[late, column, : causes.work].mean(axis=0) / day
    worst = int(mean.argmax())
    if mean[worst] <= 0:
        return Threat(None, "", "", "", 0.0)
    cause, place = _cause_at(causes, worst)
    place_id, name, shop_id = places_of(works, runs.table.names)[cause][place]
    return Threat(cause, place_id, name, shop_id, float(mean[worst]))


def _cause_at(causes: Causes, column: int) -> tuple[Cause, int]:
    return next(
        (cause, column - span.start)
        for cause, span in spans(causes).items()
        if span.start <= column < span.stop
    )
