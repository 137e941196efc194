"""Needs that the pool cannot meet today, first needs first."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pacewright.control.first_needs import Taker
from pacewright.control.needs import Need
from pacewright.control.pool import IN_STORE, Pool


@dataclass(slots=True)
class Unmet:
    """Kinds that a piece lacks at one stage.

    ``owner`` : shop of the first; ``expected_day`` : when the last is expected, None: not known.
    """

    kinds: list[str]
    owner: str
    expected_day: float | None


def unmet_now(
    wanted: Sequence[Need], pool: Mapping[str, Pool], now_day: float
) -> dict[tuple[str, str], Unmet]:
    """(piece in words, fit stage) -> kinds owed there for which nothing is in store.

    Only what is off already counts: what may still come off holds nothing up today.
    """
    found: dict[tuple[str, str], Unmet] = {}
    takers = {kind_id: Taker(one.in_sight(now_day)) for kind_id, one in pool.items()}
    for need in wanted:
        firm = need.owed - need.issued
        kind = pool.get(need.unit_kind_id)
        if firm <= 0 or kind is None:
            continue
        unit = takers[need.unit_kind_id].take(firm)[-1].unit
        if unit is not None and unit.source == IN_STORE:
            continue
        day = unit.day if unit else None
        key = (str(need.piece), need.fit_stage_id)
        one = found.get(key)
        if one is None:
            found[key] = Unmet([need.unit_kind_id], kind.kind.shop_id, day)
        else:
            one.kinds.append(need.unit_kind_id)
            known = one.expected_day is not None and day is not None
            one.expected_day = max(one.expected_day or 0.0, day or 0.0) if known else None
    return found
