"""Write an invented works to a folder or a workbook."""

from pathlib import Path

from pacewright.base.progress import Progress, silent
from pacewright.office.errors import CallError
from pacewright.works import Works


def make_example(
    where: Path,
    kind: str,
    size: tuple[int | None, int],
    workbook: bool,
    progress: Progress = silent,
) -> Works:
    """Invent a works and write it to ``where``, whole or not at all.

    Parameters
    ----------
    where : folder to write (or .xlsx file, with ``workbook``).
    kind : one of the kinds that can be invented.
    size : number of vehicles (None: as usual for the kind), and the seed that makes the same works
        again.

    Raises
    ------
    CallError : unknown kind, or ``where`` cannot be written.
    """
    from pacewright.files.write import write_workbook, write_works
    from pacewright.invent.works import invented_works

    kind, vehicles, seed = kind_and_size(kind, size)
    progress("inventing", 0.0)
    works = invented_works(kind, vehicles, seed)
    progress("writing", 0.0)
    try:
        (write_workbook if workbook else write_works)(works, where)
    except OSError as error:
        raise CallError(f"{where}: {error}. Nothing was written; choose another place.") from error
    return works


def kind_and_size(kind: str, size: tuple[int | None, int]) -> tuple[str, int, int]:
    """Kind, vehicles and seed, the usual number of vehicles where none is given.

    Raises
    ------
    CallError : unknown kind.
    """
    from pacewright.invent.works import USUAL_VEHICLES

    if kind not in USUAL_VEHICLES:
        kinds = ", ".join(USUAL_VEHICLES)
        raise CallError(f"--kind {kind}: no such works. Choose one of: {kinds}.")
    vehicles, seed = size
    return kind, vehicles or USUAL_VEHICLES[kind], seed
