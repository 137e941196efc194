"""What telling a run as events needs of table and works, drawn up once."""

import itertools
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cached_property

from pacewright.parts.tables import Operation, TestItem
from pacewright.shops.tables import WHOLE
from pacewright.simulate.calendars import DAY, Clock
from pacewright.simulate.chains import Chains, chains_of
from pacewright.simulate.chance import base_of, key_of
from pacewright.simulate.run import Run
from pacewright.simulate.standing_start import MeanRoute
from pacewright.simulate.table import FlowTable
from pacewright.works import Works


@dataclass(frozen=True, slots=True)
class Doubt:
    """An operation that only some need, as inspection finds it.

    Parameters
    ----------
    operation : the operation.
    key, share : of its draw in the run.
    """

    operation: Operation
    key: int
    share: float


@dataclass(frozen=True)
class Ground:
    """Names, calendar and rows by index.

    Parameters
    ----------
    table, run : what was run, from empty.
    works : the works in whose words it is told.
    inspected_at : assembly -> stage at whose end its scope is agreed; left out: its first stage.
    """

    table: FlowTable
    run: Run
    works: Works
    inspected_at: Mapping[str, str]

    @cached_property
    def clock(self) -> Clock:
        """The calendars of the run."""
        return Clock.of(self.table.days)

    @cached_property
    def base(self) -> int:
        """The state from which the draws of the run go out."""
        return base_of(self.run.seed, self.run.replication)

    @cached_property
    def midnight(self) -> datetime:
        """Minute 0."""
        start = self.works.settings.plan.start
        return datetime.combine(start - timedelta(days=start.weekday()), time())

    def moment(self, minute: int) -> datetime:
        """A minute of the run by the works clock."""
        return self.midnight + timedelta(minutes=minute)

    def minute(self, day: date) -> int:
        """Midnight of a day."""
        return (day - self.midnight.date()).days * DAY

    def minute_of(self, moment: datetime) -> int:
        """The minute of the run at a moment of the works clock."""
        return int((moment - self.midnight).total_seconds()) // 60

    @cached_property
    def chains(self) -> Chains:
        """The chains of every type."""
        return chains_of(self.works)

    @cached_property
    def stages(self) -> tuple[str, ...]:
        return self.table.names.stages

    @cached_property
    def types(self) -> list[str]:
        """Vehicle index -> its type."""
        names = self.table.names.types
        return [names[t] for t in self.table.vehicles.type.tolist()]

    @cached_property
    def numbers(self) -> list[str]:
        """Vehicle index -> its number."""
        return [name.rsplit("/", 1)[0] for name in self.table.names.vehicles]

    @cached_property
    def vehicle_keys(self) -> list[int]:
        """Vehicle index -> the key of its draws."""
        keys: list[int] = self.table.vehicles.key.tolist()
        return keys

    @cached_property
    def crews(self) -> list[tuple[str, str] | None]:
        """Crew -> (shop, trade); None for the open doors of a shop."""
        people = [(one.shop_id, one.trade_id) for one in self.works.people]
        return [*people, *[None] * len(self.works.shops)]

    @cached_property
    def step_of(self) -> dict[tuple[str, int], int]:
        """(type, stage) -> its step."""
        place = {name: s for s, name in enumerate(self.stages)}
        return {
            (one.chain.type_id, place[one.stage.stage_id]): e
            for e, one in enumerate(self.chains.steps)
        }

    @cached_property
    def needs(self) -> list[dict[int, int]]:
        """Step -> crew -> hundredths of a person it holds."""
        first, steps = self.table.steps.need_first.tolist(), self.table.steps
        crew, need = steps.need_crew.tolist(), steps.need.tolist()
        return [
            dict(zip(crew[low:high], need[low:high], strict=True))
            for low, high in itertools.pairwise(first)
        ]

    @cached_property
    def strips(self) -> list[list[tuple[int, int]]]:
        """Step -> (kind, units a vehicle) that may come off at its end."""
        return self._kinds("strip")

    @cached_property
    def fits(self) -> list[list[tuple[int, int]]]:
        """Step -> (kind, units a vehicle) that go on at it."""
        return self._kinds("fit")

    def _kinds(self, word: str) -> list[list[tuple[int, int]]]:
        steps = self.table.steps
        first = getattr(steps, f"{word}_first").tolist()
        kind = getattr(steps, f"{word}_kind").tolist()
        units = getattr(steps, f"{word}_units").tolist()
        return [
            list(zip(kind[low:high], units[low:high], strict=True))
            for low, high in itertools.pairwise(first)
        ]

    @cached_property
    def is_whole(self) -> list[bool]:
        """Stage -> True when the whole vehicle passes it."""
        return [one.assembly_id == WHOLE for one in self.works.stages]

    @cached_property
    def fit_whole(self) -> list[bool]:
        """Kind -> True when it goes on the whole vehicle."""
        assembly = {one.stage_id: one.assembly_id for one in self.works.stages}
        return [assembly[one.fit_stage_id] == WHOLE for one in self.works.unit_kinds]

    @cached_property
    def strip_stages(self) -> dict[str, int]:
        """Type -> stages, piece by piece, at which something may come off a vehicle."""
        count: dict[str, int] = defaultdict(int)
        for e, one in enumerate(self.chains.steps):
            if self.strips[e]:
                count[one.chain.type_id] += one.chain.pieces
        return dict(count)

    @cached_property
    def test_items(self) -> dict[tuple[str, int], tuple[TestItem, ...]]:
        """(type, stage) -> its test items."""
        place = {name: s for s, name in enumerate(self.stages)}
        found: dict[tuple[str, int], list[TestItem]] = defaultdict(list)
        for type_id in self.table.names.types:
            for one in self.works.test_items:
                if one.type_id in (None, type_id):
                    found[type_id, place[one.stage_id]].append(one)
        return {key: tuple(items) for key, items in found.items()}

    @cached_property
    def doubts(self) -> dict[tuple[str, int], tuple[Doubt, ...]]:
        """(type, stage) -> what inspection settles at the end of that stage."""
        operations = {key_of(one.operation_id): one for one in self.works.operations}
        steps = self.table.steps
        place = {name: s for s, name in enumerate(self.stages)}
        found: dict[tuple[str, int], list[Doubt]] = defaultdict(list)
        for e, step in enumerate(self.chains.steps):
            for row in range(int(steps.scope_first[e]), int(steps.scope_first[e + 1])):
                key = int(steps.scope_key[row])
                if key in operations:
                    doubt = Doubt(operations[key], key, float(steps.scope_share[row]))
                    where = place[self._seen_at(step.chain.type_id, e)]
                    found[step.chain.type_id, where].append(doubt)
        return {key: tuple(some) for key, some in found.items()}

    @cached_property
    def campaigns(self) -> dict[tuple[str, int], tuple[tuple[str, int, int], ...]]:
        """(type, stage) -> campaigns done there: id, first and last working day of call-in."""
        names = {key_of(one.campaign_id): one.campaign_id for one in self.works.campaigns}
        steps, place = self.table.steps, {name: s for s, name in enumerate(self.stages)}
        found: dict[tuple[str, int], list[tuple[str, int, int]]] = defaultdict(list)
        for e, step in enumerate(self.chains.steps):
            for row in range(int(steps.scope_first[e]), int(steps.scope_first[e + 1])):
                name = names.get(int(steps.scope_key[row]))
                if name is not None:
                    days = int(steps.scope_from[row]), int(steps.scope_to[row])
                    where = step.chain.type_id, place[step.stage.stage_id]
                    found[where].append((name, *days))
        return {key: tuple(some) for key, some in found.items()}

    def _seen_at(self, type_id: str, e: int) -> str:
        """The stage at whose end it is known whether work of step ``e`` is needed."""
        chains, step = self.chains.of_type[type_id], self.chains.steps[e]
        if step.chain is chains.before or not chains.parts:
            return step.stage.stage_id
        after = step.chain is chains.after
        chain = chains.parts[0] if after else step.chain
        inspected = self.inspected_at.get(chain.assembly_id, chain.stages[0].stage_id)
        order = [one.stage_id for one in chain.stages]
        if not after and order.index(step.stage.stage_id) < order.index(inspected):
            return step.stage.stage_id
        return inspected

    @cached_property
    def days_left(self) -> dict[tuple[str, int], float]:
        """(type, stage) -> working days to release by the mean route without waiting."""
        found = {}
        for type_id in self.table.names.types:
            ends = MeanRoute(self.works, self.works.routes[type_id]).ends
            for s, stage_id in enumerate(self.stages):
                if stage_id in ends:
                    found[type_id, s] = max(ends.values()) - ends[stage_id]
        return found
