"""A standing written as JSON and read back equal, so that a long record need not be folded anew."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date

from pydantic import TypeAdapter

from pacewright.events.links import Link, Links, Thing
from pacewright.events.standing import (
    OpenOrder,
    PieceStanding,
    Standing,
    UnitStanding,
    VehicleStanding,
)
from pacewright.events.things import Piece, Unit
from pacewright.events.units import Robbed, RobbingAsked

FORM = 4
"""Grows when what is kept changes; a snapshot of another form is folded anew, never guessed at."""


class StaleSnapshotError(ValueError):
    """The snapshot was written by another version; fold the record anew."""


@dataclass(slots=True)
class _Written:
    form: int
    events: int
    vehicles: list[VehicleStanding]
    pieces: list[PieceStanding]
    units: list[UnitStanding]
    piece_links: list[tuple[Piece, list[Link]]]
    unit_links: list[tuple[Unit, list[Link]]]
    occupied: list[tuple[str, int, list[Piece]]]
    out_of_use: list[tuple[str, int]]
    attended: list[tuple[str, str, date, float, float]]
    robberies: list[Robbed]
    orders: dict[str, list[OpenOrder]]
    bought: dict[str, int]
    robbing_asked: list[RobbingAsked]


def write_snapshot(now: Standing) -> bytes:
    """The standing as JSON; equal standings that came about alike give equal bytes."""
    return _adapter().dump_json(
        _Written(
            FORM,
            now.events,
            list(now.vehicles.values()),
            list(now.pieces.values()),
            list(now.units.values()),
            list(now.piece_links.of.items()),
            list(now.unit_links.of.items()),
            [(*place, there) for place, there in now.occupied.items()],
            sorted(now.out_of_use),
            [(*key, *attended) for key, attended in now.attended.items()],
            now.robberies,
            now.orders,
            now.bought,
            list(now.robbing_asked.values()),
        )
    )


def read_snapshot(written: bytes) -> Standing:
    """The standing that ``write_snapshot`` wrote.

    Raises
    ------
    StaleSnapshotError : it is no snapshot of this version.
    """
    with _no_collecting():
        try:
            read = _adapter().validate_json(written)
        except ValueError as error:
            raise StaleSnapshotError(f"snapshot unreadable: {str(error)[:200]}") from None
        if read.form != FORM:
            found = f"snapshot of form {read.form}; this version reads form {FORM}"
            raise StaleSnapshotError(found)
        return _standing(read)


@contextmanager
def _no_collecting() -> Iterator[None]:
    # Nothing of what is built here is rubbish; looking for some would double the time.
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()


def _standing(read: _Written) -> Standing:
    return Standing(
        read.events,
        {one.vehicle_id: one for one in read.vehicles},
        {one.piece: one for one in read.pieces},
        {one.unit: one for one in read.units},
        _links(read.piece_links),
        _links(read.unit_links),
        {(stage_id, position): there for stage_id, position, there in read.occupied},
        set(read.out_of_use),
        {(shop, trade, day): (people, hours) for shop, trade, day, people, hours in read.attended},
        read.robberies,
        read.orders,
        read.bought,
        {one.unit: one for one in read.robbing_asked},
    )


def _adapter() -> TypeAdapter[_Written]:
    return TypeAdapter(_Written)


def _links(written: list[tuple[Thing, list[Link]]]) -> Links[Thing]:
    links: Links[Thing] = Links()
    for thing, chain in written:
        links.of[thing] = chain
        for link in chain:
            links.ever_on.setdefault(link.carrier, {})[thing] = None
        if chain[-1].until is None:
            links.on.setdefault(chain[-1].carrier, {})[thing] = None
    return links
