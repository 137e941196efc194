"""Robbing one vehicle for another: what is asked, who could give, what was robbed before."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from pacewright.base.faults import CallError
from pacewright.control.robbing import vehicle_of
from pacewright.control.robbing_register import register
from pacewright.events.scan import code_of, parts_of_code
from pacewright.events.standing import Standing, UnitStanding
from pacewright.events.things import Condition, Piece, Unit
from pacewright.events.units import Robbed
from pacewright.office.desk import Desk
from pacewright.office.errors import NotFoundError
from pacewright.office.sheets.today_made import DayPaper
from pacewright.office.sheets.today_paper import day_paper_with

NOBODY = "not given yet", "nor a second"
MARK = "/"


@dataclass(frozen=True, slots=True)
class Donor:
    """A unit that could be taken.

    Parameters
    ----------
    off : code of what it is on, or was issued for.
    vehicle_id : vehicle that would be robbed.
    """

    unit: str
    off: str
    vehicle_id: str
    state: str
    stage_id: str
    promise: date | None


@dataclass(frozen=True, slots=True)
class RobCase:
    """What is asked for.

    Parameters
    ----------
    kind : unit kind short; ``to`` code of what it is short for; empty: nothing asked.
    unit : code of the unit that would be taken; empty: not chosen yet.
    off : code of what it would be taken off.
    """

    kind: str = ""
    to: str = ""
    unit: str = ""
    off: str = ""


def rob_case(paper: DayPaper, asked: Mapping[str, str]) -> RobCase:
    """What is asked for, by ``for`` (``motor/vehicle:101``) or by ``unit`` and ``to``.

    Parameters
    ----------
    asked : ``off`` may be named as well; else it is what the unit is on, or was issued for.

    Raises
    ------
    NotFoundError : the record does not know it.
    """
    unit_code, to = asked.get("unit", "").strip(), asked.get("to", "").strip()
    if not unit_code:
        kind, _, to = asked.get("for", "").strip().partition(MARK)
        return RobCase(kind, to) if kind and _known_piece(paper, to) else RobCase()
    parts = parts_of_code(unit_code)
    unit = Unit(*parts) if parts else None
    known = paper.standing.units.get(unit) if unit else None
    if unit is None or known is None:
        raise NotFoundError(f"unit {unit_code[:60]}: the record does not know it. Check the code.")
    _known_piece(paper, to)
    off = known.onto or known.issued_to
    told = asked.get("off", "").strip() or (code_of(off) if off else "")
    return RobCase(unit.unit_kind_id, to, code_of(unit), told)


def day_for_robbing(desk: Desk, asked: Mapping[str, str]) -> DayPaper:
    """The day on which unit and vehicle that were asked for are known, if the record knows them."""
    unit = parts_of_code(asked.get("unit", "").strip())
    to = parts_of_code(asked.get("to", "").strip() or asked.get("for", "").partition(MARK)[2])

    def has(now: Standing) -> bool:
        known = unit is None or Unit(*unit) in now.units
        return known and (to is None or Piece(*to) in now.pieces)

    return day_paper_with(desk, has)


def as_waits(desk: Desk, asked: Mapping[str, str]) -> Mapping[str, str]:
    """What is asked for; by ``waiting``, a unit whose robbing waits, in full.

    It is told off what it was asked for, though it may be elsewhere now: that is told then.

    Raises
    ------
    NotFoundError : no robbing of the unit waits.
    """
    code = asked.get("waiting", "").strip()
    if not code:
        return asked
    parts = parts_of_code(code)
    with desk.standing() as standing:
        waits = standing.robbing_asked.get(Unit(*parts)) if parts else None
    if waits is None:
        raise NotFoundError(
            f"unit {code[:60]}: no robbing of it waits. It was booked, refused or withdrawn "
            "meanwhile, or never asked. Look at the shortages."
        )
    return {**asked, "unit": code, "off": code_of(waits.off), "to": code_of(waits.to)}


def _known_piece(paper: DayPaper, code: str) -> bool:
    parts = parts_of_code(code)
    if parts is None or Piece(*parts) not in paper.standing.pieces:
        raise NotFoundError(f"{code[:60]}: the record knows no such vehicle or assembly. Check it.")
    return True


def donors(paper: DayPaper, case: RobCase) -> list[Donor]:
    """Serviceable units of the kind on vehicles inside or issued for others, latest promise first.

    Whether one may be taken is judged when it is chosen.
    """
    to = vehicle_of(paper.standing, Piece(*(parts_of_code(case.to) or ("", ""))))
    rows = [one for one in _donors(paper, case.kind) if one.vehicle_id != to]
    return sorted(rows, key=lambda one: (one.promise or date.max, one.unit), reverse=True)


def _donors(paper: DayPaper, kind: str) -> Iterator[Donor]:
    inside = {one.vehicle_id for one in paper.standing.inside()}
    for unit, known in paper.standing.units.items():
        holder = known.onto or known.issued_to
        if unit.unit_kind_id != kind or holder not in paper.standing.pieces or holder is None:
            continue
        if known.condition is not Condition.SERVICEABLE:
            continue
        number = vehicle_of(paper.standing, holder)
        if number in inside:
            yield _donor(paper, known, holder, number)


def _donor(paper: DayPaper, known: UnitStanding, holder: Piece, number: str) -> Donor:
    state = "fitted" if known.onto else "issued, not fitted"
    if known.onto and known.fitted_at is None:
        state = "on it since before it came: it has run"
    where = paper.standing.pieces[holder].stage_id
    promise = paper.standing.vehicles[number].promise if number in paper.standing.vehicles else None
    return Donor(code_of(known.unit), code_of(holder), number, state, where, promise)


def event_of(case: RobCase, now: datetime, names: tuple[str, str] = NOBODY) -> Robbed:
    """The robbing as it would be booked.

    Raises
    ------
    CallError : unit or vehicle is not named, or the unit is on no vehicle.
    """
    unit, off, to = (parts_of_code(code) for code in (case.unit, case.off, case.to))
    if unit is None or to is None:
        raise CallError(
            "robbing: unit and vehicle are not both named. A robbing takes one unit for one "
            "vehicle. Choose both on the page of shortages."
        )
    if off is None:
        raise CallError(
            f"unit {case.unit}: it is on no vehicle and issued for none. Robbing takes a unit off "
            "another vehicle. Issue it instead."
        )
    return Robbed(now, Unit(*unit), Piece(*off), Piece(*to), *names)


def robbed_before(paper: DayPaper) -> tuple[object, ...]:
    """The register of robbings, the latest first."""
    return register(paper.works, paper.standing, paper.today.now)
