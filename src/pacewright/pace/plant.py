"""Ovens, booths and tanks as batches: charges able and needed, waiting to fill and for a turn."""

from math import floor

from pacewright.pace.gear import geared, over_words
from pacewright.pace.hours import removal_share
from pacewright.pace.problem import LineProblem
from pacewright.pace.queueing import mean_wait
from pacewright.plans.line import Gear, PlantLoad
from pacewright.shops.tables import Plant
from pacewright.works import Works

LONGEST_TURN = 0.5
"""Plant is enough when a full charge waits less than half a cycle on average (our rule)."""
_DAYS_TRIED = 500


def plant_loads(works: Works, problem: LineProblem) -> tuple[PlantLoad, ...]:
    """Every plant against the pace."""
    return tuple(_load_of(problem, one, plant_pieces(works, problem, one)) for one in works.plant)


def plant_pieces(works: Works, problem: LineProblem, plant: Plant) -> float:
    """Places of a charge taken up on a working day at the pace, second sites included."""
    kinds = {one.unit_kind_id: one for one in works.unit_kinds}
    pieces = 0.0
    for load in works.plant_loads:
        if load.plant_id != plant.plant_id:
            continue
        if load.stage_id is not None:
            passing = problem.pieces_a_vehicle(load.stage_id)
            pieces += load.pieces * problem.pace_a_day * passing
        if load.unit_kind_id is not None:
            kind = kinds[load.unit_kind_id]
            carried = sum(
                problem.mix.get(fit.type_id, 0.0) * fit.per_vehicle
                for fit in works.fits
                if fit.unit_kind_id == kind.unit_kind_id
            )
            removed = problem.pace_a_day * carried * removal_share(kind)
            pieces += load.pieces * (removed + kind.site_a_week / problem.week_days)
    return pieces


def charges_a_day(cycle_hours: float, shop_hours_a_day: float, night_goes_on: bool) -> float:
    """Charges one oven can do on a working day when there is always work.

    With ``night_goes_on`` a charge started at work runs on and is changed next morning if it
    ends outside working time. Without, it must end within the day; one longer than the day is
    taken to be broken off and gone on with.

    >>> charges_a_day(10, 8, True), charges_a_day(3, 8, True), charges_a_day(3, 8, False)
    (1.0, 3.0, 2.0)
    """
    if not night_goes_on:
        fits = shop_hours_a_day / cycle_hours
        return float(floor(fits + 1e-9)) if fits >= 1 else fits
    started, clock = 0, 0.0
    while clock < 24 * _DAYS_TRIED:
        started += 1
        clock += cycle_hours
        into = clock % 24
        if into > shop_hours_a_day - 1e-9:
            clock += 24 - into
    return started / (clock / 24)


def _load_of(problem: LineProblem, plant: Plant, pieces: float) -> PlantLoad:
    hours_a_day = problem.shop_hours_a_day[plant.shop_id]
    one_able = charges_a_day(plant.cycle_hours, hours_a_day, plant.night_goes_on)
    needed, able = pieces / plant.batch_size, plant.how_many * one_able
    week = problem.week_days
    wanted = _wanted(needed, one_able, plant.batch_size)
    grows = max(0.0, 1 - able / needed) * week if needed else 0.0
    wait_days = grows or _wait_days(plant, pieces, one_able)
    able_a_week = problem.pace_a_week * able / needed if needed else 0.0
    gear = geared(able, needed, plant.how_many, wanted)
    # Nothing is held back longer than a working day to make a charge full.
    fired = max(needed, min(able, 1.0))
    return PlantLoad(
        plant_id=plant.plant_id,
        name=plant.name,
        shop_id=plant.shop_id,
        how_many=plant.how_many,
        batch_size=plant.batch_size,
        pieces_a_day=pieces,
        charges_able_a_day=able,
        charges_needed_a_day=needed,
        use_share=needed / able,
        fill_share=needed / fired,
        wait_hours=wait_days * hours_a_day,
        how_many_wanted=wanted,
        able_a_week=able_a_week,
        over_share=able_a_week / problem.pace_a_week - 1 if needed else 0.0,
        gear=gear,
        reason=_reason(problem, plant, able_a_week, wanted, gear),
    )


def _wait_days(plant: Plant, pieces_a_day: float, one_able: float) -> float:
    if not pieces_a_day:
        return 0.0
    filling = min((plant.batch_size - 1) / (2 * pieces_a_day), 0.5)
    load = pieces_a_day / plant.batch_size / one_able
    if load >= plant.how_many:
        return filling
    # Pieces come at random; a charge of B of them comes B times as regularly (Erlang's law).
    return filling + mean_wait(plant.how_many, load, 1 / one_able, 1 / plant.batch_size, 0.0)


def _wanted(needed_a_day: float, one_able: float, batch_size: int) -> int:
    load = needed_a_day / one_able
    if not load:
        return 0
    number = floor(load) + 1
    while mean_wait(number, load, 1.0, 1 / batch_size, 0.0) > LONGEST_TURN:
        number += 1
    return number


def _reason(problem: LineProblem, plant: Plant, able_a_week: float, wanted: int, gear: Gear) -> str:
    if not able_a_week:
        return "Nothing that the programme brings passes here: it stands idle."
    said = over_words(able_a_week, problem.pace_a_week)
    said += f"; {wanted} wanted for a turn within half a cycle, there are {plant.how_many}."
    if gear is Gear.HOLDS_UP:
        return said + (
            f" Add {wanted - plant.how_many}, load it fuller, or let charges run through the "
            "night where local fire and safety rules allow; never shorten a cure."
        )
    if gear is Gear.TIGHT:
        return said + " Level the arrivals or start a charge earlier; never shorten a cure."
    if gear is Gear.RUNS_AHEAD:
        return said + f" {plant.how_many - wanted} can rest or serve elsewhere."
    return said
