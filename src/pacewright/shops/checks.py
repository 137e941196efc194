"""What must hold between the cells of the tables of shops, people, stages and plant.

A check is called with the tables its parameters are named for.
"""

from collections.abc import Callable, Iterator, Sequence

from pacewright.base.faults import Finding, NameHint
from pacewright.shops.tables import WHOLE, Assembly, Crew, Plant, PlantLoad, Shop, Stage, Upset


def shop_day_possible(shops: Sequence[Shop], people: Sequence[Crew]) -> Iterator[Finding]:
    """A shop and a person work between 1 and 24 hours a day."""
    days: dict[str, list[float | None]] = {
        "shops": [one.hours_a_day for one in shops],
        "people": [one.hours_a_day for one in people],
    }
    for table, hours_a_day in days.items():
        for index, hours in enumerate(hours_a_day):
            if hours is not None and not 1 <= hours <= 24:
                yield Finding(
                    table,
                    index,
                    "hours_a_day",
                    f"{hours:g} hours",
                    "A working day has between 1 and 24 hours.",
                    "Give the hours of one working day, for one person where people are meant.",
                )


def whole_is_no_assembly(assemblies: Sequence[Assembly]) -> Iterator[Finding]:
    """No assembly is called ``vehicle``; the word stands for the whole vehicle."""
    for index, one in enumerate(assemblies):
        if one.assembly_id == WHOLE:
            yield Finding(
                "assemblies",
                index,
                "assembly_id",
                f"an assembly is called '{WHOLE}'",
                f"'{WHOLE}' stands for the vehicle while it is whole.",
                "Delete the row, or give the assembly a name of its own.",
            )


def stage_hours_in_order(stages: Sequence[Stage]) -> Iterator[Finding]:
    """The hours of a stage rise: least, usual, most."""
    for index, one in enumerate(stages):
        if not one.hours_least <= one.hours_usual <= one.hours_most:
            yield Finding(
                "stages",
                index,
                "hours_usual",
                f"stage {one.stage_id}: least {one.hours_least:g}, usual {one.hours_usual:g}, "
                f"most {one.hours_most:g}",
                "hours_least <= hours_usual <= hours_most.",
                "Put the three in order.",
            )


def stage_assembly_known(
    stages: Sequence[Stage], assemblies: Sequence[Assembly]
) -> Iterator[Finding]:
    """What passes a stage is the whole vehicle or an assembly of each type named for the stage."""
    types_with: dict[str, set[str]] = {}
    for one in assemblies:
        types_with.setdefault(one.assembly_id, set()).add(one.type_id)
    hint = NameHint([WHOLE, *types_with])
    rule = f"A stage is passed by '{WHOLE}' or by an assembly that the types it names have."
    for index, stage in enumerate(stages):
        name = stage.assembly_id
        if name == WHOLE:
            continue
        if name not in types_with:
            found = f"stage {stage.stage_id} is passed by '{name}', an assembly of no type"
            remedy = "Correct it, or add the assembly to assemblies." + hint(name)
            yield Finding("stages", index, "assembly_id", found, rule, remedy)
            continue
        for type_id in stage.type_ids:
            if type_id not in types_with[name]:
                found = f"stage {stage.stage_id} names type {type_id}, which has no '{name}'"
                remedy = "Drop the type from type_ids, or add the assembly to assemblies."
                yield Finding("stages", index, "type_ids", found, rule, remedy)


def some_pass_the_test(stages: Sequence[Stage]) -> Iterator[Finding]:
    """Some pass a test the first time, and putting right is asked only where some fail."""
    for index, one in enumerate(stages):
        if one.first_pass_share == 0:
            yield Finding(
                "stages",
                index,
                "first_pass_share",
                f"nothing passes the test of {one.stage_id}",
                "first_pass_share is above 0.",
                "Give the share the records show; leave it blank where nothing is tested.",
            )
        elif one.first_pass_share == 1 and one.rectify_hours > 0:
            yield Finding(
                "stages",
                index,
                "rectify_hours",
                f"{one.rectify_hours:g} hours at {one.stage_id}, where nothing fails",
                "rectify_hours is the work that puts right what failed.",
                "Give first_pass_share below 1, or rectify_hours 0.",
            )


def upset_hits_one_thing(upsets: Sequence[Upset]) -> Iterator[Finding]:
    """An upset takes a position of a stage or a bench of a unit kind, not both and not neither."""
    for index, one in enumerate(upsets):
        if (one.stage_id is None) == (one.unit_kind_id is None):
            state = "both blank" if one.stage_id is None else "both filled"
            yield Finding(
                "upsets",
                index,
                "stage_id",
                f"stage_id and unit_kind_id are {state}",
                "An upset takes a position of a stage or a bench of a unit kind.",
                "Fill in one of the two; use two rows for two things.",
            )


def charge_takes_time(plant: Sequence[Plant]) -> Iterator[Finding]:
    """One charge of an oven, booth or tank takes three minutes at least."""
    for index, one in enumerate(plant):
        if one.cycle_hours < 0.05:
            yield Finding(
                "plant",
                index,
                "cycle_hours",
                f"one charge of {one.plant_id} takes {one.cycle_hours:g} hours",
                "A charge takes 0.05 hours, three minutes, at least.",
                "Give the time of one charge in hours, loading included.",
            )


def load_is_one_thing(plant_loads: Sequence[PlantLoad]) -> Iterator[Finding]:
    """A plant load is the pieces of a stage or the units of a kind, not both and not neither."""
    for index, one in enumerate(plant_loads):
        if (one.stage_id is None) == (one.unit_kind_id is None):
            state = "both blank" if one.stage_id is None else "both filled"
            yield Finding(
                "plant_loads",
                index,
                "stage_id",
                f"stage_id and unit_kind_id are {state}",
                "A load is the pieces of a stage or the units of a kind.",
                "Fill in one of the two; use two rows for two loads.",
            )


def load_fits_plant(plant_loads: Sequence[PlantLoad], plant: Sequence[Plant]) -> Iterator[Finding]:
    """One piece takes up no more than a whole charge."""
    charge = {one.plant_id: one.batch_size for one in plant}
    for index, one in enumerate(plant_loads):
        if one.pieces > charge[one.plant_id]:
            yield Finding(
                "plant_loads",
                index,
                "pieces",
                f"one takes {one.pieces:g} places of {one.plant_id}, which holds "
                f"{charge[one.plant_id]}",
                "One piece goes into one charge.",
                "Correct pieces, or batch_size of the plant.",
            )


CHECKS: tuple[Callable[..., Iterator[Finding]], ...] = (
    shop_day_possible,
    whole_is_no_assembly,
    stage_hours_in_order,
    stage_assembly_known,
    some_pass_the_test,
    upset_hits_one_thing,
    charge_takes_time,
    load_is_one_thing,
    load_fits_plant,
)
"""Every check of the shops, in the order of the column reference."""
