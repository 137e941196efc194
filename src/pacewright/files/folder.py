"""One folder: ``works.toml`` and a CSV file for each table."""

from pathlib import Path

from pacewright.base.faults import Fault
from pacewright.base.settings import Settings
from pacewright.files.csvfile import read_csv
from pacewright.files.settings import read_toml, toml_row
from pacewright.files.sheet import Sheet, UnreadableError


class Folder:
    """A works folder; ``names`` are the files in it that hold settings or a table.

    Raises
    ------
    UnreadableError : the folder cannot be listed.
    """

    settings_name = "works.toml"

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            every = sorted(one.name for one in path.iterdir())
        except OSError as error:
            found = f"cannot be listed ({error.strerror or error})"
            rule, remedy = "The folder must be readable.", "See to its permissions."
            raise UnreadableError(Fault(path.name, 0, "", found, rule, remedy)) from error
        self.names = tuple(name for name in every if name.lower().endswith((".csv", ".toml")))

    def name_of(self, table: str) -> str:
        """The name under which a table is kept."""
        return f"{table}.csv"

    def file(self, name: str) -> str:
        """How faults call what is kept under ``name``."""
        return name

    def settings(self) -> Settings:
        """The settings of the works."""
        return read_toml(self.path / self.settings_name)

    def setting_row(self, name: str) -> int:
        """Line in which a setting stands."""
        return toml_row(self.path / self.settings_name, name)

    def sheet(self, table: str, headings: tuple[str, ...]) -> Sheet:
        """The cells of a table that may have ``headings``."""
        return read_csv(self.path / self.name_of(table), headings)
