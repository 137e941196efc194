"""The floats an invented works holds: near what its pace needs, but for those set askew."""

import math

from pacewright.invent.capacity import Capacity
from pacewright.invent.draws import Draws
from pacewright.invent.route_days import StageDays
from pacewright.parts.tables import FloatHeld, UnitKind

# Standard normal quantile 0.9989: some fifty kinds at that readiness give a vehicle 0.95.
_DEVIATIONS = 3.06
# Below this price a works holds a quarter more than it must.
_CHEAP = 1000.0


def floats_held(
    capacity: Capacity, days: dict[str, dict[str, StageDays]], draws: Draws
) -> tuple[FloatHeld, ...]:
    """One row a unit kind; a tenth to a third of it stands unserviceable, a little in quarantine.

    Parameters
    ----------
    capacity : capacity of the works at its pace.
    days : vehicle type -> stage -> its stretch on the route.
    draws : the stream of chance.
    """
    kinds = capacity.unit_kinds
    waiting = draws.even(len(kinds), 0.1, 0.35)
    set_aside = draws.even(len(kinds))
    rows = []
    for place, kind in enumerate(kinds):
        held = _float_held(capacity, kind, days)
        unserviceable = round(held * float(waiting[place]))
        rows.append(
            FloatHeld(
                unit_kind_id=kind.unit_kind_id,
                serviceable=held - unserviceable,
                unserviceable=unserviceable,
                quarantine=int(set_aside[place] * 3.5) if set_aside[place] > 0.8 else 0,
            )
        )
    return tuple(rows)


def _float_held(capacity: Capacity, kind: UnitKind, days: dict[str, dict[str, StageDays]]) -> int:
    """A float that nearly always suffices, by a normal approximation, or one set askew.

    Equations: mean of the pipeline = rate x (turn - offset). Under even call-in its variance tends
    to rate x integral of F(1 - F) = rate x sd / sqrt(pi) for a normal turn time F, times the units
    that one vehicle brings together; units bought for scrapped ones add their own number.
    """
    need, pace_a_day = capacity.need, capacity.pace_a_day
    mean = variance = most = 0.0
    wait = (kind.lot_size - 1) / 2 / (need.units[kind.unit_kind_id] * pace_a_day)
    turn = kind.turn_days + wait + kind.despatch_days / 2
    spread = math.hypot(kind.turn_sd_days, kind.despatch_days / math.sqrt(12))
    for type_id, share in need.shares.items():
        together = need.units_of_type.get((kind.unit_kind_id, type_id), 0.0)
        if not together:
            continue
        rate = together * share * pace_a_day
        offset = days[type_id][kind.fit_stage_id].start - days[type_id][kind.strip_stage_id].end
        mean += rate * (1 - kind.scrap_share) * max(0.0, turn - offset)
        mean += rate * kind.scrap_share * kind.purchase_days
        variance += rate * max(1.0, together) * spread / math.sqrt(math.pi)
        variance += rate * kind.scrap_share * kind.purchase_days
        most = max(most, together)
    mean += (kind.lot_size - 1) / 2 + (kind.purchase_lot - 1) / 2 * (kind.scrap_share > 0)
    askew = need.catalogue.gearing.get(("floats", kind.unit_kind_id))
    if askew is not None:
        return math.ceil(mean + askew * math.sqrt(variance))
    # However seldom vehicles come, one vehicle's units are out at once and its lot gathers.
    least = math.ceil(most) + kind.lot_size - 1
    plenty = 1.25 if kind.unit_cost < _CHEAP else 1.0
    return max(least, math.ceil((mean + _DEVIATIONS * math.sqrt(variance)) * plenty))
