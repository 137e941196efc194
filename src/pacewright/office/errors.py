"""What can stop an office function besides faults in the files."""

from pacewright.base.faults import CallError

__all__ = ["CallError", "NoPlanError", "NotFoundError"]


class NoPlanError(Exception):
    """The files are in order, but no plan at all can be made from them; says why and what to do."""


class NotFoundError(Exception):
    """What was asked for is not there: a vehicle, a unit, an event; says what and what to do."""
