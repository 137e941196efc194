"""What must hold for a robbing that waits for its second approval."""

from datetime import timedelta

from pacewright.events.refusal import Refusal, late
from pacewright.events.standing import Standing, UnitStanding
from pacewright.events.units import RobbingAsked, RobbingDeclined

LONGEST_WAIT = timedelta(days=14)
"""A works day over the longest shutdown; what is older is asked anew, at its price of then."""


def asked_once(now: Standing, event: RobbingAsked, unit: UnitStanding) -> Refusal | None:
    """A unit is asked for once at a time."""
    waits = now.robbing_asked.get(event.unit)
    if waits is None or event.at > waits.until:
        return None
    return Refusal(
        str(event.unit),
        f"{waits.approved_by} asked for it at {waits.at:%Y-%m-%d %H:%M}, for {waits.to}, and it "
        f"waits until {waits.until:%Y-%m-%d %H:%M}",
        "A unit is asked for once at a time.",
        "Agree to that or decline it first.",
    )


def waits_a_while(now: Standing, event: RobbingAsked, unit: UnitStanding) -> Refusal | None:
    """A second approval is waited for from now on, for fourteen days at most."""
    if event.at < event.until <= event.at + LONGEST_WAIT:
        return None
    return Refusal(
        str(event.unit),
        f"until {event.until:%Y-%m-%d %H:%M}, asked at {event.at:%Y-%m-%d %H:%M}",
        "A second approval is waited for from now on, for fourteen days at most.",
        "Correct until.",
    )


def it_waits(now: Standing, event: RobbingDeclined, unit: UnitStanding | None) -> Refusal | None:
    """Declined is only what waits for a second approval."""
    waits = now.robbing_asked.get(event.unit)
    if waits is not None:
        return late(str(event.unit), event.at, waits.at, "when it was asked for")
    return Refusal(
        str(event.unit),
        "no robbing of it waits",
        "Declined is only what waits for a second approval.",
        "Check kind and serial; it may have been booked, refused or withdrawn meanwhile.",
    )
