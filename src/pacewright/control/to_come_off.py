"""Units still on the vehicles inside: when they come off, and come back through the pool."""

from collections.abc import Mapping, Sequence

from pacewright.control.ahead import Ahead
from pacewright.control.needs import Need
from pacewright.control.pool import TO_COME_OFF, Coming, Pool
from pacewright.events.things import WHOLE


def tell_to_come_off(seen: Ahead, wanted: Sequence[Need], pool: Mapping[str, Pool]) -> None:
    """Enter into each pool what the vehicles inside are expected to give it.

    A unit comes off when its strip stage ends, now where that is behind, and is back a mean turn
    time later. Scrap is left out, as for units in repair: it is told when it is found.
    """
    ends: dict[tuple[str, str], float] = {}
    for stay in seen.stays:
        key = (stay.piece, stay.stage_id)
        ends[key] = min(stay.ends, ends.get(key, stay.ends))
    for need in wanted:
        one = pool.get(need.unit_kind_id)
        if one is None or need.expected <= 0:
            continue
        off = max(_ends(ends, seen, need, one.kind.strip_stage_id), seen.now_day)
        one.to_come_off.append(
            Coming(
                None,
                TO_COME_OFF,
                off + one.turn.mean_days,
                spent_days=seen.now_day - off,
                amount=need.expected,
            )
        )


def _ends(ends: Mapping[tuple[str, str], float], seen: Ahead, need: Need, stage_id: str) -> float:
    names = [str(need.piece)]
    if need.piece.assembly_id == WHOLE and need.piece.serial in seen.vehicles:
        one = seen.vehicles[need.piece.serial]
        names.append(str(one.on_way.known.piece))
        names += [f"{assembly_id} of {need.piece.serial}" for assembly_id in one.parts_coming]
    return min((ends[n, stage_id] for n in names if (n, stage_id) in ends), default=seen.now_day)
