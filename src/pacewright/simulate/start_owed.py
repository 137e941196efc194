"""Units owed at the start of a run: how many of each kind each piece still asks for."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from pacewright.events.standing import PieceStanding, Standing
from pacewright.events.things import Piece
from pacewright.parts.tables import UnitKind
from pacewright.simulate.chains import Chain, TypeChains
from pacewright.simulate.live_start import Brought
from pacewright.works import Works


@dataclass(frozen=True)
class Owed:
    """Units that one vehicle's pieces still ask for, where the record knows how many.

    What was taken off is known once the stage that strips it is done, or something of the kind is
    owed; until then it is left to chance. What was given out already is not asked for again.

    Parameters
    ----------
    works, standing : the works and its record.
    issued : units given out and not fitted yet: for which piece, of which kind.
    brought, chains : the vehicle with its pieces, and the chains of its type.
    """

    works: Works
    standing: Standing
    issued: Counter[tuple[Piece, str]]
    brought: Brought
    chains: TypeChains

    @cached_property
    def _accounts(self) -> Counter[str]:
        """Owed to the vehicle as a whole, less what was given out for it."""
        vehicle_id = self.brought.coming.vehicle_id
        if not vehicle_id:
            return Counter()
        now = self.standing
        whole = now.whole(vehicle_id)
        lead = now.vehicles[vehicle_id].lead
        return self._less_issued(whole.owed, *([whole.piece] + ([lead] if lead else [])))

    def _less_issued(self, owed: dict[str, int], *pieces: Piece) -> Counter[str]:
        found = Counter(owed)
        for kind in owed:
            found[kind] -= sum(self.issued[one, kind] for one in pieces)
        return found

    @cached_property
    def _done(self) -> set[str]:
        every = [self.brought.whole, *(p for some in self.brought.pieces.values() for p in some)]
        return {stage_id for one in every if one is not None for stage_id in one.done}

    def _kinds(self, assembly_id: str) -> Iterator[tuple[int, UnitKind]]:
        """Kinds that go on at a stage of an assembly ('' for the leading piece)."""
        fitted = self._fitted_by
        for k, one in enumerate(self.works.unit_kinds):
            if fitted.get(one.fit_stage_id) == assembly_id:
                yield k, one

    @cached_property
    def _fitted_by(self) -> dict[str, str]:
        """Stage -> parted-off assembly that passes it; '' where the leading piece does."""
        parted = {s.stage_id: c.assembly_id for c in self.chains.parts[1:] for s in c.stages}
        return {s.stage_id: parted.get(s.stage_id, "") for c in self.chains.all for s in c.stages}

    def married(self) -> bool:
        """True when it is whole again: what is owed from any stage is owed to the whole."""
        one = self.brought.whole
        parted = {stage.stage_id for chain in self.chains.parts for stage in chain.stages}
        return one is not None and bool(parted & {*one.done, one.stage_id})

    def lead(self) -> dict[int, int]:
        """What the leading piece asks for, kind by kind."""
        found = {}
        if self.married():
            for k, kind in enumerate(self.works.unit_kinds):
                if (units := self._accounts[kind.unit_kind_id]) > 0:
                    found[k] = units
        loose = Counter[str]()
        for some in self.brought.pieces.values():
            for one in some:
                if not one.vehicle_id:
                    loose += self._less_issued(one.owed, one.piece)
        for k, kind in self._kinds(""):
            owed = self._accounts[kind.unit_kind_id] + loose[kind.unit_kind_id]
            if owed > 0 or kind.strip_stage_id in self._done:
                found[k] = max(0, owed)
        return found

    def piece(self, chain: Chain, place: int) -> dict[int, int]:
        """What a parted-off piece asks for, kind by kind; the vehicle's own debt is shared out."""
        mine = self.brought.pieces.get(chain.assembly_id, [])
        known = mine[place] if place < len(mine) else None
        own = self._less_issued(known.owed, known.piece) if known else Counter[str]()
        done = set(known.done) if known else self._done
        found = {}
        for k, kind in self._kinds(chain.assembly_id):
            owed = own[kind.unit_kind_id]
            takers = [n for n in range(chain.pieces) if not _has_passed(mine, n, kind)]
            if place in takers:
                shared = max(0, self._accounts[kind.unit_kind_id])
                owed += (shared + len(takers) - 1 - takers.index(place)) // len(takers)
            if owed > 0 or kind.strip_stage_id in done:
                found[k] = max(0, owed)
        return found


def _has_passed(mine: list[PieceStanding], place: int, kind: UnitKind) -> bool:
    return place < len(mine) and kind.fit_stage_id in mine[place].done
