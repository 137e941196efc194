"""The question put to the line, as plain data."""

from dataclasses import dataclass

from pacewright.pace.repeated_stay import stay_of
from pacewright.pace.stage_times import StageTime
from pacewright.pace.takt import type_mix
from pacewright.plans.programme import Programme
from pacewright.shops.route import Route
from pacewright.shops.tables import Stage
from pacewright.works import Works


@dataclass(frozen=True)
class LineProblem:
    """What is asked of the line.

    Parameters
    ----------
    pace_a_day : vehicles a working day, above 0.
    week_days : working days of a full week.
    confidence : wanted chance that a piece finds a free position, and that a week's hours suffice.
    mix : share of each type that is called in; the shares sum to 1.
    routes : route of each type of the mix.
    stages : every stage of the works, used or not.
    times : stage -> time on its position until its test is passed.
    shop_hours_a_day : shop -> working hours of its day [h].
    """

    pace_a_day: float
    week_days: int
    confidence: float
    mix: dict[str, float]
    routes: dict[str, Route]
    stages: tuple[Stage, ...]
    times: dict[str, StageTime]
    shop_hours_a_day: dict[str, float]

    @property
    def pace_a_week(self) -> float:
        """Vehicles a full week."""
        return self.pace_a_day * self.week_days

    def pieces_a_vehicle(self, stage_id: str) -> float:
        """Pieces that pass the stage for one vehicle called in, over the mix."""
        return sum(
            share * self.routes[type_id].passes.get(stage_id, 0)
            for type_id, share in self.mix.items()
        )


def problem_of(works: Works, programme: Programme) -> LineProblem:
    """The question as works and programme put it."""
    mix = type_mix(works, programme)
    return LineProblem(
        pace_a_day=programme.pace_a_day,
        week_days=works.week_days,
        confidence=works.settings.plan.position_confidence,
        mix=mix,
        routes={type_id: works.routes[type_id] for type_id in mix},
        stages=works.stages,
        times={
            stage.stage_id: stay_of(stage, works.shop_hours_a_day[stage.shop_id])
            for stage in works.stages
        },
        shop_hours_a_day=works.shop_hours_a_day,
    )
