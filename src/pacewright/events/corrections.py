"""Corrections: the record as it should have been written, folded anew."""

from collections.abc import Iterator, Sequence

from pacewright.events.fold import ImpossibleEventError, fold
from pacewright.events.record import Corrected, Recorded
from pacewright.events.standing import Standing
from pacewright.events.things import Event
from pacewright.events.written import UnreadableEventError, read_event


class StrangeCorrectionError(ValueError):
    """Corrections mend events that are not in the part of the record that is folded.

    Fold from a standing before the events named in ``mends``, or from the start.
    """

    def __init__(self, mends: Sequence[str]) -> None:
        self.mends = tuple(mends)
        super().__init__(f"not in the record that is folded: {', '.join(mends)}")


def standing_corrections(record: Sequence[Recorded]) -> tuple[Recorded, ...]:
    """Corrections that no later one voids, in order of the record."""
    voided: set[str] = set()
    found = []
    # The last word counts, so corrections are read from the last back.
    for one in reversed(record):
        if isinstance(one.event, Corrected) and one.event_id not in voided:
            voided.add(one.event.mends)
            found.append(one)
    return tuple(reversed(found))


def mended(record: Sequence[Recorded]) -> Iterator[Event]:
    """What happened in truth: every event, or what its correction puts in its place.

    A correction that is voided by a later one does not count: the event it mended is back.

    Raises
    ------
    StrangeCorrectionError : a correction mends an event that is not in ``record``.
    """
    instead = {
        one.event.mends: one.event.instead
        for one in standing_corrections(record)
        if isinstance(one.event, Corrected)
    }
    strange = instead.keys() - {one.event_id for one in record} if instead else set()
    if strange:
        raise StrangeCorrectionError(sorted(strange))
    for one in record:
        if isinstance(one.event, Corrected):
            continue
        if one.event_id in instead:
            yield from (read_event(body) for body in instead[one.event_id])
        else:
            yield one.event


def fold_record(
    record: Sequence[Recorded], before: Standing | None = None, *, trusted: bool = False
) -> Standing:
    """Where everything stands by a record with its corrections.

    Parameters
    ----------
    record : its events in order; with ``before``, those after it, and none of them may mend an
        earlier event.
    before : where everything stood before them; None: an empty record.
    trusted : True leaves out the checks, for a record whose every entry was checked.

    Raises
    ------
    ImpossibleEventError : an event of the mended record breaks a rule.
    StrangeCorrectionError : a correction mends an event that is not in ``record``.
    """
    return fold(mended(record), before, trusted=trusted)


def why_not_correct(
    record: Sequence[Recorded], correction: Recorded, before: Standing | None = None
) -> str | None:
    """Why a correction cannot be taken into the record; None: it can.

    It must name an event of the record that no standing correction mends yet, and the record
    mended by it must still be possible from end to end.

    Parameters
    ----------
    record : the record so far, or its events after ``before``, the event mended among them.
    correction : the correcting event.
    before : where everything stood before ``record``; None: an empty record.
    """
    if not isinstance(correction.event, Corrected):
        return None
    return why_wrong_by_itself(record, correction) or _impossible([*record, correction], before)


def why_wrong_by_itself(record: Sequence[Recorded], correction: Recorded) -> str | None:
    """Why what a correction names, or puts in place, is wrong whatever happened; None: it is not.

    Parameters
    ----------
    record : at least the event it mends and every correction that has to do with that event.
    correction : the correcting event.
    """
    event = correction.event
    if not isinstance(event, Corrected):
        return None
    return _misnamed(record, event) or _unreadable(event)


def _misnamed(record: Sequence[Recorded], event: Corrected) -> str | None:
    where = f"correction of {event.mends}"
    target = next((one for one in record if one.event_id == event.mends), None)
    if target is None:
        return f"{where}: no such event in the record. Name the event it mends by its id."
    if isinstance(target.event, Corrected) and event.instead:
        return (
            f"{where}: that is a correction. A correction can only be voided. "
            "Void it with nothing in its place, then correct the first event anew."
        )
    for one in standing_corrections(record):
        if isinstance(one.event, Corrected) and one.event.mends == event.mends:
            return (
                f"{where}: {one.event_id} mends it already. An event has one standing correction. "
                f"Void {one.event_id} first."
            )
    return None


def _unreadable(event: Corrected) -> str | None:
    faults: list[str] = []
    for body in event.instead:
        try:
            read = read_event(body)
        except UnreadableEventError as error:
            faults += error.faults
        else:
            if isinstance(read, Corrected):
                faults.append(
                    f"correction of {event.mends}: a correction in its place. "
                    "Only what happened stands in the place of an event. Leave it out."
                )
    return "\n".join(faults) or None


def _impossible(record: Sequence[Recorded], before: Standing | None) -> str | None:
    try:
        fold_record(record, before)
    except ImpossibleEventError as error:
        return f"with this correction event {error.place + 1} is impossible:\n{error}"
    return None
