"""For every kind of event: what must hold, and what it changes."""

from collections.abc import Callable
from typing import Any, NamedTuple

from pacewright.events import (
    gate,
    gate_fold,
    gate_rules,
    identity,
    identity_fold,
    identity_rules,
    record,
    record_fold,
    refusal,
    robbing_rules,
    stage_fold,
    stage_rules,
    stages,
    unit_fold,
    unit_rules,
    units,
)
from pacewright.events.refusal import Refusal
from pacewright.events.standing import PieceStanding, Standing, UnitStanding, VehicleStanding
from pacewright.events.things import Event

Subject = Callable[[Standing, Any], Any]
Check = Callable[[Standing, Any, Any], Refusal | None]
Change = Callable[[Standing, Any, Any], None]


class Kind(NamedTuple):
    """How a kind of event is taken.

    Parameters
    ----------
    subject : what the event is about, as it stands; None when the record does not know it. It is
        looked up once and handed to change and checks.
    change : what the event changes.
    checks : what must hold first. When the first fails the others cannot be asked.
    """

    subject: Subject
    change: Change
    checks: tuple[Check, ...]


def _vehicle(now: Standing, event: gate.VehicleEvent) -> VehicleStanding | None:
    return now.vehicles.get(event.vehicle_id)


def _piece(now: Standing, event: stages.PieceEvent) -> PieceStanding | None:
    return now.pieces.get(event.piece)


def _unit(now: Standing, event: units.UnitEvent) -> UnitStanding | None:
    return now.units.get(event.unit)


def _nothing(_: Standing, __: Event) -> None:
    return None


_VEHICLE = (refusal.vehicle_in_time,)
_STANDS = (refusal.piece_stands, refusal.piece_in_time)
_MOVES = (*_STANDS, refusal.piece_idle, refusal.piece_safe)
_AT_STAGE = (*_STANDS, stage_rules.at_that_stage)
_UNIT = (unit_rules.unit_known, unit_rules.unit_in_time)
_OFF = (*_UNIT, unit_rules.unit_off)
_ROBBED = (
    *_UNIT,
    unit_rules.serviceable,
    unit_rules.off_is_inside,
    unit_rules.off_is_safe,
    unit_rules.to_is_inside,
    unit_rules.on_or_meant_for,
)

_GATE: dict[type[Event], Kind] = {
    gate.Called: Kind(_vehicle, gate_fold.called, (gate_rules.not_in_works, *_VEHICLE)),
    gate.Arrived: Kind(_vehicle, gate_fold.arrived, (gate_rules.not_in_works, *_VEHICLE)),
    gate.Admitted: Kind(_vehicle, gate_fold.admitted, (gate_rules.at_gate, *_VEHICLE)),
    gate.CalledOff: Kind(_vehicle, gate_fold.back_in_service, (gate_rules.awaited, *_VEHICLE)),
    gate.TurnedBack: Kind(_vehicle, gate_fold.back_in_service, (gate_rules.at_gate, *_VEHICLE)),
    gate.Promised: Kind(
        _vehicle, gate_fold.promised, (gate_rules.vehicle_known, gate_rules.not_withdrawn)
    ),
    gate.OdometerRead: Kind(
        _vehicle, gate_fold.odometer_read, (gate_rules.not_withdrawn, gate_rules.odometer_rises)
    ),
    gate.Released: Kind(
        _vehicle,
        gate_fold.released,
        (
            refusal.vehicle_inside,
            refusal.vehicle_whole,
            *_VEHICLE,
            gate_rules.nobody_at_work,
            gate_rules.no_safety_hold,
            gate_rules.nothing_failed,
            gate_rules.carries_serviceable,
            gate_rules.nothing_owed,
        ),
    ),
    gate.Withdrawn: Kind(
        _vehicle,
        gate_fold.withdrawn,
        (gate_rules.not_withdrawn, *_VEHICLE, gate_rules.nobody_at_work),
    ),
}
_STAGES: dict[type[Event], Kind] = {
    stages.Moved: Kind(
        _piece, stage_fold.moved, (*_MOVES, stage_rules.position_free, stage_rules.position_in_use)
    ),
    stages.Stored: Kind(_piece, stage_fold.stored, _MOVES),
    stages.WorkStarted: Kind(
        _piece,
        stage_fold.work_started,
        (*_AT_STAGE, stage_rules.trade_not_at_work, refusal.piece_safe),
    ),
    stages.WorkEnded: Kind(_piece, stage_fold.work_ended, (*_AT_STAGE, stage_rules.trade_at_work)),
    stages.StageFinished: Kind(
        _piece, stage_fold.stage_finished, (*_AT_STAGE, refusal.piece_idle, stage_rules.passed)
    ),
    stages.Failed: Kind(_piece, stage_fold.failed, _AT_STAGE),
    stages.Rectified: Kind(_piece, stage_fold.rectified, (*_AT_STAGE, stage_rules.has_failed)),
    stages.Redone: Kind(_piece, stage_fold.redone, _AT_STAGE),
    stages.Tested: Kind(_piece, stage_fold.tested, _STANDS),
    stages.Found: Kind(_piece, stage_fold.found, _STANDS),
    stages.Held: Kind(_piece, stage_fold.held, (stage_rules.can_stand_idle, refusal.piece_in_time)),
    stages.Freed: Kind(_piece, stage_fold.freed, (stage_rules.is_held, refusal.piece_in_time)),
    stages.PutOutOfUse: Kind(_nothing, stage_fold.put_out_of_use, (stage_rules.in_use,)),
    stages.PutIntoUse: Kind(_nothing, stage_fold.put_into_use, (stage_rules.not_in_use,)),
}
_IDENTITY: dict[type[Event], Kind] = {
    identity.Stripped: Kind(
        _vehicle, identity_fold.stripped, (refusal.vehicle_inside, refusal.vehicle_in_time)
    ),
    identity.Parted: Kind(
        _vehicle,
        identity_fold.parted,
        (
            refusal.vehicle_inside,
            refusal.vehicle_whole,
            *_VEHICLE,
            identity_rules.vehicle_can_part,
            identity_rules.named_once,
            identity_rules.as_the_books_say,
            identity_rules.lead_first,
        ),
    ),
    identity.Married: Kind(
        _vehicle,
        identity_fold.married,
        (
            refusal.vehicle_inside,
            refusal.vehicle_parted,
            *_VEHICLE,
            identity_rules.named_once,
            identity_rules.lead_first,
            identity_rules.pieces_can_join,
        ),
    ),
    identity.Renumbered: Kind(
        _vehicle,
        identity_fold.renumbered,
        (
            refusal.vehicle_inside,
            refusal.vehicle_parted,
            *_VEHICLE,
            identity_rules.can_get_number,
        ),
    ),
    identity.Modified: Kind(
        _vehicle,
        identity_fold.modified,
        (refusal.vehicle_inside, refusal.vehicle_in_time, identity_rules.modified_once),
    ),
    identity.PieceEntered: Kind(
        _piece, identity_fold.piece_entered, (identity_rules.new_assembly,)
    ),
    identity.PieceScrapped: Kind(
        _piece,
        identity_fold.piece_scrapped,
        (
            *_STANDS,
            refusal.piece_idle,
            identity_rules.carries_no_number,
            identity_rules.carries_no_unit,
        ),
    ),
}
_UNITS: dict[type[Event], Kind] = {
    units.UnitEntered: Kind(
        _unit, unit_fold.unit_entered, (unit_rules.new_unit, unit_rules.not_entered_scrapped)
    ),
    units.Ordered: Kind(_nothing, unit_fold.ordered, (unit_rules.due_after_order,)),
    units.Purchased: Kind(_unit, unit_fold.purchased, (unit_rules.new_unit,)),
    units.AgeTold: Kind(_unit, unit_fold.age_told, (*_UNIT, unit_rules.age_is_told)),
    units.Removed: Kind(
        _unit,
        unit_fold.removed,
        (
            unit_rules.off_is_inside,
            unit_rules.off_is_safe,
            unit_rules.comes_off_there,
            unit_rules.unit_in_time,
        ),
    ),
    units.SeenOn: Kind(
        _unit, unit_fold.seen_on, (unit_rules.seen_on_something, unit_rules.unit_in_time)
    ),
    units.Missed: Kind(_unit, unit_fold.missed, (*_UNIT, unit_rules.comes_off_there)),
    units.Sent: Kind(_unit, unit_fold.sent, _OFF),
    units.Received: Kind(_unit, unit_fold.received, _OFF),
    units.UnitFound: Kind(_unit, unit_fold.unit_found, _UNIT),
    units.Reconditioned: Kind(
        _unit,
        unit_fold.reconditioned,
        (*_UNIT, unit_rules.not_in_quarantine, unit_rules.not_condemned),
    ),
    units.Scrapped: Kind(_unit, unit_fold.scrapped, (*_OFF, unit_rules.not_in_quarantine)),
    units.Quarantined: Kind(_unit, unit_fold.quarantined, (*_OFF, unit_rules.not_in_quarantine)),
    units.Cleared: Kind(_unit, unit_fold.cleared, (*_UNIT, unit_rules.in_quarantine)),
    units.Issued: Kind(
        _unit,
        unit_fold.issued,
        (
            *_OFF,
            unit_rules.serviceable,
            unit_rules.not_promised_away,
            unit_rules.to_is_inside,
        ),
    ),
    units.Fitted: Kind(
        _unit,
        unit_fold.fitted,
        (
            *_OFF,
            unit_rules.serviceable,
            unit_rules.not_promised_away,
            unit_rules.onto_is_inside,
            unit_rules.is_owed,
        ),
    ),
    units.RobbingAsked: Kind(
        _unit,
        unit_fold.robbing_asked,
        (*_ROBBED, robbing_rules.asked_once, robbing_rules.waits_a_while),
    ),
    units.RobbingDeclined: Kind(_unit, unit_fold.robbing_declined, (robbing_rules.it_waits,)),
    units.Robbed: Kind(_unit, unit_fold.robbed, (*_ROBBED, unit_rules.two_approve)),
}
_RECORD: dict[type[Event], Kind] = {
    record.Attended: Kind(_nothing, record_fold.attended, ()),
    record.FactorDecided: Kind(_nothing, record_fold.factor_decided, ()),
    record.Overridden: Kind(_piece, record_fold.overridden, (record_fold.on_the_books,)),
    record.Corrected: Kind(_nothing, record_fold.corrected, (record_fold.not_alone,)),
}
RULES_AND_CHANGES: dict[type[Event], Kind] = {**_GATE, **_STAGES, **_IDENTITY, **_UNITS, **_RECORD}
"""One entry a kind of event."""
