"""What must hold between the cells of the tables of unit kinds, operations and tests.

A check is called with what its parameters are named for: tables, ``passes`` (vehicle type -> the
stages it passes, each with all stages that come before it), ``shop_of_stage``, ``shop_hours``
(shop -> hours of its day) and ``manned`` (shop -> trades that have people there).
"""

from collections.abc import Callable, Iterator, Mapping, Sequence

from pacewright.base.faults import Finding
from pacewright.parts.tables import Campaign, Fit, Operation, TestItem, UnitKind

Passes = Mapping[str, Mapping[str, frozenset[str]]]


def kind_fits_some_type(unit_kinds: Sequence[UnitKind], fits: Sequence[Fit]) -> Iterator[Finding]:
    """Each unit kind fits at least one vehicle type."""
    fitted = {one.unit_kind_id for one in fits}
    for index, one in enumerate(unit_kinds):
        if one.unit_kind_id not in fitted:
            yield Finding(
                "unit_kinds",
                index,
                "unit_kind_id",
                f"unit kind {one.unit_kind_id} fits no vehicle type",
                "Each unit kind has a row in fits for each type that carries it.",
                "Add the row to fits, or delete the unit kind.",
            )


def kind_on_route(
    unit_kinds: Sequence[UnitKind], fits: Sequence[Fit], passes: Passes
) -> Iterator[Finding]:
    """Each type that carries a unit passes the stages where it comes off and goes on again."""
    for index, kind, type_id in _fitted(unit_kinds, fits):
        for column in ("strip_stage_id", "fit_stage_id"):
            stage_id = getattr(kind, column)
            if stage_id not in passes[type_id]:
                yield Finding(
                    "unit_kinds",
                    index,
                    column,
                    f"unit kind {kind.unit_kind_id} fits type {type_id}, which does not pass "
                    f"stage {stage_id}",
                    "A type passes the stages where its units come off and go on.",
                    "Correct the stage, its type_ids, or the row in fits.",
                )


def stripped_before_fitted(
    unit_kinds: Sequence[UnitKind], fits: Sequence[Fit], passes: Passes
) -> Iterator[Finding]:
    """A unit comes off at a stage before the one where it goes on again."""
    for index, kind, type_id in _fitted(unit_kinds, fits):
        route = passes[type_id]
        both = kind.strip_stage_id in route and kind.fit_stage_id in route
        if both and kind.strip_stage_id not in route[kind.fit_stage_id]:
            yield Finding(
                "unit_kinds",
                index,
                "fit_stage_id",
                f"unit kind {kind.unit_kind_id} goes on at {kind.fit_stage_id}, which on the "
                f"route of type {type_id} does not come after {kind.strip_stage_id}, where it "
                "comes off",
                "A unit is stripped at a stage before the one where it is fitted.",
                "Correct the two stages, or the follows of the stages between.",
            )


def _fitted(
    unit_kinds: Sequence[UnitKind], fits: Sequence[Fit]
) -> Iterator[tuple[int, UnitKind, str]]:
    place = {one.unit_kind_id: index for index, one in enumerate(unit_kinds)}
    for fit in fits:
        index = place[fit.unit_kind_id]
        yield index, unit_kinds[index], fit.type_id


def must_change_comes_off(unit_kinds: Sequence[UnitKind]) -> Iterator[Finding]:
    """A unit that must be changed comes off every vehicle."""
    for index, one in enumerate(unit_kinds):
        if one.must_change and one.removal_share < 1:
            yield Finding(
                "unit_kinds",
                index,
                "removal_share",
                f"unit kind {one.unit_kind_id} must be changed and comes off "
                f"{one.removal_share:g} of the vehicles",
                "Must-change means always: removal_share is 1.",
                "Write 1, or must_change no.",
            )


def bench_and_hours(unit_kinds: Sequence[UnitKind]) -> Iterator[Finding]:
    """Where benches are given so are the hours a unit takes on one, and the other way round."""
    for index, one in enumerate(unit_kinds):
        if (one.benches is not None) != (one.bench_hours > 0):
            column = "benches" if one.benches is None else "bench_hours"
            yield Finding(
                "unit_kinds",
                index,
                column,
                f"unit kind {one.unit_kind_id} has benches "
                f"{'blank' if one.benches is None else one.benches} "
                f"and bench_hours {one.bench_hours:g}",
                "benches and bench_hours (above 0) are given together, or neither.",
                "Fill in the other; or blank benches and write bench_hours 0.",
            )


def turn_covers_bench(
    unit_kinds: Sequence[UnitKind], shop_hours: Mapping[str, float]
) -> Iterator[Finding]:
    """The turn time of a unit, waiting included, is at least its time on the bench."""
    for index, one in enumerate(unit_kinds):
        bench_days = one.bench_hours / shop_hours[one.shop_id]
        if bench_days > one.turn_days:
            yield Finding(
                "unit_kinds",
                index,
                "turn_days",
                f"unit kind {one.unit_kind_id} turns in {one.turn_days:g} days and is "
                f"{one.bench_hours:g} hours, {bench_days:.1f} days, on the bench",
                "turn_days counts all from removal to serviceable, the bench included.",
                "Correct turn_days or bench_hours.",
            )


def spread_believable(unit_kinds: Sequence[UnitKind]) -> Iterator[Finding]:
    """The standard deviation of a turn time is at most twice its mean."""
    for index, one in enumerate(unit_kinds):
        if one.turn_sd_days > 2 * one.turn_days:
            yield Finding(
                "unit_kinds",
                index,
                "turn_sd_days",
                f"unit kind {one.unit_kind_id} turns in {one.turn_days:g} days with a standard "
                f"deviation of {one.turn_sd_days:g}",
                "A standard deviation above twice the mean comes of a slip, or of mixed causes.",
                "Correct it; leave lost and forgotten units out of what it is reckoned from.",
            )


def scrap_is_bought(unit_kinds: Sequence[UnitKind]) -> Iterator[Finding]:
    """A unit kind of which some are scrapped has the lead time of a new one."""
    for index, one in enumerate(unit_kinds):
        if one.scrap_share > 0 and one.purchase_days == 0:
            yield Finding(
                "unit_kinds",
                index,
                "purchase_days",
                f"unit kind {one.unit_kind_id}: {one.scrap_share:g} are scrapped, "
                "purchase_days is 0",
                "What is scrapped is bought anew, which takes time.",
                "Fill in purchase_days, or write scrap_share 0.",
            )


def fit_meets_its_campaign(fits: Sequence[Fit], campaigns: Sequence[Campaign]) -> Iterator[Finding]:
    """The campaign a fit depends on is one of its vehicle type, and not both needed and barred."""
    type_of = {one.campaign_id: one.type_id for one in campaigns}
    for index, one in enumerate(fits):
        named = {
            column: getattr(one, column)
            for column in ("needs_campaign_id", "until_campaign_id")
            if getattr(one, column) is not None
        }
        for column, campaign_id in named.items():
            if type_of[campaign_id] != one.type_id:
                yield Finding(
                    "fits",
                    index,
                    column,
                    f"campaign {campaign_id} is for type {type_of[campaign_id]}, not {one.type_id}",
                    "A fit depends on a campaign of its own vehicle type.",
                    "Correct the campaign or the type.",
                )
        if len(named) == 2 and len(set(named.values())) == 1:
            yield Finding(
                "fits",
                index,
                "until_campaign_id",
                f"{one.unit_kind_id} needs campaign {one.needs_campaign_id} and is barred by it",
                "A unit that needs a campaign is not barred by it.",
                "Blank one of the two.",
            )


def moving_work_at_a_stage(operations: Sequence[Operation]) -> Iterator[Finding]:
    """Work that moves the vehicle is done at a stage."""
    for index, one in enumerate(operations):
        if one.moves_vehicle and one.stage_id is None:
            yield Finding(
                "operations",
                index,
                "moves_vehicle",
                f"operation {one.operation_id} is done on a unit and moves the vehicle",
                "Work that lifts, lowers or moves a vehicle is done at a stage.",
                "Write no, or give stage_id in place of unit_kind_id.",
            )


def operation_in_one_place(operations: Sequence[Operation]) -> Iterator[Finding]:
    """An operation is done at a stage or on a unit kind, not both and not neither."""
    for index, one in enumerate(operations):
        if (one.stage_id is None) == (one.unit_kind_id is None):
            state = "both blank" if one.stage_id is None else "both filled"
            yield Finding(
                "operations",
                index,
                "stage_id",
                f"operation {one.operation_id}: stage_id and unit_kind_id are {state}",
                "An operation is done at a stage or on a unit kind.",
                "Fill in one of the two; use two rows for work in two places.",
            )


def must_change_always_done(operations: Sequence[Operation]) -> Iterator[Finding]:
    """An operation that must be done is done on every one."""
    for index, one in enumerate(operations):
        if one.must_change and one.occurrence_share < 1:
            yield Finding(
                "operations",
                index,
                "occurrence_share",
                f"operation {one.operation_id} must be done and occurs on {one.occurrence_share:g}",
                "Must-change means always: occurrence_share is 1.",
                "Write 1, or must_change no.",
            )


def operation_meets_its_type(
    operations: Sequence[Operation], fits: Sequence[Fit], passes: Passes
) -> Iterator[Finding]:
    """The type an operation is kept to passes its stage, or carries its unit kind."""
    carried = {(one.type_id, one.unit_kind_id) for one in fits}
    for index, one in enumerate(operations):
        type_id = one.type_id
        if type_id is None:
            continue
        off_route = one.stage_id is not None and one.stage_id not in passes[type_id]
        not_carried = one.unit_kind_id is not None and (type_id, one.unit_kind_id) not in carried
        if off_route or not_carried:
            where = f"pass stage {one.stage_id}" if off_route else f"carry {one.unit_kind_id}"
            yield Finding(
                "operations",
                index,
                "type_id",
                f"operation {one.operation_id} is for type {type_id}, which does not {where}",
                "The type of an operation meets it on its way.",
                "Correct the type, the stage or the unit kind.",
            )


def work_has_people(
    operations: Sequence[Operation],
    campaigns: Sequence[Campaign],
    unit_kinds: Sequence[UnitKind],
    shop_of_stage: Mapping[str, str],
    manned: Mapping[str, frozenset[str]],
) -> Iterator[Finding]:
    """The trade of an operation or campaign has people in the shop where it is done."""
    shop_of_kind = {one.unit_kind_id: one.shop_id for one in unit_kinds}
    rows: dict[str, Sequence[Operation | Campaign]] = {
        "operations": operations,
        "campaigns": campaigns,
    }
    for table, index, one in ((t, i, one) for t in rows for i, one in enumerate(rows[t])):
        if one.stage_id is not None:
            shop_id = shop_of_stage[one.stage_id]
        elif isinstance(one, Operation) and one.unit_kind_id is not None:
            shop_id = shop_of_kind[one.unit_kind_id]
        else:
            continue
        if one.standard_hours > 0 and one.trade_id not in manned.get(shop_id, frozenset()):
            yield Finding(
                table,
                index,
                "trade_id",
                f"'{one.name}' needs trade {one.trade_id} in shop {shop_id}, where it has no "
                "people",
                "Work is done by people of its trade in the shop of its stage or unit kind.",
                "Add the people (more than 0, attendance above 0), or correct trade, stage or "
                "unit kind.",
            )


def campaign_dates_in_order(campaigns: Sequence[Campaign]) -> Iterator[Finding]:
    """A campaign ends on or after its first day."""
    for index, one in enumerate(campaigns):
        if one.last < one.first:
            yield Finding(
                "campaigns",
                index,
                "last",
                f"campaign {one.campaign_id} runs from {one.first} to {one.last}",
                "A campaign ends on or after its first day.",
                "Put the two dates in order.",
            )


def type_passes_stage(
    campaigns: Sequence[Campaign], test_items: Sequence[TestItem], passes: Passes
) -> Iterator[Finding]:
    """The type of a campaign or test item passes its stage."""
    rows: dict[str, Sequence[Campaign | TestItem]] = {
        "campaigns": campaigns,
        "test_items": test_items,
    }
    for table, kept in rows.items():
        for index, one in enumerate(kept):
            if one.type_id is not None and one.stage_id not in passes[one.type_id]:
                yield Finding(
                    table,
                    index,
                    "stage_id",
                    f"type {one.type_id} does not pass stage {one.stage_id}",
                    "The stage lies on the route of the type.",
                    "Correct the stage or the type.",
                )


def inspection_limits_sound(operations: Sequence[Operation]) -> Iterator[Finding]:
    """Inspection limits stand in order, in a unit, on work that is not must-change."""
    for index, one in enumerate(operations):
        least, most = one.inspect_least, one.inspect_most
        if least is None and most is None:
            continue
        if least is not None and most is not None and least > most:
            column, found = "inspect_most", f"inspect_least {least:g}, inspect_most {most:g}"
            remedy = "Put the two in order, from the maker's book or local code."
        elif not one.inspect_unit:
            column, found = "inspect_unit", "it has a limit and no unit"
            remedy = "Fill in inspect_unit, or blank the limits."
        elif one.must_change:
            column, found = "must_change", "it has a limit and is done whatever is found"
            remedy = "Blank the limits, or write must_change no."
        else:
            continue
        yield Finding(
            "operations",
            index,
            column,
            f"operation {one.operation_id}: {found}",
            "Inspection limits stand in order, in a unit, on work that is not must-change.",
            remedy,
        )


def limits_in_order(test_items: Sequence[TestItem]) -> Iterator[Finding]:
    """The lowest reading that passes a test is not above the highest."""
    for index, one in enumerate(test_items):
        if one.least is not None and one.most is not None and one.least > one.most:
            yield Finding(
                "test_items",
                index,
                "most",
                f"test item {one.item_id}: least {one.least:g}, most {one.most:g}",
                "least <= most, or nothing passes.",
                "Put the two in order, from the document named in limit_source.",
            )


def limit_has_unit(test_items: Sequence[TestItem]) -> Iterator[Finding]:
    """A test item with a limit names the unit of its reading."""
    for index, one in enumerate(test_items):
        if (one.least is not None or one.most is not None) and not one.reading_unit:
            yield Finding(
                "test_items",
                index,
                "reading_unit",
                f"test item {one.item_id} has a limit and no unit",
                "A limit is read in a unit.",
                "Fill in reading_unit, or blank least and most for pass or fail.",
            )


CHECKS: tuple[Callable[..., Iterator[Finding]], ...] = (
    kind_fits_some_type,
    kind_on_route,
    stripped_before_fitted,
    must_change_comes_off,
    bench_and_hours,
    turn_covers_bench,
    spread_believable,
    scrap_is_bought,
    fit_meets_its_campaign,
    moving_work_at_a_stage,
    operation_in_one_place,
    must_change_always_done,
    operation_meets_its_type,
    work_has_people,
    campaign_dates_in_order,
    type_passes_stage,
    inspection_limits_sound,
    limits_in_order,
    limit_has_unit,
)
"""Every check of the parts, in the order of the column reference."""
