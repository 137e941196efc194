"""What every paper is made from: the works, its record as it stands, the plan if there is one."""

import re
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cached_property

from pacewright.base.faults import CallError
from pacewright.control.ahead import Ahead, ahead
from pacewright.control.clock import clock_of
from pacewright.control.day import Given, Today, today
from pacewright.control.shop_sheet import ShopSheet
from pacewright.control.shortages import LOOK_DAYS
from pacewright.control.turn_out import TurnOut, shop_sheets
from pacewright.control.turns_seen import turns_seen
from pacewright.events.stages import Held
from pacewright.events.standing import Phase, Standing, VehicleStanding
from pacewright.events.things import Cause, Piece
from pacewright.fleet.tables import Depot, Vehicle
from pacewright.parts.tables import UnitKind
from pacewright.plans.flow_day import FlowDay
from pacewright.plans.plan import Plan
from pacewright.reports.papers.blocks import Block, Caution
from pacewright.reports.papers.press import Card, Paper
from pacewright.reports.written import day, listed, number
from pacewright.shops.tables import Stage
from pacewright.works import Works

_UNSAFE = re.compile(r"[^A-Za-z0-9._-]+")
"""What has no place in the name of a file."""


@dataclass(frozen=True)
class Ground:
    """What papers are made from.

    Parameters
    ----------
    works : the works, with its tables as they stand by the record.
    standing : where everything stands; without events: there is no record.
    now : works time at which the papers hold.
    plan : for the programme and the mean waits; None: without.
    days : working days of the span a paper looks at.
    look : working days ahead for which shortages are listed.
    day_made : the day, if it was made already of just these; None: it is made when asked for.
    told : how far the record goes, in words; empty: by the events of the standing.
    flow : the flow of the day a sheet of it is of; None: it was not asked for.
    """

    works: Works
    standing: Standing
    now: datetime
    plan: Plan | None = None
    days: int = 10
    look: int = LOOK_DAYS
    day_made: Today | None = None
    told: str = ""
    flow: FlowDay | None = None

    @cached_property
    def seen(self) -> Ahead:
        """What lies ahead of each vehicle and assembly inside."""
        if self.day_made is not None:
            return self.day_made.seen
        return ahead(self.works, self.standing, self.now, self.plan.line if self.plan else None)

    @cached_property
    def today(self) -> Today:
        """The day: needs, shortages, moves."""
        if self.day_made is not None:
            return self.day_made
        turns = turns_seen(self.standing, clock_of(self.works, self.now), self.now)
        return today(self.works, self.standing, self.now, Given(self.plan, turns, self.look))

    @cached_property
    def sheets(self) -> tuple[ShopSheet, ...]:
        """The sheet of every shop over the span."""
        one = self.today
        given = TurnOut(self.works, self.standing, one.seen, one.wanted, one.pool, one.cover,
                        one.asked, self.plan)  # fmt: skip
        return shop_sheets(given, self.days)

    def looking(self) -> "Ground":
        """The same, with shortages looked for over the whole span."""
        return self if self.look == self.days else replace(self, look=self.days, day_made=None)

    @cached_property
    def stages(self) -> dict[str, Stage]:
        """Stage -> its row."""
        return {one.stage_id: one for one in self.works.stages}

    @cached_property
    def shop_names(self) -> dict[str, str]:
        """Shop -> its name."""
        return {one.shop_id: one.name for one in self.works.shops}

    @cached_property
    def trade_names(self) -> dict[str, str]:
        """Trade -> its name."""
        return {one.trade_id: one.name for one in self.works.trades}

    @cached_property
    def type_names(self) -> dict[str, str]:
        """Vehicle type -> its name."""
        return {one.type_id: one.name for one in self.works.vehicle_types}

    def date_of(self, clock_day: float | None) -> date | None:
        """A day of the clock as a date."""
        return None if clock_day is None else self.seen.clock.date_of(clock_day)

    @cached_property
    def pieces(self) -> dict[str, Piece]:
        """What stands inside, in words -> vehicle or assembly."""
        known = (one.on_way.known.piece for one in self.seen.everything)
        return {str(piece): piece for piece in known}

    def held(self, piece: Piece) -> Caution | None:
        """What is said first of a piece that is held, by cause; None: it is not."""
        known = self.standing.pieces.get(piece)
        if known is None or not known.holds:
            return None
        lines = tuple(_hold(one) for one in known.holds.values())
        return Caution(lines, "HELD")

    def vehicle_row(self, vehicle_id: str) -> Vehicle | None:
        """The vehicle's row of the table; None: it has none."""
        return next((one for one in self.works.vehicles if one.vehicle_id == vehicle_id), None)

    def vehicle_inside(self, vehicle_id: str) -> VehicleStanding:
        """A vehicle inside the works.

        Raises
        ------
        CallError : it is not inside, or the record does not know it.
        """
        known = self.standing.vehicles.get(vehicle_id)
        if known is None or known.phase is not Phase.INSIDE:
            found = "the record does not know it" if known is None else f"it is {known.phase}"
            raise CallError(
                f"vehicle {vehicle_id[:40] or '(blank)'}: {found}. This paper is of a vehicle "
                "inside the works. Check the number, or book first that it was admitted."
            )
        return known

    def shop(self, shop_id: str) -> str:
        """Name of a shop.

        Raises
        ------
        CallError : there is no such shop.
        """
        if shop_id not in self.shop_names:
            raise _unknown("shop", shop_id, list(self.shop_names))
        return self.shop_names[shop_id]

    def trade(self, trade_id: str) -> str:
        """Name of a trade.

        Raises
        ------
        CallError : there is no such trade.
        """
        if trade_id not in self.trade_names:
            raise _unknown("trade", trade_id, list(self.trade_names))
        return self.trade_names[trade_id]

    def unit_kind(self, kind_id: str) -> UnitKind:
        """A unit kind.

        Raises
        ------
        CallError : there is no such kind.
        """
        rows = {one.unit_kind_id: one for one in self.works.unit_kinds}
        if kind_id not in rows:
            raise _unknown("unit kind", kind_id, list(rows))
        return rows[kind_id]

    def depot(self, depot_id: str) -> Depot:
        """A depot.

        Raises
        ------
        CallError : there is no such depot.
        """
        rows = {one.depot_id: one for one in self.works.depots}
        if depot_id not in rows:
            raise _unknown("depot", depot_id, list(rows))
        return rows[depot_id]

    def planned(self) -> Plan:
        """The plan.

        Raises
        ------
        CallError : there is none.
        """
        if self.plan is None:
            raise CallError(
                "paper: no plan is at hand. This paper is made from the plan. Plan the works first."
            )
        return self.plan

    def paper(self, key: str, about: str, cards: list[Card] | tuple[Card, ...]) -> Paper:
        """A paper of these cards, with works, date and basis.

        Raises
        ------
        CallError : there are no cards.
        """
        if not cards:
            raise CallError(
                f"{key}: there is nothing to print. A paper has at least one card. "
                "Ask for another vehicle, shop, kind or more days."
            )
        named = (key, _UNSAFE.sub("_", about), f"{self.now:%Y%m%d}")
        name = "-".join(part for part in named if part)
        return Paper(key, name, self.works.settings.name, self.made(), self.basis(), tuple(cards))

    def made(self) -> str:
        """When the paper holds."""
        return f"{moment(self.now)}, works time"

    def basis(self) -> str:
        """What the paper rests on."""
        plan = "plan of " + day(self.plan.today) if self.plan else "without plan: no waits in dates"
        return f"{self.record()} · {plan}"

    def record(self) -> str:
        """How far the record goes."""
        if self.told:
            return self.told
        events = self.standing.events
        return f"record up to event {number(events, 0)}" if events else "no record: by the tables"


def moment(at: datetime | None) -> str:
    """Date and time for people: ``9 Nov 2026 07:30``."""
    return f"{day(at.date())} {at:%H:%M}" if at else "-"


def _hold(one: Held) -> str:
    reason = f": {one.reason}" if one.reason else ""
    said = f"Held for {one.cause.value}{reason}, since {moment(one.at)}."
    if one.cause is Cause.SAFETY:
        said += " NO WORK AND NO MOVE until an authorised person has freed it, by name."
    return said


def units(count: float) -> str:
    """Units for people: whole ones without a decimal, parts of one with.

    Examples
    --------
    >>> units(6.0), units(4.8)
    ('6', '4.8')
    """
    return number(count, 0 if abs(count - round(count)) < 0.05 else 1)


def together(*blocks: Block | None) -> tuple[Block, ...]:
    """The blocks that are there."""
    return tuple(one for one in blocks if one is not None)


def _unknown(sort: str, said: str, known: list[str]) -> CallError:
    return CallError(
        f"{sort} {said[:40] or '(blank)'}: there is no such {sort} in the works. "
        f"Write one of: {listed(known, 20)}."
    )
