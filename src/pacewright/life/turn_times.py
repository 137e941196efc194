"""Turn times learned from units made good and from those still in repair."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from math import isfinite

import numpy as np

from pacewright.life.cells import Cell
from pacewright.life.censored import Lives, product_limit
from pacewright.life.effects import Effects
from pacewright.life.evidence import Evidence
from pacewright.life.lognormal import LogBelief, belief_of, updated
from pacewright.life.unit_turns import End, Spell
from pacewright.life.weighing import (
    LEAST_SAMPLE,
    REAL_LEVEL,
    SHOWN_LEVEL,
    Believed,
    Seen,
    Weighing,
)
from pacewright.life.working_time import WorkingTime, week_of
from pacewright.parts.tables import UnitKind
from pacewright.plans.learned import Proposal, TurnTime
from pacewright.works import Works

UNTOLD_SD = 1 / 3
"""Standard deviation over mean taken as the old belief where the table tells none; no source."""
_LEAST_DAYS = 0.01


@dataclass(frozen=True)
class Turns:
    """The spells of one unit kind in working days; scrapped ones are not among them.

    Parameters
    ----------
    lives : lengths [working days], ended where the unit was made good.
    weeks : number of the week of removal of each.
    first, last : days of the first removal and the last.
    """

    lives: Lives
    weeks: tuple[int, ...]
    first: date
    last: date

    @cached_property
    def cases_worth(self) -> float:
        """Independent turns that the ended ones are worth, alike as turns of one week are.

        Equations
        ---------
        n / (1 + (m - 1) r), m the mean number of a week and r the correlation within weeks from
        the one-way analysis of variance (Kish's design effect, from memory).
        """
        groups: defaultdict[int, list[float]] = defaultdict(list)
        for week, length, ended in zip(
            self.weeks, self.lives.lengths, self.lives.ended, strict=True
        ):
            if ended:
                groups[week].append(float(np.log(length)))
        count, sizes = self.lives.seen_to_end, [len(one) for one in groups.values()]
        if len(sizes) < 2 or count <= len(sizes):
            return float(count)
        whole = np.concatenate([np.asarray(one) for one in groups.values()])
        between = sum(len(g) * (np.mean(g) - whole.mean()) ** 2 for g in groups.values())
        within = sum(float(((np.asarray(g) - np.mean(g)) ** 2).sum()) for g in groups.values())
        between /= len(sizes) - 1
        within /= count - len(sizes)
        even = (count - sum(n * n for n in sizes) / count) / (len(sizes) - 1)
        spread = between + (even - 1) * within
        alike = max(0.0, (between - within) / spread) if spread > 0 else 0.0
        return count / (1 + (count / len(sizes) - 1) * alike)


def turns_of(spells: list[Spell], working: WorkingTime) -> Turns | None:
    """The spells off the vehicles as turns; None when there is none.

    A unit set aside is one whose turn goes on as far as is known; one scrapped has no turn.
    """
    used = [one for one in spells if one.end is not End.SCRAPPED]
    if not used:
        return None
    lengths = [max(working.at(s.until) - working.at(s.began), _LEAST_DAYS) for s in used]
    return Turns(
        Lives.of(lengths, [one.end is End.MADE_GOOD for one in used]),
        tuple(week_of(one.began) for one in used),
        min(one.began for one in used).date(),
        max(one.until for one in used).date(),
    )


class TurnsSeen:
    """The turns of each kind, measured once for whoever asks."""

    def __init__(self, evidence: Evidence) -> None:
        self._evidence = evidence
        self._made: dict[tuple[str, int], Turns | None] = {}

    def of(self, unit_kind_id: str, cell: Cell | None = None) -> Turns | None:
        """All turns of a kind, or those that are not in a cell of its row yet; None: no turn."""
        seen = self._evidence.turns
        start = seen.starts.get(cell, 0) if cell else 0
        key = unit_kind_id, start
        if key not in self._made:
            spells = seen.spells.get(unit_kind_id, [])[start:]
            self._made[key] = turns_of(spells, self._evidence.working)
        return self._made[key]


def turn_times(works: Works, seen: TurnsSeen, weighing: Weighing) -> Mapping[str, TurnTime]:
    """Unit kind -> how long its units really were away, where the record tells.

    The table's figure counts as the old belief, so that few units move it little.
    """
    found = {}
    for kind in works.unit_kinds:
        turns = seen.of(kind.unit_kind_id)
        if turns is None or not turns.lives.seen_to_end:
            continue
        cell = Cell("unit_kinds", kind.unit_kind_id, "turn_days")
        belief = _believed(kind, turns, weighing.weight(cell, kind.turn_days, None))
        median = product_limit(turns.lives).quantile(0.5)
        found[kind.unit_kind_id] = TurnTime(
            kind.unit_kind_id,
            belief.mean,
            belief.sd,
            turns.lives.seen_to_end,
            turns.lives.going_on,
            median if isfinite(median) else None,
        )
    return found


def turn_proposals(
    works: Works, seen: TurnsSeen, weighing: Weighing, effects: Effects
) -> Iterator[Proposal]:
    """Lines for the mean turn time and its standard deviation of every kind that came back."""
    for kind in works.unit_kinds:
        for column, old in (("turn_days", kind.turn_days), ("turn_sd_days", kind.turn_sd_days)):
            cell = Cell("unit_kinds", kind.unit_kind_id, column)
            turns = seen.of(kind.unit_kind_id, cell)
            if turns is None or turns.lives.seen_to_end < LEAST_SAMPLE:
                continue
            line = _line(weighing, kind, cell, old, turns)
            if column == "turn_days":
                effect = effects.of_turn(kind.unit_kind_id, line.proposed - old)
                line = replace(line, effect=effect)
            yield line


def _line(weighing: Weighing, kind: UnitKind, cell: Cell, old: float, turns: Turns) -> Proposal:
    belief = _believed(kind, turns, weighing.weight(cell, old, None))
    alone = updated(None, turns.lives)
    of_mean = cell.column == "turn_days"
    law = belief.mean_interval if of_mean else belief.sd_interval
    seen = Seen(
        alone.mean if of_mean else alone.sd,
        turns.lives.seen_to_end,
        "units made good",
        turns.first,
        turns.last,
        turns.lives.going_on,
    )
    figure = belief.mean if of_mean else belief.sd
    believed = Believed(figure, law(SHOWN_LEVEL), law(REAL_LEVEL))
    return weighing.proposal(cell, old, None, seen, believed)


def _believed(kind: UnitKind, turns: Turns, weight: float) -> LogBelief:
    """The belief after the turns; its range counts turns of one week as the few they are worth."""
    sd = kind.turn_sd_days or UNTOLD_SD * kind.turn_days
    belief = updated(belief_of(kind.turn_days, sd, weight), turns.lives)
    return replace(belief, weight=weight + turns.cases_worth)
