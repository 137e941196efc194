"""The chapter on the works run through, part by part as the template shows it."""

from dataclasses import dataclass

from pacewright.plans.forecast import Forecast
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.figures import Figure
from pacewright.reports.forecast_tables import forecast_tables
from pacewright.reports.html_table import html_table
from pacewright.reports.simulation.answer import GREATEST, answer_figures, answer_sentences
from pacewright.reports.simulation.flow import STANDS_FROM, flow_drawing, last_full_stage
from pacewright.reports.simulation.hold_ups import HoldUps, hold_ups
from pacewright.reports.simulation.over_weeks import inside_drawing, output_drawing, uncounted
from pacewright.reports.simulation.readiness import Readiness, readiness
from pacewright.reports.simulation.sure import Sure, how_sure
from pacewright.reports.simulation.turn_times import TypeTimes, turn_times
from pacewright.reports.simulation.uses import FULL, Uses, uses
from pacewright.works import Works


@dataclass(frozen=True, slots=True)
class Chapter:
    """What the template of the chapter needs."""

    replications: int
    interrupted: bool
    uncounted_weeks: int
    sentences: tuple[str, ...]
    figures: tuple[Figure, ...]
    greatest: int
    output: Drawing
    inside: Drawing
    turns: tuple[TypeTimes, ...]
    hold_ups: HoldUps
    flow: Drawing
    last_full: str
    stands_from: float
    uses: Uses
    full: float
    readiness: Readiness
    sure: Sure
    tables: dict[str, Drawing]


def forecast_chapter(works: Works, forecast: Forecast) -> Chapter:
    """The chapter of one forecast."""
    tables = {
        one.name: html_table(one, filters=("cause", "shop", "of"))
        for one in forecast_tables(works, forecast)
    }
    last = last_full_stage(works, forecast)
    return Chapter(
        replications=forecast.replications,
        interrupted=forecast.interrupted,
        uncounted_weeks=uncounted(forecast),
        sentences=answer_sentences(forecast),
        figures=answer_figures(forecast),
        greatest=GREATEST,
        output=output_drawing(forecast),
        inside=inside_drawing(works, forecast),
        turns=turn_times(forecast),
        hold_ups=hold_ups(works, forecast),
        flow=flow_drawing(works, forecast),
        last_full=last.name if last else "",
        stands_from=STANDS_FROM,
        uses=uses(works, forecast),
        full=FULL,
        readiness=readiness(works, forecast),
        sure=how_sure(forecast),
        tables=tables,
    )
