"""The whole numbers by which a simulated run writes what happened; never given a new meaning."""

from dataclasses import dataclass
from enum import IntEnum


class Code(IntEnum):
    """Kind of a row of a simulated run; 0 is no event."""

    ARRIVED = 1
    ADMITTED = 2
    READY = 3
    POSITIONED = 4
    SUPPLIED = 5
    BATCHED = 6
    STARTED = 7
    ENDED = 8
    FINISHED = 9
    FAILED = 10
    REDONE = 11
    PARTED = 12
    STORED = 13
    MARRIED = 14
    REMOVED = 15
    SENT = 16
    SCRAPPED = 17
    BOUGHT = 18
    SERVICEABLE = 19
    FITTED = 20
    ROBBED = 21
    SITE_DRAWN = 22
    UPSET = 23
    MENDED = 24
    RELEASED = 25


@dataclass(frozen=True, slots=True)
class CodeMeaning:
    """What a row of one code says.

    Parameters
    ----------
    meaning : what happened.
    vehicle : False when the row has no vehicle (its vehicle index is -1).
    place : what the place index counts: stage | kind | crew | upset | "" (it is -1).
    amount : what the last number is: piece (of the vehicle, 0 its lead) | units | vehicle | "" (0).
    recorded : kind of the event of the record that says the same; "" when the row only tells
        of a wait, which a record does not keep.
    """

    meaning: str
    vehicle: bool
    place: str
    amount: str
    recorded: str


MEANINGS: dict[Code, CodeMeaning] = {
    Code.ARRIVED: CodeMeaning("the vehicle stands at the gate", True, "", "", "arrived"),
    Code.ADMITTED: CodeMeaning("the vehicle is let in", True, "", "", "admitted"),
    Code.READY: CodeMeaning(
        "the piece asks for a position of the stage", True, "stage", "piece", ""
    ),
    Code.POSITIONED: CodeMeaning(
        "the piece has a position of the stage", True, "stage", "piece", "moved"
    ),
    Code.SUPPLIED: CodeMeaning("the piece has all its units there", True, "stage", "piece", ""),
    Code.BATCHED: CodeMeaning("the charge of the piece is made up", True, "stage", "piece", ""),
    Code.STARTED: CodeMeaning(
        "a trade starts its part of the work on the piece (place -1: work that needs nobody)",
        True,
        "crew",
        "piece",
        "work_started",
    ),
    Code.ENDED: CodeMeaning("that part of the work ends", True, "crew", "piece", "work_ended"),
    Code.FINISHED: CodeMeaning(
        "the piece has passed the stage", True, "stage", "piece", "stage_finished"
    ),
    Code.FAILED: CodeMeaning("the piece fails its test", True, "stage", "piece", "failed"),
    Code.REDONE: CodeMeaning(
        "it waited too long: the stage before is done again here", True, "stage", "piece", "redone"
    ),
    Code.PARTED: CodeMeaning("the vehicle is parted", True, "stage", "", "parted"),
    Code.STORED: CodeMeaning(
        "the piece is put on the floor to wait for marriage", True, "stage", "piece", "stored"
    ),
    Code.MARRIED: CodeMeaning(
        "the pieces for the vehicle are together; one row each: the vehicle is that of the lead, "
        "the amount the vehicle index from which the piece came",
        True,
        "stage",
        "vehicle",
        "married",
    ),
    Code.REMOVED: CodeMeaning("units come off the vehicle", True, "kind", "units", "removed"),
    Code.SENT: CodeMeaning("a lot leaves for its shop", False, "kind", "units", "sent"),
    Code.SCRAPPED: CodeMeaning("units cannot be made good", False, "kind", "units", "scrapped"),
    Code.BOUGHT: CodeMeaning(
        "new units come in, ready to fit (no SERVICEABLE row beside it)",
        False,
        "kind",
        "units",
        "purchased",
    ),
    Code.SERVICEABLE: CodeMeaning(
        "units are made good and go to the pool", False, "kind", "units", "reconditioned"
    ),
    Code.FITTED: CodeMeaning(
        "units of the pool are given to the vehicle", True, "kind", "units", "fitted"
    ),
    Code.ROBBED: CodeMeaning(
        "units are taken off this vehicle; the next row, FITTED, says which vehicle gets them",
        True,
        "kind",
        "units",
        "robbed",
    ),
    Code.SITE_DRAWN: CodeMeaning(
        "the second site gets units of the pool", False, "kind", "units", "sent"
    ),
    Code.UPSET: CodeMeaning("a position or bench is lost", False, "upset", "", "put_out_of_use"),
    Code.MENDED: CodeMeaning(
        "a lost position or bench is back", False, "upset", "", "put_into_use"
    ),
    Code.RELEASED: CodeMeaning("the vehicle is released", True, "", "", "released"),
}
"""One entry a code."""
