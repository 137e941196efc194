"""At the door: what must be changed is changed, tests are held to their limits."""

from pacewright.control.door_facts import Facts, type_of_piece
from pacewright.events.refusal import Refusal
from pacewright.events.stages import Found, Tested
from pacewright.events.standing import Standing
from pacewright.events.things import Verdict
from pacewright.events.units import UnitFound
from pacewright.parts.tables import TestItem


def must_change_stands(facts: Facts, now: Standing, event: Found | UnitFound) -> Refusal | None:
    """What must be changed, or done, is not passed with the verdict use; no one can override
    this.
    """
    if event.verdict is not Verdict.USE or event.item_id not in facts.always:
        return None
    about = event.piece if isinstance(event, Found) else event.unit
    return Refusal(
        str(about),
        f"verdict use on {event.item_id}",
        f"{event.item_id} is must-change: always done, whatever is found.",
        "Write repair or replace.",
    )


def found_within_limits(facts: Facts, now: Standing, event: Found | UnitFound) -> Refusal | None:
    """An operation with inspection limits is passed with the verdict use on a measurement within
    them.
    """
    one = facts.operations.get(event.item_id)
    if one is None or (one.inspect_least is None and one.inspect_most is None):
        return None
    found = None
    if event.reading_unit not in ("", one.inspect_unit):
        found = f"measured in {event.reading_unit}, its limits are in {one.inspect_unit}"
    elif event.verdict is Verdict.USE:
        found = _outside(event.measurement, one.inspect_least, one.inspect_most, one.inspect_unit)
    if found is None:
        return None
    about = event.piece if isinstance(event, Found) else event.unit
    return Refusal(
        str(about),
        f"{event.item_id}: {found}",
        "Verdict use stands on a measurement within the limits of the operation.",
        "Correct the measurement, or write another verdict.",
    )


def _outside(
    measured: float | None, least: float | None, most: float | None, unit: str
) -> str | None:
    if measured is None:
        return "no measurement"
    if least is not None and measured < least:
        return f"{measured:g} {unit}, least {least:g}"
    if most is not None and measured > most:
        return f"{measured:g} {unit}, most {most:g}"
    return None


def test_of_its_type(facts: Facts, now: Standing, event: Tested) -> Refusal | None:
    """A test item is one for the vehicle's type."""
    item, piece = facts.test_items.get(event.item_id), now.pieces.get(event.piece)
    if item is None or piece is None or item.type_id is None:
        return None
    type_id = type_of_piece(now, piece)
    if type_id in ("", item.type_id):
        return None
    return Refusal(
        str(event.piece),
        f"{event.item_id} is for type {item.type_id}, this is {type_id}",
        "A test item is one for the vehicle's type.",
        "Check item and number.",
    )


def within_limits(facts: Facts, now: Standing, event: Tested) -> Refusal | None:
    """A pass has its reading where the item has a limit, in the item's unit and within the
    limit.
    """
    item = facts.test_items.get(event.item_id)
    if item is None:
        return None
    found = _other_unit(item, event) or (_no_pass(item, event) if event.passed else None)
    if found is None:
        return None
    return Refusal(
        str(event.piece),
        f"{event.item_id}: {found}",
        f"A pass is read within its limits ({item.limit_source}).",
        "Correct the reading, or record that it failed; then rectify and test again.",
    )


def _other_unit(item: TestItem, event: Tested) -> str | None:
    if event.reading_unit in ("", item.reading_unit):
        return None
    return f"read in {event.reading_unit}, the item is in {item.reading_unit or 'no unit'}"


def _no_pass(item: TestItem, event: Tested) -> str | None:
    if item.least is None and item.most is None:
        return None
    found = _outside(event.reading, item.least, item.most, item.reading_unit)
    if event.reading is None:
        return "passed without a reading"
    return found and f"passed at {found}"
