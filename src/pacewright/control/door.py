"""The door of the record: rules an event must pass that need to know the works."""

from collections.abc import Callable
from typing import Any

from pacewright.control import (
    door_inspection,
    door_lifted,
    door_names,
    door_release,
    door_route,
    door_units,
)
from pacewright.control.door_facts import Facts, facts_of
from pacewright.events import gate, identity, stages, units
from pacewright.events.refusal import Refusal
from pacewright.events.standing import Standing
from pacewright.events.things import Event
from pacewright.works import Works

Rule = Callable[[Facts, Standing, Any], Refusal | None]

_GOES_ON = (door_units.fits_type, door_units.fits_modification, door_units.life_left)
_FURTHER: dict[type[Event], tuple[Rule, ...]] = {
    gate.Called: (door_names.of_its_type,),
    gate.Arrived: (door_names.of_its_type,),
    gate.Released: (
        door_release.last_stage_finished,
        door_release.must_change_changed,
        door_release.must_pass_passed,
    ),
    identity.Modified: (door_names.campaign_of_its_type,),
    identity.PieceEntered: (door_names.assembly_known,),
    identity.Parted: (door_route.parts_where_it_should, door_route.full_set),
    identity.Married: (
        door_route.full_set,
        door_route.compatible,
        door_route.ripe_for_marriage,
    ),
    stages.Moved: (door_route.position_exists, door_route.follows_route),
    stages.WorkStarted: (
        door_lifted.operation_named,
        door_lifted.operation_of_trade,
        door_lifted.alone_on_it,
    ),
    stages.Tested: (door_inspection.test_of_its_type, door_inspection.within_limits),
    stages.Found: (door_inspection.must_change_stands, door_inspection.found_within_limits),
    stages.PutOutOfUse: (door_route.position_exists,),
    units.Removed: (door_units.came_off_its_type, door_units.not_more_off_than_on),
    units.SeenOn: (door_units.came_off_its_type,),
    units.UnitFound: (door_inspection.must_change_stands, door_inspection.found_within_limits),
    units.Issued: _GOES_ON,
    units.Fitted: (*_GOES_ON, door_units.room_for_it),
    units.RobbingAsked: _GOES_ON,
    units.Robbed: _GOES_ON,
}
RULES: dict[type[Event], tuple[Rule, ...]] = {
    kind: ((door_names.names_known,) if kind in door_names.NAMES else ()) + _FURTHER.get(kind, ())
    for kind in {**door_names.NAMES, **_FURTHER}
}
"""Kind of event -> the rules it must pass; a kind not named passes."""


def door_of(works: Works) -> Callable[[Standing, Event], tuple[Refusal, ...]]:
    """The rules of this works, to be asked before an event is taken into its record.

    Parameters
    ----------
    works : the works whose record it is.

    Returns
    -------
    A function of where everything stands and of an event: every rule the event would break now;
    empty when it may come in. It is asked beside the rules that hold for any works
    (``events.fold.refusals``), and says nothing of what only these can judge.
    """
    facts = facts_of(works)
    rules = RULES

    def door(now: Standing, event: Event) -> tuple[Refusal, ...]:
        found: tuple[Refusal, ...] = ()
        for rule in rules.get(type(event), ()):
            refusal = rule(facts, now, event)
            if refusal is not None:
                found += (refusal,)
        return found

    return door
