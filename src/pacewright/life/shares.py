"""Shares learned from cases: occurrence, removal, scrap, first pass."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

from pacewright.life.cells import Cell, Counted
from pacewright.life.effects import Effects
from pacewright.life.evidence import Evidence
from pacewright.life.unit_turns import scrapped_of
from pacewright.life.weighing import LEAST_SAMPLE, Seen, Weighing, believed_share
from pacewright.plans.learned import Proposal
from pacewright.works import Works

SLOW = 4
"""A unit removed so many turn times ago is made good or scrapped by now, as far as can be told."""


def share_proposals(
    works: Works, evidence: Evidence, weighing: Weighing, effects: Effects
) -> Iterator[Proposal]:
    """A line for every share of which the record shows enough cases."""
    yield from _occurrences(works, evidence, weighing, effects)
    yield from _removals(works, evidence, weighing, effects)
    yield from _scrap(works, evidence, weighing)
    yield from _first_passes(works, evidence, weighing)


def _occurrences(
    works: Works, evidence: Evidence, weighing: Weighing, effects: Effects
) -> Iterator[Proposal]:
    for one in works.operations:
        cell = Cell("operations", one.operation_id, "occurrence_share")
        counted = evidence.inspections.counted.get(cell)
        if counted is None or counted.looked_at < LEAST_SAMPLE:
            continue
        what = "units inspected" if one.unit_kind_id else "vehicles or assemblies inspected"
        old = one.occurrence_share
        line = _line(weighing, cell, (old, float(one.sample)), counted, what)
        yield replace(line, effect=effects.of_occurrence(one, line.proposed - old))


def _removals(
    works: Works, evidence: Evidence, weighing: Weighing, effects: Effects
) -> Iterator[Proposal]:
    for kind in works.unit_kinds:
        cell = Cell("unit_kinds", kind.unit_kind_id, "removal_share")
        counted = evidence.turns.removals.get(cell)
        if kind.must_change or counted is None or counted.looked_at < LEAST_SAMPLE:
            continue
        old = kind.removal_share
        line = _line(weighing, cell, (old, None), counted, "units carried by vehicles released")
        yield replace(line, effect=effects.of_removal(kind.unit_kind_id, old, line.proposed))


def _scrap(works: Works, evidence: Evidence, weighing: Weighing) -> Iterator[Proposal]:
    for kind in works.unit_kinds:
        cell = Cell("unit_kinds", kind.unit_kind_id, "scrap_share")
        # Scrapping is quick and repair slow: only units off for long tell both alike.
        days = SLOW * kind.turn_days * 7 / works.week_days
        counted = Counted()
        before = evidence.last - timedelta(days=days)
        for scrapped, at in scrapped_of(evidence.turns.of_cell(cell), before):
            counted.add(scrapped, at)
        if counted.looked_at >= LEAST_SAMPLE:
            old = (kind.scrap_share, None)
            yield _line(weighing, cell, old, counted, "units removed long enough ago")


def _first_passes(works: Works, evidence: Evidence, weighing: Weighing) -> Iterator[Proposal]:
    for stage in works.stages:
        cell = Cell("stages", stage.stage_id, "first_pass_share")
        counted = evidence.work.first_pass.get(cell)
        if counted is None or counted.looked_at < LEAST_SAMPLE:
            continue
        if stage.first_pass_share < 1 or counted.needed < counted.looked_at:
            old = (stage.first_pass_share, None)
            yield _line(weighing, cell, old, counted, "first results")


def _line(
    weighing: Weighing,
    cell: Cell,
    old: tuple[float, float | None],
    counted: Counted,
    of_what: str,
) -> Proposal:
    share, sample = old
    weight = weighing.weight(cell, share, sample)
    believed = believed_share(share, weight, counted.needed, counted.looked_at)
    shown = counted.needed / counted.looked_at
    seen = Seen(shown, counted.looked_at, of_what, counted.first, counted.last)
    return weighing.proposal(cell, share, sample, seen, believed)
