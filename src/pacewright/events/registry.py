"""Every kind of event by its name; a name once used in a record never changes its meaning."""

from pacewright.events import gate, identity, record, stages, units
from pacewright.events.things import Event

KINDS: dict[str, type[Event]] = {
    "called": gate.Called,
    "called_off": gate.CalledOff,
    "arrived": gate.Arrived,
    "admitted": gate.Admitted,
    "turned_back": gate.TurnedBack,
    "promised": gate.Promised,
    "odometer_read": gate.OdometerRead,
    "released": gate.Released,
    "withdrawn": gate.Withdrawn,
    "stripped": identity.Stripped,
    "parted": identity.Parted,
    "married": identity.Married,
    "renumbered": identity.Renumbered,
    "piece_entered": identity.PieceEntered,
    "piece_scrapped": identity.PieceScrapped,
    "moved": stages.Moved,
    "stored": stages.Stored,
    "work_started": stages.WorkStarted,
    "work_ended": stages.WorkEnded,
    "stage_finished": stages.StageFinished,
    "failed": stages.Failed,
    "rectified": stages.Rectified,
    "redone": stages.Redone,
    "tested": stages.Tested,
    "found": stages.Found,
    "held": stages.Held,
    "freed": stages.Freed,
    "put_out_of_use": stages.PutOutOfUse,
    "put_into_use": stages.PutIntoUse,
    "unit_entered": units.UnitEntered,
    "purchased": units.Purchased,
    "removed": units.Removed,
    "seen_on": units.SeenOn,
    "sent": units.Sent,
    "received": units.Received,
    "unit_found": units.UnitFound,
    "reconditioned": units.Reconditioned,
    "scrapped": units.Scrapped,
    "quarantined": units.Quarantined,
    "cleared": units.Cleared,
    "issued": units.Issued,
    "fitted": units.Fitted,
    "robbed": units.Robbed,
    "attended": record.Attended,
    "overridden": record.Overridden,
    "corrected": record.Corrected,
}
"""Name of the kind, as a record keeps it -> its class."""

KIND_OF: dict[type[Event], str] = {model: kind for kind, model in KINDS.items()}
"""Class -> name of the kind."""
