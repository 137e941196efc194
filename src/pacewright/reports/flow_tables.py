"""The flow of a day as tables: stages, who is where, assemblies that wait, unit kinds."""

from dataclasses import dataclass

from pacewright.plans.flow_day import FlowDay, KindDay, Source, StageDay
from pacewright.reports.table import Table, number, share, table, text, whole
from pacewright.works import Works


@dataclass(frozen=True, slots=True)
class _There:
    piece: str
    vehicle_id: str
    stage: StageDay
    position: int
    doing: str
    why: str
    chance: float


def stages_table(works: Works, day: FlowDay) -> Table:
    """Every stage: positions, queue, what stands, what piles up."""
    shops = {one.shop_id: one.name for one in works.shops}
    return table(
        ("stages", "Stages", "Positions, what waits, what stands, in the order of the tables"),
        (
            text("stage_id", "stage"),
            text("name", "its name"),
            text("shop_id", "shop it stands in"),
            text("shop", "its name", lambda r: shops.get(r.shop_id, r.shop_id)),
            text("sign", "stands, piles up, both or neither", lambda r: sign_of(r, day.source)),
            whole("positions", "positions there are", "positions"),
            number("lost", "of these out of use", "positions"),
            number("held", "positions that are held", "positions"),
            number("waiting", "free to come, wait for a position here", "pieces"),
            number("done", "on positions, done, cannot leave", "pieces"),
            number("stands", "there, stand for want of something other than a position", "pieces"),
            text("why", "for what, the most frequent first", lambda r: "; ".join(r.why)),
            share("chance_stands", "chance that any stands; by the record 0 or 1"),
            share("chance_piles", "chance that as many wait as it has positions in use"),
            text("queue", "who waits, where that is known", lambda r: ", ".join(r.queue)),
        ),
        day.stages,
    )


def sign_of(one: StageDay | KindDay, source: Source) -> str:
    """The signs of a stage in words."""
    will = source is Source.FORECAST
    stands = one.has_standing if isinstance(one, StageDay) else one.is_short
    said = ["will stand" if will else "stands"] if stands else []
    if isinstance(one, KindDay) and stands:
        said = ["will be short" if will else "short"]
    if one.piles_up:
        said.append("will pile up" if will else "piles up")
    return ", ".join(said)


def there_table(day: FlowDay) -> Table:
    """Who is where: by the record each piece, in a forecast the vehicles that are likely there."""
    rows = [
        _There(one.name, one.vehicle_id, stage, one.position, one.doing.value, one.why, 1.0)
        for stage in day.stages
        for one in stage.here
    ]
    rows += [
        _There(name, name, stage, 0, "likely there", "", chance)
        for stage in day.stages
        for name, chance in stage.likely
    ]
    return table(
        ("there", "Who is where", "Vehicles and assemblies at the stages"),
        (
            text("piece", "number of the vehicle, or serial of an assembly without one"),
            text("vehicle_id", "number it carries; blank: none"),
            text("stage_id", "stage", "stage.stage_id"),
            text("name", "its name", "stage.name"),
            whole("position", "position; 0: not told", "number"),
            text("doing", "what it does there"),
            text("why", "for what it stands"),
            share("chance", "share of the runs in which it is there; by the record 1"),
        ),
        rows,
    )


def stores_table(day: FlowDay) -> Table:
    """Finished assemblies that wait for a vehicle."""
    return table(
        ("assemblies", "Assemblies done", "Done, off their positions, wait to be married"),
        (
            text("assembly_id", "assembly"),
            text("name", "its name"),
            number("pieces", "done, wait for a vehicle", "pieces"),
            whole("room", "more than these cannot be married at once", "pieces"),
            share("chance_piles", "chance that more wait; by the record 0 or 1"),
            text("names", "which, where that is known", lambda r: ", ".join(r.names)),
        ),
        day.stores,
    )


def kinds_table(works: Works, day: FlowDay) -> Table:
    """Unit kinds off vehicles, by condition."""
    shops = {one.shop_id: one.name for one in works.shops}
    return table(
        ("kinds", "Unit kinds", "Units off vehicles by condition; never to be summed"),
        (
            text("unit_kind_id", "unit kind"),
            text("name", "its name"),
            text("shop_id", "shop that makes it good"),
            text("shop", "its name", lambda r: shops.get(r.shop_id, r.shop_id)),
            text("sign", "short, piles up or neither", lambda r: sign_of(r, day.source)),
            number("serviceable", "serviceable, given out for nothing", "units"),
            number("issued", "serviceable, given out for a vehicle; blank: not told", "units"),
            number("unserviceable", "to be made good, on the way or in the shop", "units"),
            number("quarantine", "set aside; blank: not told", "units"),
            number("full_at", "serviceable from which on more pile up; blank: not known", "units"),
            text("vehicles", "stand for one now", lambda r: ", ".join(r.vehicles)),
            share("chance_out", "chance that none is left; now: 1 where a vehicle will stand"),
            share("chance_piles", "chance that more are ready than are wanted"),
        ),
        day.kinds,
    )
