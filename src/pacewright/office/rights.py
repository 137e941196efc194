"""Who may do what: the roles of the works, least right by default."""

from enum import StrEnum

from pacewright.events.things import Cause


class Role(StrEnum):
    """What a person is in the works; an account has one."""

    VIEWER = "viewer"
    SHOP = "shop"
    STORES = "stores"
    INSPECTOR = "inspector"
    PLANNER = "planner"
    ENGINEER = "engineer"
    ADMINISTRATOR = "administrator"


class Right(StrEnum):
    """One sort of action; the value says it in words."""

    SEE = "see pages and tables"
    BOOK_GATE = "book calls, arrivals and admissions"
    BOOK_WORK = "book moves and work"
    BOOK_UNITS = "book units in stores and shops"
    FIT = "book units off and on a vehicle"
    COUNT = "enter what a count found in the books"
    INSPECT = "write down what inspection and tests found"
    CLEAR = "end safety holds and quarantine"
    RELEASE = "sign a vehicle out"
    PROMISE = "promise dates, plan and replan"
    APPROVE_ROBBING = "approve taking a unit off another vehicle"
    OVERRIDE = "set a rule aside, with a reason"
    CORRECT = "correct what was recorded"
    FACTORS = "accept or reject changes of factors"
    TABLES = "replace the tables of the works"
    PEOPLE = "open and close accounts"


RIGHTS: dict[Role, frozenset[Right]] = {
    Role.VIEWER: frozenset({Right.SEE}),
    Role.SHOP: frozenset({Right.SEE, Right.BOOK_WORK, Right.FIT}),
    Role.STORES: frozenset({Right.SEE, Right.BOOK_UNITS, Right.COUNT}),
    Role.INSPECTOR: frozenset({Right.SEE, Right.INSPECT, Right.CLEAR, Right.RELEASE}),
    Role.PLANNER: frozenset(
        {
            Right.SEE,
            Right.BOOK_GATE,
            Right.BOOK_WORK,
            Right.BOOK_UNITS,
            Right.PROMISE,
            Right.APPROVE_ROBBING,
            Right.CORRECT,
            Right.FACTORS,
        }
    ),
    Role.ENGINEER: frozenset(
        {
            Right.SEE,
            Right.APPROVE_ROBBING,
            Right.OVERRIDE,
            Right.CORRECT,
            Right.FACTORS,
            Right.TABLES,
        }
    ),
    Role.ADMINISTRATOR: frozenset({Right.SEE, Right.PEOPLE}),
}
"""Role -> what it may do. What an inspector alone may do (INSPECT, CLEAR, RELEASE) no planner may:
who is measured by the date does not judge the work. Common practice, no source."""

INSPECTORS_ALONE = frozenset({Right.INSPECT, Right.CLEAR, Right.RELEASE})
"""Rights no other role may have."""


NEEDED: dict[str, Right] = {
    "called": Right.BOOK_GATE,
    "called_off": Right.BOOK_GATE,
    "arrived": Right.BOOK_GATE,
    "admitted": Right.BOOK_GATE,
    "turned_back": Right.BOOK_GATE,
    "withdrawn": Right.BOOK_GATE,
    "odometer_read": Right.BOOK_GATE,
    "promised": Right.PROMISE,
    "released": Right.RELEASE,
    "stripped": Right.BOOK_WORK,
    "parted": Right.BOOK_WORK,
    "married": Right.BOOK_WORK,
    "renumbered": Right.CORRECT,
    "modified": Right.INSPECT,
    "piece_entered": Right.COUNT,
    "piece_scrapped": Right.INSPECT,
    "moved": Right.BOOK_WORK,
    "stored": Right.BOOK_WORK,
    "work_started": Right.BOOK_WORK,
    "work_ended": Right.BOOK_WORK,
    "stage_finished": Right.BOOK_WORK,
    "failed": Right.INSPECT,
    "rectified": Right.INSPECT,
    "redone": Right.BOOK_WORK,
    "tested": Right.INSPECT,
    "found": Right.INSPECT,
    "held": Right.BOOK_WORK,
    "freed": Right.BOOK_WORK,
    "put_out_of_use": Right.BOOK_WORK,
    "put_into_use": Right.BOOK_WORK,
    "unit_entered": Right.COUNT,
    "age_told": Right.INSPECT,
    "ordered": Right.BOOK_UNITS,
    "purchased": Right.BOOK_UNITS,
    "removed": Right.FIT,
    "missed": Right.INSPECT,
    "seen_on": Right.INSPECT,
    "sent": Right.BOOK_UNITS,
    "received": Right.BOOK_UNITS,
    "unit_found": Right.INSPECT,
    "reconditioned": Right.INSPECT,
    "scrapped": Right.INSPECT,
    "quarantined": Right.INSPECT,
    "cleared": Right.CLEAR,
    "issued": Right.BOOK_UNITS,
    "fitted": Right.FIT,
    "robbing_asked": Right.APPROVE_ROBBING,
    "robbing_declined": Right.APPROVE_ROBBING,
    "robbed": Right.APPROVE_ROBBING,
    "attended": Right.BOOK_WORK,
    "overridden": Right.OVERRIDE,
    "corrected": Right.CORRECT,
    "factor_decided": Right.FACTORS,
}
"""Kind of event -> right that booking it needs; a test keeps it complete."""


def right_for(kind: str, cause: str = "") -> Right:
    """The right that booking an event needs.

    Parameters
    ----------
    kind : kind of the event.
    cause : of a ``held`` or ``freed``: ending a safety hold needs more than ending any other.

    Raises
    ------
    KeyError : no such kind of event.
    """
    return Right.CLEAR if kind == "freed" and cause == Cause.SAFETY else NEEDED[kind]


def may(role: Role, right: Right) -> bool:
    """Whether a role has a right."""
    return right in RIGHTS[role]
