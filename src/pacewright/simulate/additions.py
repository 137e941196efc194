"""What can be added to a works, what each addition costs, and the works with it."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from pacewright.parts.tables import FloatHeld
from pacewright.plans.growth import Added, Step
from pacewright.works import Works

LONGEST_DAY_HOURS = 10.0
"""Hours a person is paid on a working day, at most, when shifts are made longer (common practice,
no source; working-time law comes first)."""

WHOLE_DAY_HOURS = 24.0


@dataclass(frozen=True, slots=True)
class Prices:
    """What one more costs, all in one money over one stretch of time; None: not for sale.

    Parameters
    ----------
    person, position, bench : one more of them.
    hour : one paid hour more on each working day, for one person.
    inside : room for one vehicle more inside.

    With none given everything counts 1: a person, a position, a unit, a bench, a vehicle inside;
    a longer shift as many persons as its hours would pay. Units of the float cost their
    ``unit_cost``.
    """

    person: float | None = None
    position: float | None = None
    bench: float | None = None
    hour: float | None = None
    inside: float | None = None

    @property
    def given(self) -> bool:
        """Whether there are prices."""
        return any(
            one is not None
            for one in (self.person, self.position, self.bench, self.hour, self.inside)
        )

    def sells(self, added: Added) -> bool:
        """Whether an addition can be had at all."""
        return not self.given or added is Added.FLOAT or self.each(added) is not None

    def each(self, added: Added) -> float | None:
        """The price of one; of an hour for one person; None where there is none."""
        return {
            Added.PEOPLE: self.person,
            Added.POSITIONS: self.position,
            Added.BENCHES: self.bench,
            Added.HOURS: self.hour,
            Added.INSIDE: self.inside,
        }.get(added)


def cost_of(works: Works, prices: Prices, added: Added, place_id: str, how_many: int) -> float:
    """Cost of so many more at a place of the works.

    Parameters
    ----------
    works : as it is before; a longer shift is paid to the people it has then.
    """
    many = float(how_many)
    if added is Added.HOURS:
        # Paid hours more a day of all its crews; unpriced in persons of as many hours.
        crews = [one for one in works.people if one.shop_id == place_id]
        share = how_many / works.shop_hours_a_day[place_id]
        if not prices.given:
            return share * sum(one.people for one in crews)
        many = share * sum(one.people * one.hours_a_day for one in crews)
    if not prices.given:
        return many
    if added is Added.FLOAT:
        return many * next(
            one.unit_cost for one in works.unit_kinds if one.unit_kind_id == place_id
        )
    return many * (prices.each(added) or 0.0)


def room_for(works: Works, added: Added, place_id: str) -> bool:
    """Whether an addition makes sense at all at a place.

    A shop works 24 hours at the most and nobody more than ``LONGEST_DAY_HOURS``; benches are
    added where benches are counted, vehicles inside where their number is limited.
    """
    if added is Added.HOURS:
        hours = works.shop_hours_a_day[place_id]
        longer = (hours + 1) / hours
        days = [one.hours_a_day * longer for one in works.people if one.shop_id == place_id]
        return hours + 1 <= WHOLE_DAY_HOURS and max(days, default=0.0) <= LONGEST_DAY_HOURS
    if added is Added.BENCHES:
        return any(one.unit_kind_id == place_id and one.benches for one in works.unit_kinds)
    if added is Added.INSIDE:
        return works.settings.plan.inside_limit is not None
    return True


def with_steps(works: Works, steps: Iterable[Step]) -> Works:
    """The works with what stays of the steps."""
    for step in steps:
        if step.stays:
            works = with_more(works, step.added, step.place_id, step.stays)
    return works


def with_more(works: Works, added: Added, place_id: str, how_many: int) -> Works:
    """The works with so many more at a place."""
    if added is Added.POSITIONS:
        stages = tuple(
            replace(one, positions=one.positions + how_many) if one.stage_id == place_id else one
            for one in works.stages
        )
        return replace(works, stages=stages)
    if added is Added.PEOPLE:
        people = tuple(
            replace(one, people=one.people + how_many)
            if f"{one.shop_id} {one.trade_id}" == place_id
            else one
            for one in works.people
        )
        return replace(works, people=people)
    if added is Added.BENCHES:
        kinds = tuple(
            replace(one, benches=(one.benches or 0) + how_many)
            if one.unit_kind_id == place_id
            else one
            for one in works.unit_kinds
        )
        return replace(works, unit_kinds=kinds)
    if added is Added.HOURS:
        return _with_hours(works, place_id, how_many)
    if added is Added.INSIDE:
        plan = works.settings.plan
        limit = (plan.inside_limit or 0) + how_many
        settings = replace(works.settings, plan=replace(plan, inside_limit=limit))
        return replace(works, settings=settings)
    return _with_units(works, place_id, how_many)


def _with_hours(works: Works, shop_id: str, hours: int) -> Works:
    """The shop open longer, its people paid longer in the same measure."""
    before = works.shop_hours_a_day[shop_id]
    after = before + hours
    shops = tuple(
        replace(one, hours_a_day=after) if one.shop_id == shop_id else one for one in works.shops
    )
    people = tuple(
        replace(one, hours_a_day=round(one.hours_a_day * after / before, 6))
        if one.shop_id == shop_id
        else one
        for one in works.people
    )
    return replace(works, shops=shops, people=people)


def _with_units(works: Works, unit_kind_id: str, how_many: int) -> Works:
    floats = tuple(
        replace(one, serviceable=one.serviceable + how_many)
        if one.unit_kind_id == unit_kind_id
        else one
        for one in works.floats
    )
    if all(one.unit_kind_id != unit_kind_id for one in works.floats):
        floats += (FloatHeld(unit_kind_id, how_many, 0),)
    return replace(works, floats=floats)
