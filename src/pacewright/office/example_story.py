"""What an invented record tells of: a works, the truth behind it, and a run of that from empty."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING

from pacewright.base.progress import Progress
from pacewright.works import Works

if TYPE_CHECKING:
    from pacewright.invent.driven import Driven
    from pacewright.invent.slips import Slip
    from pacewright.plans.plan import Plan
    from pacewright.simulate.run import Run
    from pacewright.simulate.table import FlowTable

# Replications, and weeks of each, from which the works knows what it can promise.
_RUNS, _WEEKS_A_YEAR = 20, 52
_WEEKS_A_MONTH = 365.25 / 7 / 12
# Minute of the last day at which the record ends, and how far its clerks are behind then.
_ENDS_AT, _BEHIND = 10 * 60, 2 * 60


@dataclass(frozen=True)
class Story:
    """All that is needed to tell the record.

    Parameters
    ----------
    before, after : the works when the record begins; as invented for the day on which it ends.
    truth : the works as it really is; table and run are of it.
    driven : what the odometers showed.
    seed : of what goes wrong when it is written down.
    inspected_at : assembly -> stage at whose end its scope is agreed.
    """

    before: Works
    after: Works
    truth: Works
    table: "FlowTable"
    run: "Run"
    driven: "Driven"
    seed: int
    inspected_at: dict[str, str]

    @property
    def monday(self) -> date:
        """Day 0 of the run."""
        start = self.before.settings.plan.start
        return start - timedelta(days=start.weekday())

    @property
    def today(self) -> date:
        """Last day of the record."""
        return self.after.settings.plan.today

    def slips(self) -> Iterator["Slip"]:
        """The record as people write it, slip after slip."""
        from pacewright.invent.slips import slips
        from pacewright.simulate.told import Telling, told

        at_arrival = {}
        arrived = self.run.arrived.tolist()
        for v, name in enumerate(self.table.names.vehicles):
            if arrived[v] >= 0:
                day = self.monday + timedelta(minutes=arrived[v])
                at_arrival[v] = self.driven.at_arrival[name.rsplit("/", 1)[0], day]
        telling = Telling(
            readings=self.driven.readings,
            at_arrival=at_arrival,
            inspected_at=self.inspected_at,
            unit_shares={one.operation_id: one.occurrence_share for one in self.truth.operations},
            until=(self.today - self.monday).days * 1440 + _ENDS_AT,
        )
        events = told(self.table, self.run, self.before, telling)
        ends_at = datetime.combine(self.today, time()) + timedelta(minutes=_ENDS_AT)
        behind_from = ends_at - timedelta(minutes=_BEHIND)
        return slips(events, self.before, self.seed, behind_from=behind_from)


def story_of(kind: str, vehicles: int, seed: int, months: int, progress: Progress) -> Story:
    """Invent a works, and run it through the months before its day.

    Parameters
    ----------
    kind, vehicles, seed : of the works.
    months : so long the record goes back.
    progress : told how far it is.
    """
    from pacewright.invent.before import emptied
    from pacewright.invent.catalogue import catalogue
    from pacewright.invent.draws import Draws
    from pacewright.invent.driven import driven
    from pacewright.invent.truth import in_truth
    from pacewright.invent.works import TODAY, invented_works
    from pacewright.office.planning import make_plan
    from pacewright.simulate.compile_flow import compile_flow
    from pacewright.simulate.engine import run_flow
    from pacewright.simulate.problem import FlowOptions

    progress("inventing", 0.0)
    weeks = max(1, round(months * _WEEKS_A_MONTH))
    began = TODAY - timedelta(weeks=weeks)
    before = emptied(invented_works(kind, vehicles, seed, began))
    after = invented_works(kind, vehicles, seed, TODAY)
    plan = make_plan(before, progress=progress)
    progress("running it through", 0.0)
    days = turn_days_kept(before, plan, seed)
    before, after = _promising(before, days), _promising(after, days)
    truth = in_truth(before, Draws(seed, "truth"))
    options = FlowOptions(inside_now=False, weeks=weeks + 1)
    table = compile_flow(truth, plan.programme, options)
    run = run_flow(table, seed, 0, events=True)
    return Story(
        before=before,
        after=after,
        truth=truth,
        table=table,
        run=run,
        driven=driven(before, _stays(table, run, before), TODAY, seed),
        seed=seed,
        inspected_at=dict(catalogue(kind).kind["inspected_at"]),
    )


def turn_days_kept(works: Works, plan: "Plan", seed: int) -> dict[str, float]:
    """Vehicle type -> working days that a works beginning empty can promise, by its own tables.

    A year is run through under other chances than those of the record; the days are kept by the
    share ``promise_target`` of the settings. A type of which none comes out keeps its own.
    """
    from pacewright.simulate.problem import FlowOptions
    from pacewright.simulate.replicate import HowSure
    from pacewright.simulate.solve import Question, Start, forecast

    options, sure = FlowOptions(weeks=_WEEKS_A_YEAR), HowSure(_RUNS, seed=seed)
    # The run of the record is replication 0.
    made = forecast(works, plan, Question(Start.EMPTY, options, sure=sure, first=1))
    return {one.type_id: one.to_promise_days for one in made.turns}


def _promising(works: Works, days: dict[str, float]) -> Works:
    types = tuple(
        replace(one, turn_days=days.get(one.type_id, one.turn_days)) for one in works.vehicle_types
    )
    return replace(works, vehicle_types=types)


def _stays(
    table: "FlowTable", run: "Run", works: Works
) -> dict[str, list[tuple[date, date | None]]]:
    """Vehicle -> day of arrival and of release, visit after visit."""
    start = works.settings.plan.start
    monday = start - timedelta(days=start.weekday())
    stays: dict[str, list[tuple[date, date | None]]] = defaultdict(list)
    rows = zip(table.names.vehicles, run.arrived.tolist(), run.released.tolist(), strict=True)
    for name, arrived, released in rows:
        if arrived >= 0:
            out = monday + timedelta(minutes=released) if released >= 0 else None
            stays[name.rsplit("/", 1)[0]].append((monday + timedelta(minutes=arrived), out))
    return {name: sorted(some, key=lambda stay: stay[0]) for name, some in stays.items()}
