"""What is to be done: the work of each stay ahead and of each unit to be made good, by findings."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from pacewright.base.faults import CallError
from pacewright.control.ahead import Stay
from pacewright.control.marriage import VehicleAhead
from pacewright.control.pool import IN_REPAIR
from pacewright.control.scope import scope_of
from pacewright.control.scope_seen import Seen, is_condemned, seen_of
from pacewright.events.scan import code_of, parts_of_code
from pacewright.events.standing import Phase, UnitStanding
from pacewright.events.things import WHOLE, Condition, Piece, Unit, Verdict
from pacewright.parts.tables import Operation
from pacewright.reports.papers.blocks import Caution
from pacewright.reports.papers.ground import Ground, moment
from pacewright.reports.written import NONE, day

ALWAYS, FOUND, IF_FOUND = "always", "found", "only if found"


@dataclass(frozen=True, slots=True)
class Task:
    """One line of a card."""

    operation_id: str
    name: str
    trade_id: str
    hours: float
    when: str


@dataclass(frozen=True, slots=True)
class Job:
    """What a card is about, before it is laid out."""

    subject: str
    code_says: str
    place_id: str
    place_name: str
    shop_id: str
    facts: tuple[tuple[str, str], ...]
    tasks: tuple[Task, ...]
    held: Caution | None = None


class Jobs:
    """Picks the jobs out of what lies ahead."""

    def __init__(self, ground: Ground) -> None:
        self._ground = ground
        self._seen: dict[str, Seen] = {}
        self._campaigns: dict[str, list[Task]] = {}

    @cached_property
    def _owner(self) -> dict[str, str]:
        """Piece in words -> vehicle it is of: its number, or the one it was parted from."""
        found = {}
        for one in self._ground.seen.everything:
            known = one.on_way.known
            found[str(known.piece)] = known.vehicle_id or known.came_from
            if isinstance(one, VehicleAhead):
                found[str(known.piece)] = one.vehicle.vehicle_id
        return found

    @cached_property
    def _goes_to(self) -> dict[str, str]:
        return {str(key): one.goes_to for key, one in self._ground.seen.assemblies.items()}

    def at_stages(self) -> Iterator[Job]:
        """Pieces that stand at a stage or come to it within the days looked ahead."""
        until = self._ground.seen.now_day + self._ground.days
        for stay in sorted(self._ground.seen.stays, key=lambda one: (one.begins, one.piece)):
            if stay.begins < until and stay.piece in self._ground.pieces:
                yield self._job(stay)

    def of_vehicle(self, vehicle_id: str) -> list[Job]:
        """All that is still ahead of a vehicle and of what was parted from it."""
        self._ground.vehicle_inside(vehicle_id)
        mine = (f" of {vehicle_id}",)
        return [
            self._job(stay)
            for stay in self._ground.seen.stays
            if self._owner.get(stay.piece) == vehicle_id or stay.piece.endswith(mine)
        ]

    def at_benches(self, shop_id: str) -> Iterator[Job]:
        """Units a shop is to turn out, those off longest first."""
        sheet = next(one for one in self._ground.sheets if one.shop_id == shop_id)
        for row in sheet.units:
            waiting = [
                one.unit
                for one in self._ground.today.pool[row.unit_kind_id].coming
                if one.source == IN_REPAIR and one.unit
            ]
            for unit in waiting[: row.turn_out]:
                yield self._unit_job(self._ground.standing.units[unit])

    def of_unit(self, said: str) -> list[Job]:
        """The job of one unit."""
        parts = parts_of_code(said)
        known = self._ground.standing.units.get(Unit(*parts)) if parts else None
        if (
            known is None
            or known.onto is not None
            or known.condition is not Condition.UNSERVICEABLE
        ):
            raise CallError(
                f"unit {said[:90]}: it is not known as off a vehicle and unserviceable. Job cards "
                "are for units to be made good, named by code, as motor:M-7. Correct it, or book "
                "first that it came off."
            )
        if is_condemned(known):
            raise CallError(
                f"unit {said}: it was found beyond repair. Job cards are for units to be made "
                "good. Book it as scrapped, or have inspection judge it anew."
            )
        return [self._unit_job(known)]

    def _job(self, stay: Stay) -> Job:
        ground, stage = self._ground, self._ground.stages[stay.stage_id]
        piece = ground.pieces.get(stay.piece)
        owner = self._owner.get(stay.piece, "") or stay.piece.rpartition(" of ")[2]
        here = ground.standing.pieces[piece] if piece else None
        at_position = here is not None and here.stage_id == stay.stage_id and here.position
        vehicle = ground.standing.vehicles.get(owner)
        return Job(
            subject=stay.piece[0].upper() + stay.piece[1:],
            code_says=code_of(piece or Piece(WHOLE, owner)),
            place_id=stay.stage_id,
            place_name=stage.name,
            shop_id=stage.shop_id,
            facts=(
                ("Stage", f"{stage.name}, position {at_position}" if at_position else stage.name),
                ("Shop", ground.shop_names.get(stage.shop_id, stage.shop_id)),
                ("Type", ground.type_names.get(stay.type_id, stay.type_id)),
                ("Promise", day(vehicle.promise) if vehicle else NONE),
                ("Begins" if not stay.begun else "Began", day(ground.date_of(stay.begins))),
                ("Ends", day(ground.date_of(stay.ends))),
                ("Came with", owner or NONE),
                ("Goes to", self._goes_to.get(stay.piece) or owner or NONE),
            ),
            tasks=tuple(self._tasks(stay, piece, owner)),
            held=ground.held(piece) if piece else None,
        )

    def _tasks(self, stay: Stay, piece: Piece | None, owner: str) -> Iterator[Task]:
        seen = self._seen_of(owner)
        known = self._ground.standing.pieces.get(piece) if piece else None
        part = known if known is not None and known.piece.assembly_id != WHOLE else None
        for one in self._ground.works.operations:
            if one.stage_id != stay.stage_id or one.type_id not in (None, stay.type_id):
                continue
            own = part.found.get(one.operation_id) if part else None
            verdict = own.verdict if own else seen.verdict(one.operation_id, part) if seen else None
            when = _when(one, verdict)
            if when:
                yield _task(one, when)
        for task in self._campaigns_of(owner):
            if task.operation_id in self._campaigns_at(stay.stage_id):
                yield task

    def _seen_of(self, owner: str) -> Seen | None:
        known = self._ground.standing.vehicles.get(owner)
        if known is None:
            return None
        if owner not in self._seen:
            self._seen[owner] = seen_of(self._ground.standing, owner)
        return self._seen[owner]

    def _campaigns_at(self, stage_id: str) -> set[str]:
        return {one.campaign_id for one in self._ground.works.campaigns if one.stage_id == stage_id}

    def _campaigns_of(self, owner: str) -> list[Task]:
        known = self._ground.standing.vehicles.get(owner)
        if known is None or known.phase is not Phase.INSIDE or not self._ground.works.campaigns:
            return []
        if owner not in self._campaigns:
            every = {one.campaign_id for one in self._ground.works.campaigns}
            work = scope_of(self._ground.works, self._ground.standing, owner).work
            self._campaigns[owner] = [
                Task(one.operation_id, one.name, one.trade_id, one.hours, ALWAYS)
                for one in work
                if one.operation_id in every
            ]
        return self._campaigns[owner]

    def _unit_job(self, known: UnitStanding) -> Job:
        ground, unit = self._ground, known.unit
        kind = ground.unit_kind(unit.unit_kind_id)
        links = ground.standing.unit_links.of.get(unit)
        carrier = links[-1].carrier if links else None
        tasks = []
        for one in ground.works.operations:
            if one.unit_kind_id != kind.unit_kind_id or one.type_id is not None:
                continue
            found = known.found.get(one.operation_id)
            when = _when(one, found.verdict if found else None)
            if when:
                tasks.append(_task(one, when))
        return Job(
            subject=f"{kind.name} {unit.serial}",
            code_says=code_of(unit),
            place_id="",
            place_name=kind.name,
            shop_id=kind.shop_id,
            facts=(
                ("Unit kind", kind.unit_kind_id),
                ("Shop", ground.shop_names.get(kind.shop_id, kind.shop_id)),
                ("Condition", known.condition.value),
                ("Came off", str(carrier) if carrier else NONE),
                ("On", moment(links[-1].until) if links else NONE),
                ("Place", known.place_id or NONE),
            ),
            tasks=tuple(tasks),
        )


def _when(one: Operation, verdict: Verdict | None) -> str:
    """Why an operation stands on the card; empty: it does not."""
    if one.must_change or (verdict is None and one.occurrence_share == 1.0):
        return ALWAYS
    if verdict is not None:
        return "" if verdict is Verdict.USE else f"{FOUND}: {verdict.value}"
    return IF_FOUND if one.occurrence_share else ""


def _task(one: Operation, when: str) -> Task:
    return Task(one.operation_id, one.name, one.trade_id, one.standard_hours, when)
