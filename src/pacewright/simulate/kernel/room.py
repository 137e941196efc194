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
        parts = most_parts(table)
        rows_a_vehicle = 2 * len(steps.stage) / max(1, len(table.types.first_step))
        units = _units_waiting(table) + len(table.live.away.kind)
        return cls(
            due=len(table.pieces.vehicle) * parts + len(table.crews.key) + units // 2 + 4096,
            units=units + 64,
            site=1024,
            rows=int(vehicles * rows_a_vehicle * (5 + 2 * parts)) + 3 * units + 4096,
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
    """Most orders that vehicles can have open at once: every position waits for every kind.

    A record may know more pieces on the positions of a stage than there are.
    """
    most = np.zeros(len(table.stages.key), np.int64)
    np.maximum.at(most, table.steps.stage, np.diff(table.steps.fit_first))
    starts = table.live.starts.step
    known = np.bincount(table.steps.stage[starts[starts >= 0]], minlength=len(most))
    places = np.minimum(table.stages.positions + known, len(table.pieces.vehicle))
    return int((most * places).sum()) + int((table.live.starts.late > 0).sum()) + 1


def _units_waiting(table: FlowTable) -> int:
    """Units that may have to wait for their lot, a despatch or a bench in the whole run."""
    kinds, steps, days = table.kinds, table.steps, table.days
    waits = ((kinds.lot > 1) | (kinds.despatch_days > 0)).astype(np.int64) + (kinds.benches > 0)
    row_step = np.repeat(np.arange(len(steps.stage)), np.diff(steps.strip_first))
    row_type = np.searchsorted(table.types.first_step, row_step, side="right") - 1
    vehicles = np.bincount(table.vehicles.type, minlength=len(table.types.first_step))
    off_vehicles = int((steps.strip_units * vehicles[row_type] * waits[steps.strip_kind]).sum())
    worked = len(days.workday) * int(days.minutes[0])
    gaps = kinds.site_gap[kinds.site_gap > 0]
    # Draws of a second site scatter: twice their mean is enough but for very few.
    off_site = int((2 * worked / gaps + 100).sum() * waits.max(initial=0))
    return off_vehicles + off_site + int((kinds.unserviceable * waits).sum())
