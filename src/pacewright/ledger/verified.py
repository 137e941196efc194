"""What going through a record found."""

from dataclasses import dataclass

from pacewright.ledger.entry import Head

RESTORE = "Keep it as it is, and restore the latest backup that verifies."
RENEW = "Nothing is lost, since it only saves time. Drop the snapshots of the record."


@dataclass(frozen=True, slots=True)
class RecordFault:
    """Something in a record that is not as it was kept.

    Parameters
    ----------
    place : of the event; 0: the record as a whole.
    """

    place: int
    found: str
    remedy: str = RESTORE

    def __str__(self) -> str:
        where = f"place {self.place}" if self.place else "record"
        return f"{where}: {self.found}. {self.remedy}"


@dataclass(frozen=True, slots=True)
class Verified:
    """What going through a record found.

    Parameters
    ----------
    head : how far it goes; noted elsewhere, it can be asked for the next time.
    snapshots : how many were held against the fold.
    notes : what is worth knowing and no fault.
    """

    head: Head
    snapshots: int
    faults: tuple[RecordFault, ...]
    notes: tuple[str, ...]

    @property
    def sound(self) -> bool:
        """True when no fault was found."""
        return not self.faults
