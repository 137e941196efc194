"""At the door: every name an event gives is a name of the works."""

from pacewright.base.faults import NameHint
from pacewright.control.door_facts import Facts
from pacewright.events import gate, identity, record, stages, units
from pacewright.events.refusal import Refusal
from pacewright.events.standing import Standing
from pacewright.events.things import Event, Unit

ITEMS = "operations or unit_kinds or test_items"
PLACES = "stages or unit_kinds"
_KIND = (("unit", "unit_kinds"),)
_TO_GATE = (
    ("vehicle_id", "vehicles"),
    ("type_id", "vehicle_types"),
    ("depot_id", "depots"),
)

NAMES: dict[type[Event], tuple[tuple[str, str], ...]] = {
    gate.Called: _TO_GATE,
    gate.Arrived: _TO_GATE,
    gate.OdometerRead: (("vehicle_id", "vehicles"),),
    gate.Withdrawn: (("vehicle_id", "vehicles"),),
    identity.Modified: (("campaign_id", "campaigns"),),
    identity.PieceEntered: (("type_id", "vehicle_types"),),
    stages.Moved: (("stage_id", "stages"),),
    stages.WorkStarted: (("trade_id", "trades"), ("operation_id", "operations")),
    stages.Tested: (("item_id", "test_items"),),
    stages.Found: (("item_id", ITEMS),),
    stages.Held: (("waits_for", "any table"),),
    stages.PutOutOfUse: (("place_id", PLACES),),
    units.UnitEntered: _KIND,
    units.Ordered: (("unit_kind_id", "unit_kinds"),),
    units.Purchased: _KIND,
    units.Removed: _KIND,
    units.SeenOn: _KIND,
    units.UnitFound: (("item_id", ITEMS),),
    units.Reconditioned: (("shop_id", "shops"),),
    record.Attended: (("shop_id", "shops"), ("trade_id", "trades")),
}
"""Kind of event -> its fields that name something -> where the name must stand."""


def names_known(facts: Facts, now: Standing, event: Event) -> Refusal | None:
    """Every name stands in the tables of the works, and every vehicle number in its fleet."""
    for field, table in NAMES[type(event)]:
        name = getattr(event, field)
        if type(name) is Unit:
            name = name.unit_kind_id
        if name and name not in facts.names[table]:
            return _unknown(facts, field, name, table)
    return None


def _unknown(facts: Facts, field: str, name: str, table: str) -> Refusal:
    hint = NameHint(sorted(facts.names[table]))(name)
    where = "the works" if table == "any table" else table
    return Refusal(
        field,
        f"'{name}' is not in {where}",
        "Every name stands in the tables of the works.",
        f"Correct it, or add it to {where} first.{hint}",
    )


def assembly_known(facts: Facts, now: Standing, event: identity.PieceEntered) -> Refusal | None:
    """A spare assembly is one that the vehicle type it is made for, or some type, parts into."""
    name = event.piece.assembly_id
    known = facts.counts.get(event.type_id) if event.type_id else facts.names["assemblies"]
    if known is None or name in known:
        return None
    return Refusal(
        str(event.piece),
        f"{event.type_id} has no {name}" if event.type_id else f"no type has a {name}",
        "A spare assembly is one that a vehicle type parts into.",
        "Correct it, or add it to assemblies first." + NameHint(sorted(known))(name),
    )


def of_its_type(facts: Facts, now: Standing, event: gate.Called | gate.Arrived) -> Refusal | None:
    """A vehicle is of the type the fleet table says."""
    known = facts.type_of.get(event.vehicle_id)
    if known is None or known == event.type_id:
        return None
    return Refusal(
        f"vehicle {event.vehicle_id}",
        f"type {event.type_id}, but {known} in vehicles",
        "A vehicle is of the type the fleet table says.",
        "Check the number; correct the type here or in vehicles.",
    )


def campaign_of_its_type(facts: Facts, now: Standing, event: identity.Modified) -> Refusal | None:
    """A campaign is done on vehicles of its type."""
    campaign, vehicle = facts.campaigns.get(event.campaign_id), now.vehicles.get(event.vehicle_id)
    if campaign is None or vehicle is None or vehicle.type_id == campaign.type_id:
        return None
    return Refusal(
        f"vehicle {event.vehicle_id}",
        f"it is of type {vehicle.type_id}; campaign {event.campaign_id} is for {campaign.type_id}",
        "A campaign is done on vehicles of its type.",
        "Check the number and the campaign.",
    )
