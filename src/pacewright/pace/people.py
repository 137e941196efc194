"""People of each trade in each shop against the hours the pace asks of them."""

from statistics import NormalDist

from pacewright.pace.gear import geared, over_words, per_cent
from pacewright.pace.hours import WeekHours, week_hours
from pacewright.pace.problem import LineProblem
from pacewright.plans.line import Gear, TradeLoad
from pacewright.shops.tables import Crew
from pacewright.works import Works

_NOBODY_HOURS_A_DAY = 8.0


def trade_loads(works: Works, problem: LineProblem) -> tuple[TradeLoad, ...]:
    """Every (shop, trade) that has work or people."""
    hours = week_hours(works, problem)
    crews = {(one.shop_id, one.trade_id): one for one in works.people}
    nothing = WeekHours(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    return tuple(
        _load_of(problem, key, hours.get(key, nothing), crews.get(key))
        for key in sorted({*crews, *(one for one in hours if hours[one].mean > 0)})
    )


def hours_of_one(crew: Crew, week_days: int) -> float:
    """Standard hours one person of the crew earns in a full week [h]."""
    return crew.hours_a_day * week_days * crew.attendance_share * crew.performance


def _load_of(
    problem: LineProblem, key: tuple[str, str], hours: WeekHours, crew: Crew | None
) -> TradeLoad:
    there = crew or Crew(*key, people=0.0, hours_a_day=_NOBODY_HOURS_A_DAY)
    each = hours_of_one(there, problem.week_days)
    able = there.people * each
    z = NormalDist().inv_cdf(problem.confidence)
    wanted = (hours.mean + max(0.0, z) * hours.sd) / each if each else 0.0
    scale = problem.pace_a_week / hours.mean if hours.mean else 0.0
    gear = geared(able, hours.mean, there.people, wanted)
    shown = there.shown_hours_a_week
    if shown is not None and shown < hours.mean and gear in (Gear.GEARED, Gear.RUNS_AHEAD):
        gear = Gear.TIGHT
    return TradeLoad(
        shop_id=key[0],
        trade_id=key[1],
        hours_mean=hours.mean,
        hours_sd=hours.sd,
        hours_able=able,
        hours_shown=shown,
        use_share=hours.mean / able if able else 0.0,
        short_chance=_short_chance(able, hours),
        people=there.people,
        people_mean=hours.mean / each if each else 0.0,
        people_wanted=wanted,
        able_a_week=able * scale,
        over_share=able * scale / problem.pace_a_week - 1 if scale else 0.0,
        gear=gear,
        reason=_reason(problem, hours, there, wanted, gear),
        campaign_hours=hours.campaign,
    )


def _short_chance(able: float, hours: WeekHours) -> float:
    if hours.sd <= 0:
        return 1.0 if able < hours.mean * (1 - 1e-9) else 0.0
    return 1 - NormalDist(hours.mean, hours.sd).cdf(able)


def _reason(problem: LineProblem, hours: WeekHours, crew: Crew, wanted: float, gear: Gear) -> str:
    if hours.mean <= 0:
        return "There is no operation for this trade here: the people have no work in the tables."
    each = hours_of_one(crew, problem.week_days)
    if each <= 0:
        return (
            f"The week asks {hours.mean:.0f} h, but attendance is 0. Correct attendance_share or "
            "give the work to another shop."
        )
    if not crew.people:
        return (
            f"The week asks {hours.mean:.0f} h and there is nobody. Add {_heads(wanted)} people to "
            "the people table, or move the operations to a trade that is there."
        )
    able = crew.people * each
    said = over_words(able / hours.mean * problem.pace_a_week, problem.pace_a_week)
    said += (
        f"; the week asks {hours.mean:.0f} h +/- {hours.sd:.0f}, able {able:.0f} h; "
        f"{_heads(wanted)} people wanted for {per_cent(problem.confidence)} of weeks, "
        f"there are {crew.people:g}."
    )
    if hours.campaign:
        said += f" {hours.campaign:.0f} h of it are campaigns while they run."
    return said + _remedy(problem, hours, crew, wanted, gear)


def _heads(people: float) -> str:
    # A trade of a small shop has a part of a person: one decimal would make all of it 0.0.
    return f"{people:.1f}" if people >= 10 else f"{people:.2f}"


def _remedy(problem: LineProblem, hours: WeekHours, crew: Crew, wanted: float, gear: Gear) -> str:
    said = ""
    shown = crew.shown_hours_a_week
    if shown is not None and shown < hours.mean:
        said += (
            f" The records show {shown:.0f} h a week only: find out whether work was lacking or "
            "hours were lost."
        )
    short = wanted - crew.people
    hours_short = short * hours_of_one(crew, problem.week_days)
    if gear is Gear.HOLDS_UP:
        said += (
            f" Add {_heads(short)} people ({hours_short:.0f} h a week), work overtime, or lend "
            "hours from a shop that is ahead."
        )
    elif gear is Gear.TIGHT and short > 0:
        said += (
            f" Keep {_heads(short)} people ({hours_short:.1f} h a week) in reserve for the heavy "
            "weeks."
        )
    elif gear is Gear.RUNS_AHEAD:
        said += f" {_heads(-short)} people can help where the line is held up."
    return said
