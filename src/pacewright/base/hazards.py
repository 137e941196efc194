"""What can hurt people at a piece of work: a closed list of trade words for the tables."""

from enum import StrEnum
from types import MappingProxyType
from typing import Annotated

from pydantic import BeforeValidator

from pacewright.base.columns import Rule, words_of


class Hazard(StrEnum):
    """One kind of danger; the order is that in which it is printed."""

    HIGH_VOLTAGE = "high_voltage"
    LIFTING = "lifting"
    MOVES = "moves"
    BRAKES = "brakes"
    SPRINGS = "springs"
    PRESSURE = "pressure"
    BATTERIES = "batteries"
    OVEN = "oven"
    PAINT = "paint"
    FIRE = "fire"
    HOT_WORK = "hot_work"
    CHEMICALS = "chemicals"
    DUST = "dust"
    ASBESTOS = "asbestos"
    CONFINED = "confined"
    HEIGHT = "height"
    MACHINES = "machines"


MEANINGS = MappingProxyType(
    {
        Hazard.HIGH_VOLTAGE: ("voltage of the line or of converters, charge left in them", "W012"),
        Hazard.LIFTING: ("something heavy hangs, stands on jacks, or can fall or tip", "W015"),
        Hazard.MOVES: ("a vehicle runs, is shunted, or turns its wheels under power", "W001"),
        Hazard.BRAKES: ("brakes that apply by springs or stored air; their linings", "W001"),
        Hazard.SPRINGS: ("force held in springs or by suspension", "W024"),
        Hazard.PRESSURE: ("air, oil or coolant under pressure", "W029"),
        Hazard.BATTERIES: ("acid, gas that explodes, arcs that no switch ends", "W026"),
        Hazard.OVEN: ("ovens, booths and tanks that are hot", "W017"),
        Hazard.PAINT: ("two-pack paints, solvents, old lead paint", "W016"),
        Hazard.FIRE: ("fuel, gas or vapour that catches fire", "W021"),
        Hazard.HOT_WORK: ("welding, cutting by flame, grinding", "W027"),
        Hazard.CHEMICALS: ("caustics, acids, degreasers", "W023"),
        Hazard.DUST: ("blasting, sanding and lining dust, silica and lead among it", "W001"),
        Hazard.ASBESTOS: ("old lagging, arc chutes, linings, floors that may hold it", "W001"),
        Hazard.CONFINED: ("tanks, pits and ducts with bad air", "W041"),
        Hazard.HEIGHT: ("roofs and open pits", "W008"),
        Hazard.MACHINES: ("presses, lathes and whatever turns or shears", "W025"),
    }
)
"""Hazard -> what it means, and the number of its warning sign in ISO 7010 (from memory; W001 is
the general one, where no sign of its own is known to us)."""

Hazards = Annotated[
    tuple[Hazard, ...],
    BeforeValidator(words_of),
    Rule(
        f"Hazards, blanks between them, of: {', '.join(Hazard)}.",
        "Write words of this list; what fits none is said in the name or the local rules.",
    ),
]
