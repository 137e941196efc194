"""The float list: how many spare units of each kind, held against needed."""

from dataclasses import dataclass

from pacewright.plans.card import ResultCard


@dataclass(frozen=True, slots=True)
class FloatLine:
    """One unit kind.

    Parameters
    ----------
    removed_a_week : units taken off a week at the pace.
    turn_days, turn_sd_days : from removal to serviceable, lots, despatch and queue included.
    offset_days : from removal to need on the same vehicle, shortest of the types.
    pipeline_mean : units in the pipeline on average beyond the offset.
    law : which law set the float ("even call-in, exact", "random call-in", "two sites, exact" ...).
    held : serviceable + unserviceable in the float; quarantine stands apart.
    needed : recommended float, set together with the others for the vehicle-readiness target, as
        if nothing were held: the least money for all floats.
    needed_random : the same readiness of this kind under random call-in.
    ready_held, ready_needed : chance that a unit is there on the day with that float.
    reserve : units to buy each year for scrap, and the stock that bridges their lead time.
    late_days, late_chance : lateness curve: chance that a vehicle waits longer than so many days.
    ready_one_more : readiness with one more unit than held.
    ready_one_takt : readiness with held units and one takt more of offset.
    takt_worth_units : units of float that one takt more of offset is worth: those removed in it.
    cost_short : price of the units short (needed - held, at least 0).
    buy : units to buy so that, with all that is held kept, the target is reached at least money.
    ready_bought : readiness with held and bought units.
    types : the types that carry it; readiness of each with held and with needed units.
    shop_use_share : load of the shop's benches at the pace; None: benches not stated.
    site_ready : chance that the second site has a unit when it needs one, with held units; None:
        no second site.
    """

    unit_kind_id: str
    name: str
    shop_id: str
    per_vehicle: float
    removed_a_week: float
    turn_days: float
    turn_sd_days: float
    offset_days: float
    pipeline_mean: float
    law: str
    held: int
    serviceable: int
    quarantine: int
    needed: int
    needed_random: int
    short: int
    ready_held: float
    ready_needed: float
    ready_random_held: float
    bought_a_year: float
    purchase_stock: int
    unit_cost: float
    cost_short: float
    ready_one_more: float
    ready_one_takt: float
    takt_worth_units: float
    late_days: tuple[float, ...]
    late_chance: tuple[float, ...]
    note: str = ""
    buy: int = 0
    ready_bought: float = 0.0
    types: tuple[str, ...] = ()
    ready_held_by_type: tuple[float, ...] = ()
    ready_needed_by_type: tuple[float, ...] = ()
    shop_use_share: float | None = None
    site_ready: float | None = None


@dataclass(frozen=True, slots=True)
class ReadinessPoint:
    """One point of the curve of vehicle readiness against money, least cost for its readiness.

    ``cost`` is the price of all ``units`` in all floats, not only of those to be bought.
    """

    cost: float
    readiness: float
    units: int


@dataclass(frozen=True, slots=True)
class FloatList:
    """All floats set together.

    Parameters
    ----------
    target : wanted chance that a vehicle has all its units on the day.
    ready_held, ready_needed : that chance with the floats held and with the floats needed.
    cost_short : price of all units short of ``needed``; surplus of other kinds does not count.
    cost_buy : price of the units to ``buy``: the least that reaches the target from what is held.
    ready_bought : vehicle readiness once they are bought.
    """

    card: ResultCard
    target: float
    lines: tuple[FloatLine, ...]
    ready_held: float
    ready_needed: float
    cost_short: float
    curve: tuple[ReadinessPoint, ...]
    notes: tuple[str, ...] = ()
    cost_buy: float = 0.0
    ready_bought: float = 0.0
