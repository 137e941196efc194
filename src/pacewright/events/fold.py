"""Events folded into where everything stands; an impossible event is refused, with the reasons."""

from collections.abc import Iterable

from pacewright.events.kinds import RULES_AND_CHANGES
from pacewright.events.refusal import Refusal
from pacewright.events.standing import Standing
from pacewright.events.things import Event


class ImpossibleEventError(ValueError):
    """An event that cannot have happened; nothing was changed by it.

    Parameters
    ----------
    event : the event.
    reasons : every rule it breaks.
    place : how many events were folded before it.
    """

    def __init__(self, event: Event, reasons: tuple[Refusal, ...], place: int) -> None:
        self.event, self.reasons, self.place = event, reasons, place
        super().__init__("\n".join(str(one) for one in reasons))


def refusals(standing: Standing, event: Event) -> tuple[Refusal, ...]:
    """Every rule that ``event`` would break now; empty when it can have happened."""
    subject, _, checks = RULES_AND_CHANGES[type(event)]
    about = subject(standing, event)
    found: dict[Refusal, None] = {}
    for check in checks:
        reason = check(standing, event, about)
        if reason is not None:
            found[reason] = None
            if check is checks[0]:
                break
    return tuple(found)


def why_not(standing: Standing, event: Event) -> str | None:
    """Why ``event`` cannot have happened now, a line for each rule it breaks; None: it can.

    Examples
    --------
    >>> from datetime import datetime
    >>> from pacewright.events.gate import Admitted
    >>> print(why_not(Standing(), Admitted(datetime(2026, 3, 2, 7, 30), "1043")))
    vehicle 1043: the record does not know it. A vehicle is let in, or turned back, at \
the gate. Check the number, or record first that it arrived.
    """
    reasons = refusals(standing, event)
    return "\n".join(str(one) for one in reasons) if reasons else None


def take(standing: Standing, event: Event) -> None:
    """Check one event and let it change ``standing`` itself.

    Raises
    ------
    ImpossibleEventError : it breaks a rule; ``standing`` is as it was.
    """
    subject, change, checks = RULES_AND_CHANGES[type(event)]
    about = subject(standing, event)
    for check in checks:
        if check(standing, event, about) is not None:
            raise ImpossibleEventError(event, refusals(standing, event), standing.events)
    change(standing, event, about)
    standing.events += 1


def fold(
    events: Iterable[Event], standing: Standing | None = None, *, trusted: bool = False
) -> Standing:
    """Where everything stands after ``events``.

    Parameters
    ----------
    events : what happened, in the order of the record, mended of every correction.
    standing : where everything stood before them; left as it is. None: an empty record.
    trusted : True leaves out the checks, for events that passed them when they were recorded.

    Raises
    ------
    ImpossibleEventError : an event breaks a rule.
    """
    now = Standing() if standing is None else standing.copy()
    table = RULES_AND_CHANGES
    place = now.events
    for event in events:
        subject, change, checks = table[type(event)]
        about = subject(now, event)
        if not trusted:
            for check in checks:
                if check(now, event, about) is not None:
                    now.events = place
                    raise ImpossibleEventError(event, refusals(now, event), place)
        change(now, event, about)
        place += 1
    now.events = place
    return now
