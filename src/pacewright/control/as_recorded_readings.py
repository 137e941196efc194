"""Odometer readings of the table and of the record, side by side."""

from collections.abc import Iterator, Sequence
from datetime import date

from pacewright.control.as_recorded_words import some
from pacewright.events.standing import Standing
from pacewright.fleet.tables import Reading, Vehicle
from pacewright.works import Works


def readings_as_recorded(
    works: Works, vehicles: Sequence[Vehicle], standing: Standing, today: date
) -> tuple[tuple[Reading, ...], tuple[str, ...]]:
    """Readings of the record beside those of the table, and notes of what is left out.

    Parameters
    ----------
    vehicles : as they stand; a reading of no vehicle of the table is left out.
    today : later readings are not yet known.

    Returns
    -------
    The readings of the table, then those of the record by vehicle and day, the last of each day.
    Of two of the same day that of the record holds. One of the record that would make an odometer
    of the table fall is left out, and told.
    """
    in_table: dict[str, list[tuple[date, float]]] = {}
    for row in works.readings:
        in_table.setdefault(row.vehicle_id, []).append((row.read_on, row.odometer))
    added: list[Reading] = []
    fell: list[str] = []
    for one in vehicles:
        known = standing.vehicles.get(one.vehicle_id)
        if known is None or not known.odometer:
            continue
        last_of_day = {at.date(): reading for at, reading in known.odometer if at.date() <= today}
        table = [(day, x) for day, x in in_table.get(one.vehicle_id, ()) if day not in last_of_day]
        sound = [Reading(one.vehicle_id, *pair) for pair in _never_falls(table, last_of_day)]
        added += sound
        if len(sound) < len(last_of_day):
            fell.append(one.vehicle_id)
    replaced = {(row.vehicle_id, row.read_on) for row in added}
    kept = [row for row in works.readings if (row.vehicle_id, row.read_on) not in replaced]
    return (*kept, *added), tuple(_notes(added, fell))


def _never_falls(
    table: Sequence[tuple[date, float]], recorded: dict[date, float]
) -> Iterator[tuple[date, float]]:
    for day, reading in recorded.items():
        if all((reading >= x) if before <= day else (reading <= x) for before, x in table):
            yield day, reading


def _notes(added: Sequence[Reading], fell: Sequence[str]) -> Iterator[str]:
    if added:
        yield f"{len(added)} odometer readings come from the record."
    if fell:
        yield (
            f"Readings of the record that would make an odometer fall beside readings.csv are left "
            f"out: {some(fell)}. Correct the wrong one."
        )
