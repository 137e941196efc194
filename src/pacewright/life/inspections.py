"""How often each operation proved to be needed, of the pieces and units looked at."""

from collections import defaultdict
from datetime import datetime
from typing import NamedTuple

from pacewright.events.gate import Released
from pacewright.events.stages import Found
from pacewright.events.things import Piece, Unit, Verdict
from pacewright.events.units import Reconditioned, Scrapped, UnitFound
from pacewright.life.cells import Cell, Counted
from pacewright.life.whereabouts import Heard, Whereabouts
from pacewright.works import Works


class _Looked(NamedTuple):
    needed: bool
    at: datetime
    in_table: bool = False


class Inspections:
    """Findings of operations; the last of each item in a visit counts, once.

    Parameters
    ----------
    works : its operations; those done always tell nothing and are left out.
    where : which vehicle a piece belongs to.
    """

    def __init__(self, works: Works, where: Whereabouts) -> None:
        self.counted: dict[Cell, Counted] = {}
        self._cell = {
            one.operation_id: Cell("operations", one.operation_id, "occurrence_share")
            for one in works.operations
            if not one.must_change
        }
        self._where = where
        self._pieces: defaultdict[str, dict[tuple[Piece, str], _Looked]] = defaultdict(dict)
        self._units: defaultdict[Unit, dict[str, _Looked]] = defaultdict(dict)

    def heard(self) -> Heard:
        """What it listens to."""
        return {
            Found: self._found,
            UnitFound: self._unit_found,
            Released: self._released,
            Reconditioned: self._unit_done,
            Scrapped: self._unit_done,
        }

    def forget(self, cell: Cell) -> None:
        """What was counted is in the table now."""
        self.counted.pop(cell, None)
        for visit in self._pieces.values():
            for key in [one for one in visit if one[1] == cell.row]:
                visit[key] = visit[key]._replace(in_table=True)
        for looked in self._units.values():
            if cell.row in looked:
                looked[cell.row] = looked[cell.row]._replace(in_table=True)

    def needs(self, piece: Piece, operation_id: str) -> bool | None:
        """Whether an operation was found needed on a piece in this visit; None: not looked at."""
        looked = self._pieces.get(self._where.vehicle_of(piece))
        if not looked:
            return None
        own = looked.get((piece, operation_id))
        if own is None:
            whole = Piece("vehicle", self._where.vehicle_of(piece))
            own = looked.get((whole, operation_id))
        return None if own is None else own.needed

    def unit_needs(self, unit: Unit, operation_id: str) -> bool | None:
        """Whether an operation was found needed on a unit; None: not looked at."""
        one = self._units.get(unit, {}).get(operation_id)
        return None if one is None else one.needed

    def close(self) -> None:
        """What was found on vehicles and units that are not done yet counts as well."""
        for vehicle in tuple(self._pieces):
            self._count(self._pieces.pop(vehicle))
        for unit in tuple(self._units):
            self._count_unit(unit)

    def _found(self, event: Found) -> None:
        if event.item_id in self._cell:
            visit = self._pieces[self._where.vehicle_of(event.piece)]
            seen = _Looked(event.verdict is not Verdict.USE, event.at)
            visit[event.piece, event.item_id] = seen

    def _unit_found(self, event: UnitFound) -> None:
        if event.item_id in self._cell:
            seen = _Looked(event.verdict is not Verdict.USE, event.at)
            self._units[event.unit][event.item_id] = seen

    def _released(self, event: Released) -> None:
        if event.vehicle_id in self._pieces:
            self._count(self._pieces.pop(event.vehicle_id))

    def _unit_done(self, event: Reconditioned | Scrapped) -> None:
        if event.unit in self._units:
            self._count_unit(event.unit)

    def _count(self, visit: dict[tuple[Piece, str], _Looked]) -> None:
        for (_, item), seen in visit.items():
            self._add(item, seen)

    def _count_unit(self, unit: Unit) -> None:
        for item, seen in self._units.pop(unit).items():
            self._add(item, seen)

    def _add(self, item: str, seen: _Looked) -> None:
        if seen.in_table:
            return
        cell = self._cell[item]
        counted = self.counted.get(cell)
        if counted is None:
            counted = self.counted[cell] = Counted()
        counted.add(seen.needed, seen.at)
