"""The instruction table: a works compiled to plain arrays, read alike by every engine.

Minutes count from midnight of day 0, the Monday of the week in which the run starts. "Worked
minutes" are minutes of calendar 0, the works' own. Indices: ``v`` vehicle, ``p`` piece, ``t``
type, ``s`` stage, ``e`` step, ``c`` crew, ``k`` unit kind, ``a`` parted-off assembly of a type.
A group ``x_first`` has one entry more than rows: row e owns ``x[x_first[e]:x_first[e + 1]]``.
"""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from pacewright.simulate.start_table import NOT_LIVE, LiveRows

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Keys = NDArray[np.uint64]

QUANTILES = 1025
"""Points of a quantile table, at u = 0, 1/1024 ... 1; between them straight lines."""

FAR = 1 << 62
"""A minute that never comes: beyond the table of days."""

NOT_THERE, IN_STORE = -1, -2
"""``piece.start_step`` of a piece not there at the start, and of one that waits to be married."""


class Then(IntEnum):
    """What follows when the work of a step is finished."""

    GO_ON = 0
    """ready at the next step, e + 1"""
    PART = 1
    """the vehicle parts: every piece is ready at the first step of its own"""
    STORE = 2
    """the piece is stored until any vehicle of its type takes it"""
    MARRY = 3
    """the leading piece waits for the other pieces, then is ready at the type's marriage step"""
    RELEASE = 4
    """the vehicle leaves"""


@dataclass(frozen=True)
class Days:
    """Calendars, and the stretch that is run. All calendars open at the same clock minute.

    Parameters
    ----------
    workday : day number of each working day, ascending.
    before : working days before day d, for d = 0 ... days + 1.
    minutes : working minutes a day of each calendar; 0 is the works' own.
    open_minute : minute of the day at which work begins.
    start, measure_from, end : first minute run; first minute that counts in the time integrals;
        first minute not run.
    """

    workday: Ints
    before: Ints
    minutes: Ints
    open_minute: int
    start: int
    measure_from: int
    end: int


@dataclass(frozen=True)
class VehicleRows:
    """Vehicles in order of arrival, those inside at the start first.

    Parameters
    ----------
    key : stable hash of id and visit.
    type : its type.
    inside : a ``start_table.There``; 1 when inside at the start, its pieces or ``live`` say where.
    day : working day on which it is called in; negative: so many working days before the first.
    slot : minutes after the opening of that day.
    late_share : chance that it comes late.
    late_scale : mean of the exponential law whose whole days, plus 1, it is late [days].
    piece : its leading piece; the others follow, assembly by assembly.
    """

    key: Keys
    type: Ints
    inside: Ints
    day: Ints
    slot: Ints
    late_share: Floats
    late_scale: Floats
    piece: Ints


@dataclass(frozen=True)
class PieceRows:
    """Pieces: the leading one is the whole vehicle, then the leading assembly, then the whole.

    Parameters
    ----------
    vehicle : the vehicle it came in with.
    assembly : a, the parted-off assembly; -1 for the leading piece.
    place : which of the pieces of its assembly it is, from 0.
    first_step : first step after parting (-1 when the type does not part).
    start_step : step at which it is ready at the start; NOT_THERE; IN_STORE.
    """

    vehicle: Ints
    assembly: Ints
    place: Ints
    first_step: Ints
    start_step: Ints


@dataclass(frozen=True)
class TypeRows:
    """Vehicle types.

    Parameters
    ----------
    first_step : first step of the whole vehicle.
    marriage_step : first step after marriage; -1 when the type does not part.
    assembly_first : group of the type's parted-off assemblies a.
    assembly_count : per a: pieces of it one vehicle needs.
    """

    first_step: Ints
    marriage_step: Ints
    assembly_first: Ints
    assembly_count: Ints


@dataclass(frozen=True)
class StepRows:
    """Steps: each stage as one assembly of one type passes it, chain after chain.

    Parameters
    ----------
    stage, then : its stage; a ``Then``.
    pieces : pieces of one vehicle that pass it; unit j belongs to the piece of place j % pieces.
    redo_minutes : work done again when the window after the stage before is missed.
    need_first, need_crew, need : crews at once and how many of each [hundredths of a person];
        at least one a step: the last crews, one a shop, stand for its open doors and need 0.
    scope_first, scope_key, scope_share : operations that make the work scatter, and campaigns.
    scope_mean, scope_minutes : done adds (1 - mean) x minutes, not done takes mean x minutes off.
    scope_from, scope_to : only for vehicles called in from the one to the other working day.
    strip_first, strip_kind, strip_units : unit kinds that come off at its end, units a vehicle.
    fit_first, fit_kind, fit_units : unit kinds that must be there before its work begins.
    """

    stage: Ints
    then: Ints
    pieces: Ints
    redo_minutes: Ints
    need_first: Ints
    need_crew: Ints
    need: Ints
    scope_first: Ints
    scope_key: Keys
    scope_share: Floats
    scope_mean: Floats
    scope_minutes: Floats
    scope_from: Ints
    scope_to: Ints
    strip_first: Ints
    strip_kind: Ints
    strip_units: Ints
    fit_first: Ints
    fit_kind: Ints
    fit_units: Ints


@dataclass(frozen=True)
class StageRows:
    """Stages, in the order of the table of stages.

    Parameters
    ----------
    key, calendar : stable hash; calendar of its shop.
    positions, batch : places; pieces of a full charge (1: no charges).
    nights : 1 when a process runs on by the clock once it has begun.
    window : longest wait after the stage before [clock minutes]; -1: any.
    least : shortest work [min].
    minutes : quantiles of the work [min], shape (stages, QUANTILES).
    pass_share, rectify_minutes : chance to pass the test; work after a failed one.
    """

    key: Keys
    calendar: Ints
    positions: Ints
    batch: Ints
    nights: Ints
    window: Ints
    least: Floats
    minutes: Floats
    pass_share: Floats
    rectify_minutes: Ints


@dataclass(frozen=True)
class CrewRows:
    """Crews: people of one trade in one shop, and for each shop its open doors (people < 0).

    Parameters
    ----------
    key, calendar : stable hash; calendar of the shop.
    people : on the roll; -1 for open doors, where any number works at once.
    attendance : share of them present on each working day, shape (crews, working days).
    drawn : 1 when each person is drawn each day; 0: the share itself is there.
    scale : hundredths at work at once for each person present, after what other work takes.
    """

    key: Keys
    calendar: Ints
    people: Floats
    attendance: Floats
    drawn: Ints
    scale: Floats


@dataclass(frozen=True)
class KindRows:
    """Unit kinds. Minutes are worked minutes unless said otherwise.

    Parameters
    ----------
    key, site_key, float_key : stable hashes for units off vehicles, of the site, of the float.
    removal_share, scrap_share : chance to come off; chance that it cannot be made good.
    lot, despatch_days : units that leave together; working days between despatches (0: at once).
    purchase_lot, purchase_minutes : units bought together; their lead time.
    turn : quantiles of the worked minutes from leaving to serviceable, or to asking for a bench
        where there are any; shape (kinds, QUANTILES).
    benches, bench_minutes : places (0: enough); mean time on one [minutes of ``calendar``,
        exponential].
    calendar : of the shop that makes it good.
    site_gap, transit_minutes : mean time between draws of a second site (0: none); time until the
        site's unserviceable unit comes back for it.
    serviceable, unserviceable : units of the float at the start.
    rob_minutes : what robbing one costs each of the two vehicles.
    """

    key: Keys
    site_key: Keys
    float_key: Keys
    removal_share: Floats
    scrap_share: Floats
    lot: Ints
    despatch_days: Ints
    purchase_lot: Ints
    purchase_minutes: Ints
    turn: Floats
    benches: Ints
    bench_minutes: Floats
    calendar: Ints
    site_gap: Floats
    transit_minutes: Ints
    serviceable: Ints
    unserviceable: Ints
    rob_minutes: Ints


@dataclass(frozen=True)
class OwedRows:
    """Unit kinds that vehicles inside at the start were stripped of and have not got again.

    Parameters
    ----------
    vehicle, kind, units : units it carries; each came off with the kind's removal share.
    ago : worked minutes since they came off.
    """

    vehicle: Ints
    kind: Ints
    units: Ints
    ago: Ints


@dataclass(frozen=True)
class UpsetRows:
    """What takes a position or a bench away for a time.

    Parameters
    ----------
    key, stage, kind : stable hash; the one hit, the other -1.
    gap : mean worked minutes from one to the next (exponential); 0: once, at minute ``at``.
    out : minutes out by the clock: mean (exponential), or exact when once.
    at : minute at which it comes when it comes once.
    """

    key: Keys
    stage: Ints
    kind: Ints
    gap: Floats
    out: Floats
    at: Ints


@dataclass(frozen=True)
class FlowNames:
    """What the indices stand for, in words of the works folder."""

    vehicles: tuple[str, ...]
    types: tuple[str, ...]
    assemblies: tuple[str, ...]
    stages: tuple[str, ...]
    crews: tuple[str, ...]
    kinds: tuple[str, ...]
    upsets: tuple[str, ...]


@dataclass(frozen=True)
class FlowTable:
    """A works ready to be run through.

    Parameters
    ----------
    exponential : quantiles of the exponential law of mean 1.
    inside_limit : most vehicles inside at once; 0: no limit.
    robbing : 1 when units may be taken off a waiting piece.
    notes : what had to be assumed, in words.
    live : the start as the record knows it.
    """

    days: Days
    vehicles: VehicleRows
    pieces: PieceRows
    types: TypeRows
    steps: StepRows
    stages: StageRows
    crews: CrewRows
    kinds: KindRows
    owed: OwedRows
    upsets: UpsetRows
    exponential: Floats
    inside_limit: int
    robbing: int
    names: FlowNames
    notes: tuple[str, ...]
    live: LiveRows = NOT_LIVE
