"""A fault found in what the user gave: where, what was found, the rule, the remedy."""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches


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
    """A fault as shown to the user.

    Parameters
    ----------
    row : as the spreadsheet counts; of TOML text the line; 0: the whole file.
    """

    file: str
    row: int
    column: str
    found: str
    rule: str
    remedy: str

    def __str__(self) -> str:
        place = self.file
        if self.row:
            # A table is counted by rows, as a spreadsheet does; text by lines, as an editor does.
            place += f" {'line' if self.file.endswith('.toml') else 'row'} {self.row}"
        if self.column:
            place += f", {self.column}"
        return f"{place}: {self.found}. {self.rule} {self.remedy}"


class WorksFaultyError(Exception):
    """The works folder cannot be planned as it stands; ``faults`` says all that is wrong."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(sorted(set(faults)))
        super().__init__("\n".join(map(str, self.faults)))


class CallError(Exception):
    """The call itself is wrong: a path that cannot be written, a record that cannot be opened."""


class NameHint:
    """The known name nearest to one that is not known, as an end to a remedy.

    Parameters
    ----------
    known : the names that would do.
    looks : how many unknown names are compared closely; comparing all of very many is slow.
    """

    def __init__(self, known: Iterable[str], looks: int = 20) -> None:
        self._known = list(known)
        self._folded = {name.casefold(): name for name in self._known}
        self._looks = looks if len(self._known) <= 3000 else 0

    def __call__(self, name: str) -> str:
        """``" Is 'body' meant?"``, or nothing when no known name is near."""
        near = self._folded.get(name.casefold())
        if near is None and self._looks > 0:
            self._looks -= 1
            near = next(iter(get_close_matches(name, self._known, 1, 0.6)), None)
        return f" Is '{near}' meant?" if near else ""
