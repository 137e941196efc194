"""Units off the vehicles as they stand by the record, beyond those owed to vehicles."""

from collections import Counter
from collections.abc import Iterator
from datetime import datetime, timedelta

from pacewright.control.as_recorded_words import some
from pacewright.events.standing import Standing
from pacewright.events.things import Condition
from pacewright.parts.tables import FloatHeld
from pacewright.works import Works


def floats_as_recorded(
    works: Works, standing: Standing, now: datetime
) -> tuple[tuple[FloatHeld, ...], tuple[str, ...]]:
    """The table of floats held brought up to the record, and notes of what changed.

    A kind of which the record knows no unit keeps its row.

    Equations
    ---------
    A vehicle inside has given units and is owed as many, so what is off the vehicles holds the
    float and the owed. With ``s`` serviceable and given out to nothing, ``u`` unserviceable, ``i``
    given out and ``o`` owed, ``o - i`` are still to be found: the table's unserviceable is
    ``u - (o - i)``, and where that is below 0 the rest comes off ``s``. A float below 0 (units
    scrapped and not yet bought) is written 0 and told. As many of ``s`` as the table's
    ``site_float`` says are taken to be kept at the second site. Units on order count as
    unserviceable, since the float is reckoned with them; of a record that holds no order at all, a
    unit scrapped within its purchase lead is taken to be on order.
    """
    count = _off_vehicles(standing)
    given_out = Counter(
        unit.unit_kind_id
        for unit, one in standing.units.items()
        if one.issued_to is not None and one.condition is Condition.SERVICEABLE
    )
    on_order = _on_order(works, standing, now)
    owed: Counter[str] = Counter()
    for piece in standing.pieces.values():
        owed.update(piece.owed)
    known = {unit.unit_kind_id for unit in standing.units}
    held = {row.unit_kind_id: row for row in works.floats}
    rows, short = [], []
    for kind in works.unit_kinds:
        name = kind.unit_kind_id
        if name in known:
            to_find = owed[name] - given_out[name]
            # What a second site keeps is off the vehicles too, and told apart in the tables.
            ready = count[name, Condition.SERVICEABLE] - given_out[name]
            ready -= min(kind.site_float, max(ready, 0))
            waiting = count[name, Condition.UNSERVICEABLE] + on_order[name] - to_find
            if waiting < 0:
                ready, waiting = ready + waiting, 0
            if ready < 0:
                short.append(f"{name} {-ready}")
            quarantine = count[name, Condition.QUARANTINE]
            rows.append(FloatHeld(name, max(ready, 0), waiting, quarantine))
        elif name in held:
            rows.append(held[name])
    notes = _notes(held, rows, known, short)
    return tuple(rows), (*notes, *_order_notes(standing, on_order))


def _off_vehicles(standing: Standing) -> Counter[tuple[str, Condition]]:
    return Counter(
        (unit.unit_kind_id, one.condition)
        for unit, one in standing.units.items()
        if one.onto is None
    )


def _on_order(works: Works, standing: Standing, now: datetime) -> Counter[str]:
    if standing.orders:
        return Counter(
            {kind: sum(one.units for one in waiting) for kind, waiting in standing.orders.items()}
        )
    since = {
        one.unit_kind_id: now - timedelta(days=one.purchase_days * 7 / works.week_days)
        for one in works.unit_kinds
    }
    return Counter(
        unit.unit_kind_id
        for unit, one in standing.units.items()
        if one.condition is Condition.SCRAPPED and one.last_at > since.get(unit.unit_kind_id, now)
    )


def _order_notes(standing: Standing, on_order: Counter[str]) -> Iterator[str]:
    if on_order and not standing.orders:
        yield (
            "The record holds no order. "
            f"Units scrapped within their purchase lead are taken to be on order: "
            f"{some([f'{name} {units}' for name, units in sorted(on_order.items())])}."
        )


def _notes(
    held: dict[str, FloatHeld], rows: list[FloatHeld], known: set[str], short: list[str]
) -> Iterator[str]:
    changed = [row.unit_kind_id for row in rows if row != held.get(row.unit_kind_id)]
    if changed:
        yield f"Floats held as the record counts them, not as floats.csv: {some(changed)}."
    unseen = [row.unit_kind_id for row in rows if row.unit_kind_id not in known]
    if unseen:
        yield f"Of these kinds the record knows no unit, so floats.csv is taken: {some(unseen)}."
    if short:
        yield f"More units are owed to vehicles than there are off them, short by: {some(short)}."
