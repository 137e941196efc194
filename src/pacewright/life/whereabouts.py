"""Which vehicle and type a piece belongs to, event by event."""

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from pacewright.events.gate import Admitted, Arrived, Called, Released
from pacewright.events.identity import Married, Parted
from pacewright.events.things import WHOLE, Event, Piece

Heard = Mapping[type[Event], Callable[[Any], None]]
"""Kind of event -> what is done when one is read."""


class Whereabouts:
    """What learning must know of vehicles and their pieces; much less than a standing.

    Parameters
    ----------
    types : vehicle -> type, to begin with as the tables tell.

    ``called_for`` tells the day each vehicle of a present visit was called for, or came.
    """

    def __init__(self, types: Mapping[str, str]) -> None:
        self.types = dict(types)
        self.admitted: set[str] = set()
        self.called_for: dict[str, date] = {}
        self._vehicle: dict[Piece, str] = {}

    def heard(self) -> Heard:
        """What it listens to."""
        return {
            Called: self._called,
            Arrived: self._arrived,
            Admitted: self._admitted,
            Parted: self._pieces_of,
            Married: self._pieces_of,
            Released: self._released,
        }

    def vehicle_of(self, piece: Piece) -> str:
        """Vehicle a piece is, is part of, or was last parted from; empty: not known."""
        return piece.serial if piece.assembly_id == WHOLE else self._vehicle.get(piece, "")

    def type_of(self, piece: Piece) -> str:
        """Vehicle type a piece belongs to; empty: not known."""
        return self.types.get(self.vehicle_of(piece), "")

    def _called(self, event: Called) -> None:
        self.types[event.vehicle_id] = event.type_id
        self.called_for[event.vehicle_id] = event.due_in

    def _arrived(self, event: Arrived) -> None:
        self.types[event.vehicle_id] = event.type_id
        self.called_for.setdefault(event.vehicle_id, event.at.date())

    def _released(self, event: Released) -> None:
        self.called_for.pop(event.vehicle_id, None)

    def _admitted(self, event: Admitted) -> None:
        self.admitted.add(event.vehicle_id)

    def _pieces_of(self, event: Parted | Married) -> None:
        for piece in event.pieces:
            self._vehicle[piece] = event.vehicle_id
