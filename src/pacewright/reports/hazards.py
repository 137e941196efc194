"""What is said of the hazards that the tables declare, on papers and on pages."""

from collections.abc import Iterable, Sequence
from types import MappingProxyType
from typing import Protocol

from pacewright.base.hazards import Hazard
from pacewright.parts.tables import Operation
from pacewright.works import Works

LINES = MappingProxyType(
    {
        Hazard.HIGH_VOLTAGE: "Voltage: isolate, discharge, prove dead, earth; licensed electrical "
        "people only.",
        Hazard.LIFTING: "Lifting or moving: all others off and clear; on supports before work; "
        "nobody under or in it while it hangs or moves. Licensed people, tested gear.",
        Hazard.MOVES: "It runs or turns under power: way closed off, one person in charge, nobody "
        "on or under it.",
        Hazard.BRAKES: "Brakes and air: let pressure off and lock out; stored air and springs can "
        "kill. Old linings may hold asbestos. A licensed person tests.",
        Hazard.SPRINGS: "Springs hold force: release by the maker's method before undoing "
        "anything.",
        Hazard.PRESSURE: "Pressure: let air, oil and coolant down to nothing and lock out before "
        "anything is undone. Licensed people test tanks and hoses.",
        Hazard.BATTERIES: "Batteries: acid, gas that explodes, arcs: air the place, no flame, "
        "insulated tools, eyes and hands covered.",
        Hazard.OVEN: "Oven, booth or tank: heat, fumes, ignition. Enter only when locked out, "
        "cooled and aired. Its time is never shortened.",
        Hazard.PAINT: "Paint: two-pack paints, solvents and old lead paint harm lungs and skin. "
        "Follow the local rules for air supply and waste.",
        Hazard.FIRE: "Fuel, gas, vapour: no flame or spark, aired, extinguisher at hand.",
        Hazard.HOT_WORK: "Hot work: permit, fire watch, battery and electronics off.",
        Hazard.CHEMICALS: "Caustics, acids, degreasers: maker's sheet; eyes, skin covered; eye "
        "bath.",
        Hazard.DUST: "Dust harms lungs: draw it off or wet it, never blow it; mask by local rules.",
        Hazard.ASBESTOS: "It may hold asbestos: stop and have it tested; only licensed people "
        "take it out.",
        Hazard.CONFINED: "Closed space: air it, measure the air, a second person outside; local "
        "permit.",
        Hazard.HEIGHT: "Height or open pit: rail or harness; nobody below.",
        Hazard.MACHINES: "Machines: guards on, nothing loose near what turns or presses.",
    }
)
"""Hazard -> its line. Common practice, no source; the maker's book and local rules come first."""

NONE_DECLARED = (
    "The tables declare no hazards: these lines go by English words in names and may miss some. "
    "Fill in the column hazards."
)


class _Row(Protocol):
    @property
    def hazards(self) -> tuple[Hazard, ...]: ...


def declares_hazards(works: Works) -> bool:
    """Whether any row of the works declares a hazard."""
    tables: tuple[Sequence[_Row], ...] = (works.stages, works.unit_kinds, works.operations)
    return any(one.hazards for rows in tables for one in rows)


def hazards_at(
    works: Works, places: Iterable[str], operations: Iterable[Operation] = ()
) -> tuple[Hazard, ...]:
    """The hazards declared for some work, each once, in the order of their list.

    Parameters
    ----------
    places : ids of stages and unit kinds; those of the operations come with them.
    operations : what is done.
    """
    done = tuple(operations)
    ids = {*places, *(one.stage_id for one in done), *(one.unit_kind_id for one in done)}
    found = {word for one in done for word in one.hazards}
    found |= {word for one in works.stages if one.stage_id in ids for word in one.hazards}
    found |= {word for one in works.unit_kinds if one.unit_kind_id in ids for word in one.hazards}
    return tuple(one for one in Hazard if one in found)


def hazard_words(hazards: Iterable[Hazard]) -> str:
    """Hazards as people read them.

    Examples
    --------
    >>> hazard_words((Hazard.HIGH_VOLTAGE, Hazard.SPRINGS))
    'high voltage, springs'
    """
    return ", ".join(one.replace("_", " ") for one in hazards)


def page_cautions(
    works: Works, places: Iterable[str], operations: Iterable[Operation] = ()
) -> tuple[str, ...]:
    """What a page says of the hazards of some work, a sentence; parameters as ``hazards_at``."""
    if not declares_hazards(works):
        return (
            "The tables declare no hazards (column hazards); that none is said here does not mean "
            "that work is safe.",
        )
    found = hazards_at(works, places, operations)
    if not found:
        return ()
    return (f"Hazards declared here: {hazard_words(found)}. Local rules and licensed people come "
            "before any work.",)  # fmt: skip
