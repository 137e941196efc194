"""The line: what the pace asks of every stage, shop, trade and plant, and of the route."""

from dataclasses import dataclass
from enum import StrEnum

from pacewright.plans.card import ResultCard


class Gear(StrEnum):
    """How a place stands to the common pace."""

    HOLDS_UP = "holds up"
    """slower than the pace: work will queue before it"""
    TIGHT = "tight"
    """able on average, short when work scatters"""
    GEARED = "geared"
    """able, with the allowance for spread and not much more"""
    RUNS_AHEAD = "runs ahead"
    """much faster than the pace: people or places idle, or work piles up behind it"""


@dataclass(frozen=True, slots=True)
class StageLoad:
    """One stage against the pace.

    Parameters
    ----------
    pieces_a_day : vehicles or assemblies that pass on a working day.
    hours_mean, hours_sd : time on the position until its test is passed, from least/usual/most and
        the share that passes at first [working hours].
    positions : positions there are, each for one piece; a charge takes one for each of its pieces.
    positions_mean : positions busy on average (Little: pieces a day x days on position).
    positions_wanted : positions needed so that a vehicle finds one free with the wanted confidence.
    use_share : positions_mean / positions.
    wait_chance : chance that a vehicle finds all positions taken by the pieces of others.
    wait_hours : mean wait of its first piece for that reason [working hours].
        Where the stage holds up the queue has no mean: what a week of it adds.
    able_a_week : vehicles a week the positions can pass at full use; 0 when nothing passes.
    over_share : able / pace - 1 (negative: slower than the pace).
    positions_random : positions wanted if vehicles came at random (Erlang C), for comparison.
    batch_wait_hours : mean wait until a batch is full [working hours].
    wait_grows_hours : by how much the wait grows each week [working hours]; 0 unless it holds up.
    """

    stage_id: str
    name: str
    shop_id: str
    assembly_id: str
    pieces_a_day: float
    hours_mean: float
    hours_sd: float
    batch_size: int
    positions: int
    positions_mean: float
    positions_wanted: int
    use_share: float
    wait_chance: float
    wait_hours: float
    able_a_week: float
    over_share: float
    gear: Gear
    reason: str
    positions_random: int = 0
    batch_wait_hours: float = 0.0
    wait_grows_hours: float = 0.0


@dataclass(frozen=True, slots=True)
class TradeLoad:
    """One trade in one shop against the pace, a full working week.

    ``hours_mean`` and ``hours_sd`` are standard hours needed (occurrence and mix scatter);
    ``hours_able`` is attendance x performance; ``hours_shown`` what the records show (None: no
    record); ``short_chance`` the chance that a week needs more than is able; ``people_wanted`` the
    people for the mean plus the allowance for spread. ``campaign_hours`` are the part of
    ``hours_mean`` that campaigns ask while they run. ``able_a_week`` and ``over_share`` are 0
    where there is no work.
    """

    shop_id: str
    trade_id: str
    hours_mean: float
    hours_sd: float
    hours_able: float
    hours_shown: float | None
    use_share: float
    short_chance: float
    people: float
    people_mean: float
    people_wanted: float
    able_a_week: float
    over_share: float
    gear: Gear
    reason: str
    campaign_hours: float = 0.0


@dataclass(frozen=True, slots=True)
class PlantLoad:
    """One group of ovens, booths or tanks against the pace.

    ``fill_share`` is the mean fill of a charge when it is fired full, or after a working day at
    the latest; ``wait_hours`` the mean wait for the charge to fill and for a free oven [working
    hours of its shop; where it holds up, what a week adds]; ``able_a_week`` is 0 when nothing
    passes.
    """

    plant_id: str
    name: str
    shop_id: str
    how_many: int
    batch_size: int
    pieces_a_day: float
    charges_able_a_day: float
    charges_needed_a_day: float
    use_share: float
    fill_share: float
    wait_hours: float
    how_many_wanted: int
    able_a_week: float
    over_share: float
    gear: Gear
    reason: str


@dataclass(frozen=True, slots=True)
class RouteStage:
    """One stage of one type's route in working days from gate-in, by the critical path method."""

    type_id: str
    stage_id: str
    earliest_start_day: float
    earliest_end_day: float
    latest_start_day: float
    latest_end_day: float
    slack_days: float
    critical: bool


@dataclass(frozen=True, slots=True)
class UnitSlack:
    """Turn time of a unit kind against its offset on one type [working days].

    ``offset_days`` runs from its removal (end of the strip stage) to its need (start of the fit
    stage); ``slack_days`` = offset - mean turn time; negative: a float must carry it.
    """

    type_id: str
    unit_kind_id: str
    removed_day: float
    needed_day: float
    offset_days: float
    turn_days: float
    slack_days: float


@dataclass(frozen=True, slots=True)
class TypeTurn:
    """Time inside of one type: by the route, with mean waits, as promised [working days]."""

    type_id: str
    share: float
    route_days: float
    expected_days: float
    promised_days: float
    inside_mean: float


@dataclass(frozen=True, slots=True)
class Line:
    """Everything the pace asks of the works."""

    card: ResultCard
    pace_a_day: float
    pace_a_week: float
    takt_days: float
    takt_hours: float
    inside_mean: float
    turns: tuple[TypeTurn, ...]
    stages: tuple[StageLoad, ...]
    trades: tuple[TradeLoad, ...]
    plant: tuple[PlantLoad, ...]
    route: tuple[RouteStage, ...]
    units: tuple[UnitSlack, ...]
    slowest: str
    able_a_week: float
    notes: tuple[str, ...] = ()
