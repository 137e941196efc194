"""What one kind of invented works is made of: the tables that lie beside this module."""

import csv
import tomllib
from dataclasses import dataclass, fields
from functools import cached_property
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any, TypeVar

from pacewright.fleet.tables import Depot, VehicleType
from pacewright.parts.tables import Fit, Operation, TestItem, UnitKind
from pacewright.shops.tables import Assembly, Plant, PlantLoad, Shop, Stage, Trade, Upset

KINDS = ("trolleybus", "tramway")
"""The kinds of works that can be invented."""

Row = TypeVar("Row")
Cells = dict[str, str]


class UnknownKindError(ValueError):
    """There is no invented works of that kind."""

    def __init__(self, kind: str) -> None:
        super().__init__(
            f"kind of works '{kind}': only {' and '.join(KINDS)} can be invented. Choose one."
        )


@dataclass(frozen=True)
class Catalogue:
    """The tables of one kind, before they are scaled to a number of vehicles.

    Columns of the table models stand as in a works folder. A few more columns say how the fleet
    is drawn (``fleet_share``, ``distance_a_day``), and ``gearing.csv`` says where capacity or
    float departs from need on purpose.
    """

    folder: Traversable

    @cached_property
    def kind(self) -> dict[str, Any]:
        """The settings of ``kind.toml``."""
        return tomllib.loads(self.folder.joinpath("kind.toml").read_text(encoding="utf-8"))

    def cells(self, table: str) -> list[Cells]:
        """The rows of one table as text, blank cells left out."""
        text = self.folder.joinpath(f"{table}.csv").read_text(encoding="utf-8")
        return [
            {name: cell for name, cell in row.items() if cell}
            for row in csv.DictReader(text.splitlines())
        ]

    def rows(self, model: type[Row], **scaled: Any) -> tuple[Row, ...]:
        """The rows of the table of ``model``; ``scaled`` fills columns the catalogue leaves out."""
        known = {one.name for one in fields(model)}  # type: ignore[arg-type]
        return tuple(
            model(**scaled, **{name: cell for name, cell in row.items() if name in known})
            for row in self.cells(model.TABLE)  # type: ignore[attr-defined]
        )

    def shares(self, table: str, column: str) -> list[float]:
        """A column of numbers that only the generator reads."""
        return [float(row[column]) for row in self.cells(table)]

    @cached_property
    def gearing(self) -> dict[tuple[str, str], float]:
        """(table, key) -> level, where it departs from the usual on purpose.

        For floats the level is standard deviations held above the mean of the pipeline, for
        benches their number over the mean number in use, for people, positions and plant a share
        of what is usual for the pace.
        """
        return {(row["table"], row["key"]): float(row["level"]) for row in self.cells("gearing")}

    @cached_property
    def types(self) -> tuple[VehicleType, ...]:
        return self.rows(VehicleType)

    @cached_property
    def depots(self) -> tuple[Depot, ...]:
        return self.rows(Depot)

    @cached_property
    def shops(self) -> tuple[Shop, ...]:
        return self.rows(Shop)

    @cached_property
    def trades(self) -> tuple[Trade, ...]:
        return self.rows(Trade)

    @cached_property
    def assemblies(self) -> tuple[Assembly, ...]:
        return self.rows(Assembly)

    @cached_property
    def stages(self) -> tuple[Stage, ...]:
        """The stages, each with one position."""
        return self.rows(Stage, positions=1)

    @cached_property
    def unit_kinds(self) -> tuple[UnitKind, ...]:
        """The unit kinds, without benches."""
        return self.rows(UnitKind)

    @cached_property
    def fits(self) -> tuple[Fit, ...]:
        return self.rows(Fit)

    @cached_property
    def operations(self) -> tuple[Operation, ...]:
        return self.rows(Operation)

    @cached_property
    def plant(self) -> tuple[Plant, ...]:
        """Ovens, booths and tanks, one of each."""
        return self.rows(Plant, how_many=1)

    @cached_property
    def plant_loads(self) -> tuple[PlantLoad, ...]:
        return self.rows(PlantLoad)

    @cached_property
    def upsets(self) -> tuple[Upset, ...]:
        return self.rows(Upset)

    @cached_property
    def test_items(self) -> tuple[TestItem, ...]:
        return self.rows(TestItem)


def catalogue(kind: str) -> Catalogue:
    """The catalogue of a kind of works.

    Raises
    ------
    UnknownKindError : ``kind`` is none of ``KINDS``.
    """
    if kind not in KINDS:
        raise UnknownKindError(kind)
    return Catalogue(files("pacewright.invent").joinpath(kind))
