"""Leads and assemblies brought together in the order in which they are done, any to any."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf, isfinite

from pacewright.control.along import Along, StageAhead
from pacewright.control.way import OnWay, Way
from pacewright.events.standing import VehicleStanding
from pacewright.events.things import WHOLE, Piece


@dataclass(frozen=True, slots=True)
class AssemblyAhead:
    """A loose assembly: its coming stages, when it is done, the vehicle it would go to."""

    on_way: OnWay
    coming: tuple[StageAhead, ...]
    done_day: float
    goes_to: str = ""

    @property
    def piece(self) -> Piece:
        """The assembly."""
        return self.on_way.known.piece


@dataclass(frozen=True, slots=True)
class VehicleAhead:
    """A vehicle inside.

    Parameters
    ----------
    vehicle : as it stands.
    on_way : where it is: itself while whole, its lead while in pieces.
    coming : stages at which it stands or that are ahead, its lead's while in pieces, in order.
    parts_coming : assembly -> stage -> first begin there, of assemblies not parted off yet.
    parts_day : when it parts, while that is ahead.
    marries_day : when all for marriage is there; the past or now: it is; not finite: never.
    ready_day : end of its last stage; not finite: no date, an assembly is missing.
    waits_for : assembly that comes last to its marriage and later than its lead; empty: none.
    """

    vehicle: VehicleStanding
    on_way: OnWay
    coming: tuple[StageAhead, ...]
    parts_coming: Mapping[str, Mapping[str, float]]
    parts_day: float
    marries_day: float
    ready_day: float
    waits_for: str = ""


class Marriages:
    """All leads and loose assemblies of the works, and who would go to whom.

    Parameters
    ----------
    along : sends pieces along their legs.
    all_ways : vehicle type -> its way.
    loose : loose assemblies; one of no known type goes to no vehicle.
    inside : vehicles inside and where they are.
    """

    def __init__(
        self,
        along: Along,
        all_ways: Mapping[str, Way],
        loose: Sequence[OnWay],
        inside: Sequence[tuple[VehicleStanding, OnWay]],
    ) -> None:
        self._along, self._all_ways = along, all_ways
        self._vehicles: dict[str, VehicleAhead] = {}
        self._loose: dict[Piece, AssemblyAhead] = {}
        for one in loose:
            coming, done = along.along(one)
            self._loose[one.known.piece] = AssemblyAhead(one, coming, done)
        waiting = [self._to_marriage(vehicle, one) for vehicle, one in inside]
        for type_id, way in all_ways.items():
            self._marry(way, [one for one in waiting if one.on_way.type_id == type_id])

    def vehicles(self) -> list[VehicleAhead]:
        """Vehicles in order of number."""
        return [self._vehicles[key] for key in sorted(self._vehicles)]

    def assemblies(self) -> list[AssemblyAhead]:
        """Loose assemblies in order of name."""
        return [self._loose[key] for key in sorted(self._loose)]

    def _to_marriage(self, vehicle: VehicleStanding, one: OnWay) -> VehicleAhead:
        coming, done = self._along.along(one)
        way = self._all_ways[one.type_id]
        if one.known.piece.assembly_id != WHOLE or one.married or not way.parts:
            return VehicleAhead(vehicle, one, coming, {}, done, done, done)
        lead, lead_done = self._along.onwards(next(iter(way.parts.values())), done)
        parts = {
            assembly_id: self._along.fellows(way.parts[assembly_id], count, done)[0]
            for assembly_id, count in way.counts.items()
        }
        return VehicleAhead(vehicle, one, (*coming, *lead), parts, done, lead_done, lead_done)

    def _marry(self, way: Way, waiting: Sequence[VehicleAhead]) -> None:
        leads = []
        for one in waiting:
            if one.on_way.married or not way.parts:
                self._vehicles[one.vehicle.vehicle_id] = one
            else:
                leads.append(one)
        leads.sort(key=lambda one: (one.marries_day, one.vehicle.vehicle_id))
        come = {assembly_id: self._come(way, assembly_id, leads) for assembly_id in way.parts}
        for place, one in enumerate(leads):
            last, waits_for = one.marries_day, ""
            for assembly_id in list(way.parts)[1:]:
                count = way.counts[assembly_id]
                taken = come[assembly_id][place * count : (place + 1) * count]
                self._give(taken, one.vehicle.vehicle_id)
                arrive = taken[-1][0] if len(taken) == count else inf
                if arrive > last:
                    last, waits_for = arrive, assembly_id
            self._vehicles[one.vehicle.vehicle_id] = self._after(way, one, last, waits_for)

    def _come(
        self, way: Way, assembly_id: str, leads: Sequence[VehicleAhead]
    ) -> list[tuple[float, Piece | None]]:
        # The days on which assemblies of one sort are done; no name while on their vehicle.
        found: list[tuple[float, Piece | None]] = [
            (one.done_day, one.piece)
            for one in self._loose.values()
            if one.on_way.type_id == way.type_id and one.piece.assembly_id == assembly_id
        ]
        leg, count = way.parts[assembly_id], way.counts[assembly_id]
        for lead in leads:
            if lead.parts_coming:
                _, done = self._along.fellows(leg, count, lead.parts_day)
                found += [(day, None) for day in done]
        return sorted(found, key=lambda row: (row[0], row[1] or Piece("", "")))

    def _give(self, taken: Sequence[tuple[float, Piece | None]], vehicle_id: str) -> None:
        for _, piece in taken:
            if piece is not None:
                self._loose[piece] = replace(self._loose[piece], goes_to=vehicle_id)

    def _after(self, way: Way, one: VehicleAhead, day: float, waits_for: str) -> VehicleAhead:
        stages, ready = self._along.onwards(way.after, day) if isfinite(day) else ((), inf)
        coming = (*one.coming, *stages)
        return replace(one, coming=coming, marries_day=day, ready_day=ready, waits_for=waits_for)
