"""Price a robbing, book it on two approvals, show the register."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pacewright.base.progress import Progress, silent
from pacewright.office.as_it_stands import as_it_stands
from pacewright.office.errors import CallError, NoPlanError

if TYPE_CHECKING:
    from pacewright.events.things import Piece, Unit
    from pacewright.events.units import Robbed
    from pacewright.ledger.entry import Answer
    from pacewright.plans.robbing import RobberyEntry, RobCost

_WHAT_FOR = "What is robbed is on the record."
_NOBODY = ("first approval not given", "second approval not given")


@dataclass(frozen=True, slots=True)
class RobAsked:
    """What is to be robbed, by scanned codes.

    Parameters
    ----------
    unit, off, to : codes, ``motor:M-7``, ``vehicle:1043``, ``vehicle:1050``.
    approvals : names of those who approve; none: only the cost is asked; two: it is booked.
    reason : why; needed to book.
    by : who writes it down; empty: the first who approves.
    database, runs, seed, threads : record, replications, chance, threads of this machine.
    """

    unit: str
    off: str
    to: str
    approvals: tuple[str, ...] = ()
    reason: str = ""
    by: str = ""
    database: str = ""
    runs: int = 200
    seed: int = 1
    threads: int | None = None


def robbed(
    path: Path, asked: RobAsked, progress: Progress = silent
) -> "tuple[RobCost, Answer | None]":
    """The cost, and what the record said when it was booked.

    Raises
    ------
    WorksFaultyError : with every fault found in the files.
    CallError : no record; a code that cannot be read; one approval, or two of the same person.
    NoPlanError : the works cannot be run through.
    """
    from pacewright.control.as_recorded import as_recorded
    from pacewright.control.door import door_of
    from pacewright.control.promises import Forecaster, Moment, PromiseQuestion
    from pacewright.control.robbing import rob_cost
    from pacewright.events.units import Robbed
    from pacewright.office.promising import call_in_programme
    from pacewright.simulate.chains import NoChainError
    from pacewright.simulate.compile_flow import NoPaceError
    from pacewright.simulate.executors import threads

    _refuse_wrong(asked)
    progress("reading the record", 0.0)
    works, standing, now = as_it_stands(path, _WHAT_FOR, asked.database)
    unit, off, to = _unit(asked.unit), _piece("--off", asked.off), _piece("--to", asked.to)
    first, second = asked.approvals or _NOBODY
    event = Robbed(now, unit, off, to, first, second, asked.reason)
    at = Moment(as_recorded(works, standing, now).works, standing, now)
    try:
        with threads(asked.threads) as workers:
            question = PromiseQuestion(runs=asked.runs, seed=asked.seed)
            forecaster = Forecaster(question, call_in_programme(at.works, progress), workers)
            cost = rob_cost(at, event, door_of(works), forecaster, progress)
    except (NoChainError, NoPaceError) as error:
        raise NoPlanError(str(error)) from error
    if not asked.approvals or cost.refused:
        return cost, None
    return cost, _booked(path, event, asked)


def robbery_register(path: Path, database: str = "") -> "tuple[RobberyEntry, ...]":
    """Every robbing of the record, the latest first.

    Raises
    ------
    WorksFaultyError, CallError : as ``robbed``.
    """
    from pacewright.control.robbing_register import register

    works, standing, now = as_it_stands(path, _WHAT_FOR, database)
    return register(works, standing, now)


def _refuse_wrong(asked: RobAsked) -> None:
    names = [" ".join(one.split()).casefold() for one in asked.approvals]
    if names and (len(names) != 2 or len(set(names)) != 2 or not all(names)):
        raise CallError(
            f"--approve: {len(set(names))} approval(s) by different people given. Robbing needs "
            "two, by name, of two people. Give --approve twice, or leave it out to see the cost."
        )
    if names and not asked.reason.strip():
        raise CallError("--reason: not given. A robbing is booked with its reason. Give it.")


def _unit(code: str) -> "Unit":
    from pacewright.events.scan import parts_of_code
    from pacewright.events.things import Unit

    parts = parts_of_code(code)
    if parts is None:
        raise CallError(f"--unit {code}: no code. A unit is named kind:serial, as motor:M-7.")
    return Unit(*parts)


def _piece(option: str, code: str) -> "Piece":
    from pacewright.events.scan import parts_of_code
    from pacewright.events.things import Piece

    parts = parts_of_code(code)
    if parts is None:
        raise CallError(f"{option} {code}: no code. Name vehicle:number, or assembly:serial.")
    return Piece(*parts)


def _booked(path: Path, event: "Robbed", asked: RobAsked) -> "Answer":
    from pacewright.office.booking import By, book, entry_of

    by = By(asked.by or asked.approvals[0])
    (answer,) = book(path, [entry_of(event, by)], asked.database)
    return answer
