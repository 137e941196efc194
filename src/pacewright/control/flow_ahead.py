"""The flow of the works on a day to come, from what many runs on from the record counted."""

from collections.abc import Mapping

import numpy as np

from pacewright.control.flow_now import assembly_name, leading, marriage_room
from pacewright.plans.flow_day import HALF, FlowDay, KindDay, Source, StageDay, StoreDay
from pacewright.simulate.days_to_come import DaysToCome
from pacewright.works import Works

STANDS_DAYS = 0.25
"""Working days from which on a piece that waits in a run counts as standing: a shorter wait is
that for the next free hand."""

WANTED = ("units", "people, or the shop to open", "what failed its test", "an assembly")
"""What a piece that stands waits for, in the order of ``DaysToCome.stands``."""

MOST_LIKELY = 6
"""Vehicles told of one stage."""


def flow_ahead(
    works: Works, runs: DaysToCome, at: int, full_at: Mapping[str, int], place: int
) -> FlowDay:
    """The flow at the moment ``at`` (its index) of the runs.

    Parameters
    ----------
    full_at : unit kind -> serviceable units from which on more pile up.
    place : last event of the record the runs went on from.

    Equations
    ---------
    A figure is the mean over the runs; a chance the share of the runs in which it is so.
    """
    return FlowDay(
        moment=runs.moments[at],
        source=Source.FORECAST,
        runs=runs.runs,
        at_gate=float(runs.at_gate[:, at].mean()),
        inside=float(runs.inside[:, at].mean()),
        gate=(),
        stages=tuple(_Stages(works, runs, at).all()),
        stores=tuple(_stores(works, runs, at)),
        kinds=tuple(_kinds(works, runs, at, full_at)),
        place=place,
        notes=runs.notes,
    )


class _Stages:
    def __init__(self, works: Works, runs: DaysToCome, at: int) -> None:
        self._works, self._runs, self._at = works, runs, at
        self._places = {stage_id: n for n, stage_id in enumerate(runs.stages)}
        self._likely = self._where()

    def all(self) -> list[StageDay]:
        return [self._stage(n) for n in range(len(self._works.stages))]

    def _stage(self, row: int) -> StageDay:
        stage, runs, at = self._works.stages[row], self._runs, self._at
        s = self._places[stage.stage_id]
        waiting, lost = runs.waiting[:, at, s], runs.lost[:, at, s]
        stands = runs.stands[:, at, s]
        room = np.maximum(1, stage.positions - lost)
        wants = [(float(stands[:, n].mean()), word) for n, word in enumerate(WANTED)]
        return StageDay(
            stage_id=stage.stage_id,
            name=stage.name,
            shop_id=stage.shop_id,
            positions=stage.positions,
            lost=float(lost.mean()),
            held=float(runs.held[:, at, s].mean()),
            waiting=float(waiting.mean()),
            done=float(runs.done[:, at, s].mean()),
            stands=float(stands.sum(axis=1).mean()),
            chance_stands=float((stands.sum(axis=1) > 0).mean()),
            chance_piles=float((waiting >= room).mean()),
            likely=tuple(self._likely.get(s, [])[:MOST_LIKELY]),
            why=tuple(word for mean, word in sorted(wants, reverse=True) if mean > 0),
            only=stage.type_ids,
        )

    def _where(self) -> dict[int, list[tuple[str, float]]]:
        """Stage -> vehicles that are there in half of the runs or more, the surest first."""
        found: dict[int, list[tuple[str, float]]] = {}
        leads = self._runs.leads[:, self._at]
        for v, name in enumerate(self._runs.vehicles):
            places = leads[:, v]
            counts = np.bincount(places[places >= 0], minlength=1)
            s = int(counts.argmax())
            share = float(counts[s]) / len(leads)
            if share >= HALF:
                found.setdefault(s, []).append((name.split("/")[0], share))
        return {s: sorted(rows, key=lambda row: (-row[1], row[0])) for s, rows in found.items()}


def _stores(works: Works, runs: DaysToCome, at: int) -> list[StoreDay]:
    room, leads = marriage_room(works), leading(works)
    assemblies = dict.fromkeys(one.assembly_id for one in works.assemblies)
    found = []
    for assembly_id in assemblies:
        if assembly_id in leads:
            continue
        mine = [n for n, name in enumerate(runs.assemblies) if name.split(" ")[-1] == assembly_id]
        pieces = runs.stored[:, at, mine].sum(axis=1)
        most = room.get(assembly_id, 0)
        name = assembly_name(works, assembly_id)
        piles = float((pieces > most).mean())
        found.append(StoreDay(assembly_id, name, float(pieces.mean()), most, piles))
    return found


def _kinds(works: Works, runs: DaysToCome, at: int, full_at: Mapping[str, int]) -> list[KindDay]:
    places = {kind_id: k for k, kind_id in enumerate(runs.kinds)}
    found = []
    for kind in works.unit_kinds:
        k = places[kind.unit_kind_id]
        ready, full = runs.ready[:, at, k], full_at.get(kind.unit_kind_id)
        found.append(
            KindDay(
                unit_kind_id=kind.unit_kind_id,
                name=kind.name,
                shop_id=kind.shop_id,
                serviceable=float(ready.mean()),
                issued=None,
                unserviceable=float(runs.away[:, at, k].mean()),
                quarantine=None,
                full_at=full,
                vehicles=(),
                chance_out=float((ready == 0).mean()),
                chance_piles=0.0 if full is None else float((ready > full).mean()),
            )
        )
    return found
