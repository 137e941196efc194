"""Room in the memory for what cannot be counted before the run."""

from dataclasses import dataclass, replace

import numpy as np

from pacewright.simulate.table import FlowTable


@dataclass(frozen=True)
class Room:
    """Room for what cannot be counted beforehand.

    Parameters
    ----------
    due : things due at once.
    units : units that ever wait for a lot or a bench.
    site : units that the second site waits for at once.
    rows : events kept.
    """

    due: int
    units: int
    site: int
    rows: int

    @classmethod
    def guessed(cls, table: FlowTable) -> "Room":
        """Room that is enough for all but strange works."""
        steps, vehicles = table.steps, len(table.vehicles.key)
        pieces, parts = len(table.pieces.vehicle), most_parts(table)
        rows_a_piece = 2 * len(steps.stage) / max(1, len(table.types.first_step)) * (5 + 2 * parts)
        units = int(steps.strip_units.sum()) * vehicles + int(table.kinds.unserviceable.sum())
        return cls(
            due=pieces * parts + len(table.crews.key) + 4096,
            units=min(units, 1 << 15) + 64,
            site=1024,
            rows=int(vehicles * rows_a_piece) + 3 * units + 4096,
        )

    def doubled(self) -> "Room":
        """Twice as much of what ran out, whatever it was."""
        return replace(self, due=2 * self.due, units=2 * self.units, site=2 * self.site)

    def with_rows(self, rows: int) -> "Room":
        """The same with room for so many events."""
        return replace(self, rows=rows)


def most_parts(table: FlowTable) -> int:
    """Most crews of a step."""
    return int(np.diff(table.steps.need_first).max(initial=1))


def most_orders(table: FlowTable) -> int:
    """Most orders that vehicles can have open at once: every position waits for every kind."""
    most = np.zeros(len(table.stages.key), np.int64)
    np.maximum.at(most, table.steps.stage, np.diff(table.steps.fit_first))
    return int((most * table.stages.positions).sum()) + 1
