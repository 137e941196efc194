"""Strip inspection of one vehicle: its scope, and the form to fill in."""

from datetime import datetime
from pathlib import Path

from pacewright.base.faults import CallError
from pacewright.events.standing import Phase, Standing
from pacewright.plans.scope import Scope
from pacewright.works import Works


def vehicle_scope(works_path: Path, vehicle_id: str, database: str = "") -> tuple[Scope, Works]:
    """The scope of a vehicle inside, by the record as it stands; and the works, for its names.

    Raises
    ------
    WorksFaultyError : the works cannot be read; with every fault.
    CallError : there is no record, or the vehicle is not inside.
    """
    from pacewright.control.scope import scope_of

    works, now = _opened(works_path, vehicle_id, database)
    return scope_of(works, now, vehicle_id), works


def scopes_inside(works_path: Path, database: str = "") -> tuple[Scope, ...]:
    """The scope of every vehicle inside, those grown most against the standard first.

    Raises
    ------
    WorksFaultyError : the works cannot be read; with every fault.
    CallError : there is no record.
    """
    from pacewright.control.scope import scope_of

    works, now = _read(works_path, database)
    types = {one.type_id for one in works.vehicle_types}
    inside = [one.vehicle_id for one in now.inside() if one.type_id in types]
    scopes = [scope_of(works, now, number) for number in inside]
    return tuple(sorted(scopes, key=lambda one: -one.total.grown_hours))


def inspection_form(
    works_path: Path, vehicle_id: str, at: datetime, database: str = ""
) -> tuple[bytes, int]:
    """The daily sheet ``inspections`` (CSV) with a row for each item to inspect; and how many.

    Verdicts of what must be changed are filled in, the others blank; a row left blank tells
    nothing when the sheet is imported.

    Parameters
    ----------
    at : when the inspection is done; stands in each row.

    Raises
    ------
    WorksFaultyError : the works cannot be read; with every fault.
    CallError : there is no record, or the vehicle is not inside.
    """
    from pacewright.control.scope_form import form_of
    from pacewright.files.daily_template import filled

    works, now = _opened(works_path, vehicle_id, database)
    lines = form_of(works, now, vehicle_id)
    rows = [
        {
            "date": f"{at:%Y-%m-%d}",
            "time": f"{at:%H:%M}",
            "piece": line.piece,
            "item_id": line.item_id,
            "item": line.name + limits_said(line.least, line.most, line.reading_unit),
            "verdict": line.verdict,
            "limit": _one_limit(line.least, line.most),
            "reading_unit": line.reading_unit,
        }
        for line in lines
    ]
    return filled("inspections", rows), len(rows)


def limits_said(least: float | None, most: float | None, unit: str) -> str:
    """Limits in words, to stand behind a name.

    Examples
    --------
    >>> limits_said(2.0, 4.0, "mm"), limits_said(None, 4.0, "mm"), limits_said(None, None, "")
    (' (2 to 4 mm)', ' (at most 4 mm)', '')
    """
    if least is not None and most is not None:
        return f" ({least:g} to {most:g} {unit})"
    if least is not None:
        return f" (at least {least:g} {unit})"
    return f" (at most {most:g} {unit})" if most is not None else ""


def _one_limit(least: float | None, most: float | None) -> str:
    # With two limits the inspector says which one he held it against.
    given = [one for one in (least, most) if one is not None]
    return f"{given[0]:g}" if len(given) == 1 else ""


def _opened(works_path: Path, vehicle_id: str, database: str) -> tuple[Works, Standing]:
    works, now = _read(works_path, database)
    vehicle = now.vehicles.get(vehicle_id)
    if vehicle is None or vehicle.phase is not Phase.INSIDE:
        found = "the record does not know it" if vehicle is None else f"it is {vehicle.phase.value}"
        raise CallError(
            f"vehicle {vehicle_id}: {found}. A scope is of a vehicle inside the works. "
            "Check the number, or record first that it arrived and was admitted."
        )
    return works, now


def _read(works_path: Path, database: str) -> tuple[Works, Standing]:
    from pacewright.office.folder import open_works
    from pacewright.office.record import has_record, open_record

    works, _ = open_works(works_path)
    if not has_record(works_path, database):
        raise CallError(
            f"{works_path}: no record yet. A scope is made of what inspection found. "
            "Record what happened first (pacewright book, pacewright import)."
        )
    with open_record(works_path, database, create=False, read_only=True) as ledger:
        return works, ledger.standing()
