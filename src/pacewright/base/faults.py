"""A fault found in what the user gave: where, what was found, the rule, the remedy."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Finding:
    """A fault in a table, before it is known which file and row the table came from.

    Parameters
    ----------
    table : name of the table (``"stages"``), or ``"works.toml"`` for the settings.
    index : place of the row in the table, first row 0; None when no one row is to blame.
    column : name of the column or setting; empty when the whole row or table is meant.
    found : what stands there.
    rule : what must hold.
    remedy : what the user should do.
    """

    table: str
    index: int | None
    column: str
    found: str
    rule: str
    remedy: str


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """A fault as shown to the user; ``row`` counts as the spreadsheet does, 0 = whole file."""

    file: str
    row: int
    column: str
    found: str
    rule: str
    remedy: str

    def __str__(self) -> str:
        place = self.file
        if self.row:
            place += f" row {self.row}"
        if self.column:
            place += f", {self.column}"
        return f"{place}: {self.found}. {self.rule} {self.remedy}"


class WorksFaultyError(Exception):
    """The works folder cannot be planned as it stands; ``faults`` says all that is wrong."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(sorted(set(faults)))
        super().__init__("\n".join(map(str, self.faults)))
