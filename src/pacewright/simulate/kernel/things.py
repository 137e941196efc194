"""The things in the memory of a run, and which word of each says what.

A line takes the words of ``memory.LINE``. Words called ``x`` and ``end_x`` are the first thing of
a group and the one after its last.
"""

from typing import NamedTuple

from pacewright.simulate.kernel.memory import placed


class VehicleWords(NamedTuple):
    """A vehicle."""

    number: int
    key: int
    type: int
    inside: int
    day: int
    slot: int
    late_share: int
    late_scale: int
    piece: int
    end_piece: int
    arrived: int
    admitted: int
    released: int
    together: int  # pieces that still stand on the position where it was parted
    lacked: int  # 1: a piece of it did not find all its units there when it asked
    words: int


class PieceWords(NamedTuple):
    """A whole vehicle, or what it parts into: what every stage reads, in one and a half lines of
    the processor's cache; the parts of the work at its step follow the last word.
    """

    next: int
    step: int  # before the start: where it begins, a step or NOT_THERE or IN_STORE
    vehicle: int
    number: int
    since: int
    held: int  # the stage whose position it holds; NONE; less than that: see ``together``
    parts_left: int
    minutes: int
    finished: int  # minute at which the stage before was; FAR once work has begun
    key: int  # of its vehicle
    work: int  # worked minutes of work so far
    trouble: int  # 1: the words attempt, failed and redo have a meaning
    words: int


class ColdWords(NamedTuple):
    """What few stages read of a piece; it stands before the first word of the piece."""

    attempt: int
    failed: int
    redo: int
    robbing: int
    left: int  # minutes of its next work where the record knows them; 0: as drawn
    more: int  # minutes added to its work on its next position
    lacks: int  # kinds of which it lacks units
    positioned: int
    day: int  # on which its vehicle was called in
    place: int
    of: int  # the thing of its vehicle
    assembly: int
    first_step: int
    known: int  # place of the units it asks for, kind by kind, where the record knows them; NONE
    late: int  # place of what it asks for on its next position beside that; NONE
    words: int


class TypeWords(NamedTuple):
    """A vehicle type."""

    look: int
    line: int
    first_step: int
    marriage_step: int
    assembly: int
    end_assembly: int
    last_cause: int  # column of the assembly stored last
    words: int


class AssemblyWords(NamedTuple):
    """An assembly that is parted off."""

    line: int
    wanted: int
    stored_sum: int
    type: int
    cause: int
    words: int


class StepWords(NamedTuple):
    """A step; ``x`` to ``end_x`` are its needs, scopes, strips and fits."""

    stage: int
    then: int
    pieces: int
    redo: int
    need: int
    end_need: int
    scope: int
    end_scope: int
    strip: int
    end_strip: int
    fit: int
    end_fit: int
    words: int


class NeedWords(NamedTuple):
    """A crew that a step needs."""

    crew: int
    need: int
    words: int


class ScopeWords(NamedTuple):
    """An operation that makes the work of a step scatter."""

    key: int
    first: int
    last: int
    share: int
    done: int
    not_done: int
    words: int


class CarriedWords(NamedTuple):
    """Units of a kind that come off or go on at a step."""

    kind: int
    units: int
    words: int


class StageWords(NamedTuple):
    """A stage."""

    number: int
    look: int
    line: int
    positions: int
    busy: int
    out: int
    queue_sum: int
    busy_sum: int
    batch: int
    nights: int
    window: int
    law: int
    key: int
    least: int
    pass_share: int
    rectify: int
    charge_look: int
    charge_line: int
    position_cause: int
    batch_cause: int
    inspection_cause: int
    words: int


class CrewWords(NamedTuple):
    """A crew, or the open doors of a shop."""

    number: int
    look: int
    line: int
    size: int  # hundredths of a person there today
    at_work: int  # hundredths at work, lent ones included
    owed: int  # hundredths x minutes of its own time
    until: int  # minute of its own time up to which these are counted
    length: int  # minutes of its day
    busy_sum: int
    there_sum: int
    cause: int
    doors: int
    drawn: int
    people: int
    scale: int
    key: int
    attendance: int
    words: int


class KindWords(NamedTuple):
    """A unit kind."""

    number: int
    look: int
    line: int
    pool: int
    pool_sum: int
    owed: int
    owed_sum: int
    asked: int
    late: int
    wait_minutes: int
    cause: int
    key: int
    removal_share: int
    scrap_share: int
    lot: int
    despatch_days: int
    turn: int
    benches: int
    benches_busy: int
    benches_out: int
    bench_line: int
    bench_minutes: int
    length: int  # minutes of the day of its shop
    lot_line: int
    gathered: int
    scrapped: int
    purchase_lot: int
    purchase_minutes: int
    site_key: int
    site_gap: int
    transit: int
    site_draws: int
    site_backs: int
    float_key: int
    serviceable: int
    unserviceable: int
    rob_minutes: int
    words: int


class PartWords(NamedTuple):
    """What one crew does at a piece."""

    next: int
    piece: int
    need: int
    since: int
    words: int


class OrderWords(NamedTuple):
    """Units of a kind that a piece, or the second site, is owed."""

    next: int
    piece: int
    units: int
    words: int


class UnitWords(NamedTuple):
    """A unit that waits for its lot or for a bench."""

    next: int
    key: int
    number: int
    words: int


class OwedWords(NamedTuple):
    """Units owed to a vehicle inside at the start."""

    vehicle: int
    kind: int
    units: int
    ago: int
    words: int


class StartWords(NamedTuple):
    """A piece inside at the start, as the record knows it."""

    piece: int
    step: int
    stand: int
    held: int
    begun: int
    ended: int
    attempt: int
    done: int  # minutes
    share: int
    finished: int
    asks: int  # place of the units it asks for
    late: int  # place of those it asks for on its next position; NONE
    more: int
    words: int


class AwayWords(NamedTuple):
    """A unit on its way to the pool at the start, as the record knows it."""

    kind: int
    key: int
    way: int
    minutes: int
    share: int
    words: int


class UpsetWords(NamedTuple):
    """What takes a position or a bench away for a time."""

    number: int
    key: int
    gap: int
    out: int
    stage: int
    kind: int
    at: int
    times: int  # that it happened
    words: int


class RowWords(NamedTuple):
    """An event: minute and code in one word, place and amount in another."""

    time_and_code: int
    vehicle: int
    place_and_amount: int
    words: int


VEHICLE = placed(VehicleWords)
PIECE = placed(PieceWords)
COLD = placed(ColdWords, -len(ColdWords._fields) + 1)
TYPE = placed(TypeWords)
ASSEMBLY = placed(AssemblyWords)
STEP = placed(StepWords)
NEED = placed(NeedWords)
SCOPE = placed(ScopeWords)
CARRIED = placed(CarriedWords)
STAGE = placed(StageWords)
CREW = placed(CrewWords)
KIND = placed(KindWords)
PART = placed(PartWords)
ORDER = placed(OrderWords)
UNIT = placed(UnitWords)
OWED = placed(OwedWords)
START = placed(StartWords)
AWAY = placed(AwayWords)
UPSET = placed(UpsetWords)
ROW = placed(RowWords)
