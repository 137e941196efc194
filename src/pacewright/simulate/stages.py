"""The rows of stages and steps: work, its scatter, its people, the units it takes and asks for."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import timedelta
from typing import TypeVar

import numpy as np

from pacewright.shops.tables import Stage
from pacewright.simulate.calendars import Stretch
from pacewright.simulate.chains import Chains, Step
from pacewright.simulate.chance import key_of
from pacewright.simulate.crews import Crews, mean_minutes, occurrence
from pacewright.simulate.laws import constant, likelier, three_estimates
from pacewright.simulate.problem import FlowOptions
from pacewright.simulate.table import Ints, StageRows, StepRows
from pacewright.works import Works

ALWAYS = 10**9
"""A working day before and after which (with a minus sign) no vehicle is called in."""

Row = TypeVar("Row")


def stage_rows(works: Works, stretch: Stretch, scatter: bool) -> StageRows:
    """The rows of the stages; without scatter each takes its mean and passes its test."""
    stages = works.stages
    hours = works.shop_hours_a_day
    return StageRows(
        key=np.array([key_of(one.stage_id) for one in stages], np.uint64),
        calendar=_ints(stretch.calendar_of(hours[one.shop_id]) for one in stages),
        positions=_ints(one.positions for one in stages),
        batch=_ints(min(one.batch_size, one.positions) for one in stages),
        nights=_ints(one.night_goes_on for one in stages),
        window=_ints(_window(one) for one in stages),
        least=np.array([60 * one.hours_least for one in stages]),
        minutes=np.array([_minutes(one, scatter) for one in stages]),
        pass_share=np.array([likelier(one.first_pass_share, scatter) for one in stages]),
        rectify_minutes=_ints(round(60 * one.rectify_hours) for one in stages),
    )


def _window(stage: Stage) -> int:
    hours = stage.longest_wait_hours
    return -1 if hours is None else round(60 * hours)


def _minutes(stage: Stage, scatter: bool) -> np.ndarray:
    if not scatter:
        return constant(mean_minutes(stage))
    return three_estimates(60 * stage.hours_least, 60 * stage.hours_usual, 60 * stage.hours_most)


@dataclass(frozen=True)
class _Scope:
    """One operation or campaign that makes the work of a step scatter."""

    key: int
    share: float
    mean: float
    minutes: float
    first: int = -ALWAYS
    last: int = ALWAYS


@dataclass
class _Groups:
    """Lists of rows, one list a step."""

    needs: list[list[tuple[int, int]]] = field(default_factory=list)
    scopes: list[list[_Scope]] = field(default_factory=list)
    strips: list[list[tuple[int, int]]] = field(default_factory=list)
    fits: list[list[tuple[int, int]]] = field(default_factory=list)


def step_rows(
    works: Works, chains: Chains, crews: Crews, stretch: Stretch, options: FlowOptions
) -> StepRows:
    """The rows of the steps of every chain."""
    steps = chains.steps
    stage_index = {one.stage_id: s for s, one in enumerate(works.stages)}
    groups = _Groups()
    for step in steps:
        groups.needs.append(crews.needs(step))
        groups.scopes.append(_scopes(works, crews, step, stretch, options))
        groups.strips.append(_kinds(works, step, "strip_stage_id"))
        groups.fits.append(_kinds(works, step, "fit_stage_id"))
    needs, scopes = groups.needs, groups.scopes
    return StepRows(
        stage=_ints(stage_index[step.stage.stage_id] for step in steps),
        then=_ints(step.then for step in steps),
        pieces=_ints(step.chain.pieces for step in steps),
        redo_minutes=_ints(_redo(step) for step in steps),
        need_first=_first(needs),
        need_crew=_flat(needs, lambda one: one[0]),
        need=_flat(needs, lambda one: one[1]),
        scope_first=_first(scopes),
        scope_key=np.array([one.key for some in scopes for one in some], np.uint64),
        scope_share=np.array([one.share for some in scopes for one in some], float),
        scope_mean=np.array([one.mean for some in scopes for one in some], float),
        scope_minutes=np.array([one.minutes for some in scopes for one in some], float),
        scope_from=_flat(scopes, lambda one: one.first),
        scope_to=_flat(scopes, lambda one: one.last),
        strip_first=_first(groups.strips),
        strip_kind=_flat(groups.strips, lambda one: one[0]),
        strip_units=_flat(groups.strips, lambda one: one[1]),
        fit_first=_first(groups.fits),
        fit_kind=_flat(groups.fits, lambda one: one[0]),
        fit_units=_flat(groups.fits, lambda one: one[1]),
    )


def _redo(step: Step) -> int:
    """What is done again when the window is missed: the least work of the stage before."""
    missed = step.stage.longest_wait_hours is not None and step.stage_before is not None
    return round(60 * step.stage_before.hours_least) if missed and step.stage_before else 0


def _scopes(
    works: Works, crews: Crews, step: Step, stretch: Stretch, options: FlowOptions
) -> list[_Scope]:
    people = max(1, step.stage.crew)
    found = []
    for one in crews.work_of(step):
        share = occurrence(one)
        if options.scatter and 0 < share < 1:
            minutes = 60 * one.standard_hours / people
            found.append(_Scope(key_of(one.operation_id), share, share, minutes))
    for campaign in works.campaigns:
        if (campaign.type_id, campaign.stage_id) == (step.chain.type_id, step.stage.stage_id):
            first = stretch.working_day(campaign.first, works)
            last = stretch.working_day(campaign.last + timedelta(days=1), works) - 1
            minutes = 60 * campaign.standard_hours / people
            found.append(_Scope(key_of(campaign.campaign_id), 1.0, 0.0, minutes, first, last))
    return found


def _kinds(works: Works, step: Step, column: str) -> list[tuple[int, int]]:
    """Unit kinds that come off (or go on) at a step, and units a vehicle of the type carries."""
    carried = {f.unit_kind_id: f.per_vehicle for f in works.fits if f.type_id == step.chain.type_id}
    return [
        (k, carried[one.unit_kind_id])
        for k, one in enumerate(works.unit_kinds)
        if getattr(one, column) == step.stage.stage_id and one.unit_kind_id in carried
    ]


def _ints(values: Iterable[int]) -> Ints:
    return np.array(list(values), np.int64)


def _first(groups: list[list[Row]]) -> Ints:
    return np.concatenate([[0], np.cumsum([len(one) for one in groups])]).astype(np.int64)


def _flat(groups: list[list[Row]], value: Callable[[Row], int]) -> Ints:
    return _ints(value(row) for group in groups for row in group)
