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
        share = capacity.need.catalogue.gearing.get(("floats", kind.unit_kind_id), 1.0)
        held = round(_float_needed(capacity, kind, days) * share)
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


def _float_needed(capacity: Capacity, kind: UnitKind, days: dict[str, dict[str, StageDays]]) -> int:
    """A float that nearly always suffices, by a normal approximation.

    Equations: mean of the pipeline = rate x (turn - offset). Under even call-in its variance tends
    to rate x integral of F(1 - F) = rate x sd / sqrt(pi) for a normal turn time F, times the units
    that one vehicle brings together; units bought for scrapped ones add their own number.
    """
    need, pace_a_day = capacity.need, capacity.pace_a_day
    mean = variance = 0.0
    wait = (kind.lot_size - 1) / 2 / max(need.units[kind.unit_kind_id] * pace_a_day, 1e-9)
    turn = kind.turn_days + wait + kind.despatch_days / 2
    spread = math.hypot(kind.turn_sd_days, kind.despatch_days / math.sqrt(12))
    for type_id, share in need.shares.items():
        rate = need.units_of_type.get((kind.unit_kind_id, type_id), 0.0) * share * pace_a_day
        if not rate:
            continue
        offset = days[type_id][kind.fit_stage_id].start - days[type_id][kind.strip_stage_id].end
        late = max(0.0, turn - offset)
        mean += rate * ((1 - kind.scrap_share) * late + kind.scrap_share * kind.purchase_days)
        together = max(1.0, need.units_of_type[kind.unit_kind_id, type_id])
        variance += rate * together * spread / math.sqrt(math.pi)
        variance += rate * kind.scrap_share * kind.purchase_days
    gathered = (kind.lot_size - 1) / 2
    plenty = 1.25 if kind.unit_cost < _CHEAP else 1.0
    return math.ceil((mean + gathered + _DEVIATIONS * math.sqrt(variance)) * plenty)
