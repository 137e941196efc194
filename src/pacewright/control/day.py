"""The day: everything control sees in one standing, worked out together."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from pacewright.control.ahead import Ahead, ahead
from pacewright.control.changes import Change, Then, changes
from pacewright.control.cover import FloatCover, covers
from pacewright.control.demand import Demand, demand
from pacewright.control.entry import Entry, entry
from pacewright.control.idle import Idle, IdleSum, idle, idle_sums
from pacewright.control.moves import next_moves
from pacewright.control.needs import Need, needs
from pacewright.control.next_move import Moves
from pacewright.control.pool import Pool, pools
from pacewright.control.schedule import Schedule, schedule
from pacewright.control.shop_sheet import ShopSheet
from pacewright.control.shortages import LOOK_DAYS, Shortage, shortages
from pacewright.control.to_come_off import tell_to_come_off
from pacewright.control.turn_left import turn_times
from pacewright.control.turn_out import TurnOut, shop_sheets
from pacewright.events.standing import Standing
from pacewright.plans.plan import Plan
from pacewright.works import Works


@dataclass(frozen=True)
class Given:
    """What a day is worked out from, beside the standing.

    Parameters
    ----------
    plan : plan of the works, for pace, mean waits and floats needed; None: without.
    turns : unit kind -> (mean days, standard deviation, turns seen) by the record; those left out
        turn as the table says.
    look_days : working days ahead for which shortages are listed.
    span_days : working days of the shops' sheets, today included.
    """

    plan: Plan | None = None
    turns: Mapping[str, tuple[float, float, int]] | None = None
    look_days: int = LOOK_DAYS
    span_days: int = 5


@dataclass(frozen=True)
class Today:
    """Everything of one day.

    Parameters
    ----------
    now : moment to which it belongs.
    seen : what lies ahead of each vehicle and assembly.
    wanted, pool, asked : needs, pools and demand it rests on.
    short, found, cover, sheets, idle, idle_sums, entry, schedule : see there.
    look_days, span_days : working days looked ahead for shortages, and on the sheets.
    changed : against the day before; empty when none was given.
    since : moment compared with; None: none was.
    """

    works_name: str
    now: datetime
    seen: Ahead
    wanted: tuple[Need, ...]
    pool: Mapping[str, Pool]
    asked: Demand
    short: tuple[Shortage, ...]
    found: Moves
    cover: tuple[FloatCover, ...]
    sheets: tuple[ShopSheet, ...]
    idle: tuple[Idle, ...]
    idle_sums: tuple[IdleSum, ...]
    entry: Entry | None
    schedule: Schedule
    look_days: int
    span_days: int
    changed: tuple[Change, ...] = ()
    since: datetime | None = None


def today(
    works: Works,
    standing: Standing,
    now: datetime,
    given: Given | None = None,
    before: tuple[Standing, datetime] | None = None,
) -> Today:
    """The day of a works.

    Parameters
    ----------
    works, standing, now : the works, where everything stands, and the moment.
    given : plan, real turn times, and how far to look; None: without plan, turn times by table.
    before : standing and moment of the day before, for what changed.
    """
    given = given or Given()
    seen, wanted, pool, short = _short(works, standing, now, given)
    asked = demand(works, now.date(), wanted, float(given.look_days), given.plan)
    cover = covers(seen, pool, asked)
    found = next_moves(works, standing, seen, wanted, pool)
    stands = idle(standing, seen, found)
    sheets = TurnOut(works, standing, seen, wanted, pool, cover, asked, given.plan)
    return Today(
        works_name=works.settings.name,
        now=now,
        seen=seen,
        wanted=wanted,
        pool=pool,
        asked=asked,
        short=short,
        found=found,
        cover=cover,
        sheets=shop_sheets(sheets, given.span_days),
        idle=stands,
        idle_sums=idle_sums(stands),
        entry=entry(works, standing, seen, asked),
        schedule=schedule(works, standing, seen, short),
        look_days=given.look_days,
        span_days=given.span_days,
        changed=_changed(works, given, before, Then(standing, seen, short)) if before else (),
        since=before[1] if before else None,
    )


def shortage_list(
    works: Works, standing: Standing, now: datetime, given: Given | None = None
) -> tuple[Ahead, tuple[Shortage, ...]]:
    """The shortage list alone, and what lies ahead, for its clock."""
    seen, _, _, short = _short(works, standing, now, given or Given())
    return seen, short


def _short(
    works: Works, standing: Standing, now: datetime, given: Given
) -> tuple[Ahead, tuple[Need, ...], dict[str, Pool], tuple[Shortage, ...]]:
    seen = ahead(works, standing, now, given.plan.line if given.plan else None)
    wanted = needs(works, standing, seen)
    pool = pools(works, standing, seen.clock, now, turn_times(works, given.turns))
    tell_to_come_off(seen, wanted, pool)
    return seen, wanted, pool, shortages(seen, wanted, pool, given.look_days)


def _changed(
    works: Works, given: Given, before: tuple[Standing, datetime], now: Then
) -> tuple[Change, ...]:
    standing, moment = before
    seen, _, _, short = _short(works, standing, moment, given)
    return changes(Then(standing, seen, short), now)
