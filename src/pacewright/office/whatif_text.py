"""A change made by filling in a form, written as the text of a change file."""

import json
from collections.abc import Iterator, Mapping
from datetime import date

from pacewright.base.faults import CallError
from pacewright.office.whatif_parts import Cell, Part, Rows, parts_of
from pacewright.works import Works


def change_text(works: Works, cells: Mapping[str, str], name: str) -> str:
    """The form as the text of a change file.

    Parameters
    ----------
    cells : what was filled in; ``more`` is text of a change file, put behind the rest.
    name : of the change.

    Raises
    ------
    CallError : nothing is filled in, or a part is half filled in; every fault, a line each.
    """
    rows: Rows = {}
    faults: list[str] = []
    for part in parts_of(works):
        filled = {one.name: cells.get(one.name, "").strip() for one in part.fields}
        if not any(filled.values()):
            continue
        wrong = list(_wrong(part, filled))
        faults += wrong
        if not wrong:
            part.write(works, filled, rows)
    more = _nameless(cells.get("more", ""))
    if not faults and not (rows or more):
        faults.append("change: nothing differs. Fill in one part at least.")
    if faults:
        raise CallError("\n".join(faults))
    body = [line for (table, _), row in rows.items() for line in ("", f"[[{table}]]", *_cells(row))]
    return "\n".join([f"name = {_text(name)}", *body, *(["", more] if more else []), ""])


def _nameless(more: str) -> str:
    """Pasted text of a change file without its name: the form has one of its own."""
    head, mark, rest = more.replace("\r\n", "\n").partition("[")
    kept = [line for line in head.split("\n") if not line.lstrip().startswith("name")]
    return ("\n".join(kept) + mark + rest).strip()


def _wrong(part: Part, filled: Mapping[str, str]) -> Iterator[str]:
    for one in part.fields:
        said, where = filled[one.name], f"{part.heading}, {one.label}"
        if not said:
            if one.needed:
                yield f"{where}: is blank. A part is filled in whole or not at all. Fill it in."
        elif one.sort == "number" and _number(said) is None:
            yield f"{where}: {said[:40]!r} found. A number is wanted. Correct it."
        elif one.sort == "date" and _date(said) is None:
            yield f"{where}: {said[:40]!r} found. A date such as 2027-03-01 is wanted. Correct it."
        elif one.sort == "choice" and said not in [sent for sent, _ in one.choices]:
            yield f"{where}: {said[:40]!r} found. It is not in the list. Choose from it."


# -- how it is written ------------------------------------------------------------------


def _cells(row: Mapping[str, Cell]) -> list[str]:
    return [f"{name} = {_written(cell)}" for name, cell in row.items()]


def _written(cell: Cell) -> str:
    if isinstance(cell, str):
        return _text(cell)
    if isinstance(cell, bool):
        return "true" if cell else "false"
    return cell.isoformat() if isinstance(cell, date) else str(cell)


def _text(said: str) -> str:
    # A basic string of TOML escapes as JSON does; DEL alone TOML wants escaped and JSON does not.
    return json.dumps(said, ensure_ascii=False).replace("\x7f", "\\u007f")


def _number(said: str) -> float | None:
    try:
        number = float(said)
    except ValueError:
        return None
    return number if abs(number) < 1e12 else None


def _date(said: str) -> date | None:
    try:
        return date.fromisoformat(said)
    except ValueError:
        return None
