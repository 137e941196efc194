"""Output and vehicles inside, week by week."""

from pacewright.plans.forecast import Forecast
from pacewright.reports.drawings.svg import Drawing
from pacewright.reports.drawings.week_band import WeekBand, week_band
from pacewright.reports.drawings.weeks import WeekAxis
from pacewright.works import Works


def weeks_axis(forecast: Forecast) -> WeekAxis:
    """The weeks run."""
    return WeekAxis(
        tuple(week.monday for week in forecast.weeks),
        tuple(n for n, week in enumerate(forecast.weeks) if not week.working_days),
        (),
    )


def output_drawing(forecast: Forecast) -> Drawing:
    """Vehicles released by week, against those called in and those the pace allows."""
    weeks = forecast.weeks
    return week_band(
        weeks_axis(forecast),
        WeekBand(
            "runoutput",
            ("Vehicles released by week", "vehicles|a week"),
            [w.released.low for w in weeks],
            [w.released.mean for w in weeks],
            [w.released.high for w in weeks],
            called=[w.called for w in weeks],
            able=[w.able for w in weeks],
            uncounted=uncounted(forecast),
        ),
    )


def inside_drawing(works: Works, forecast: Forecast) -> Drawing:
    """Vehicles inside at the end of each week, against the most that may be inside."""
    weeks = forecast.weeks
    return week_band(
        weeks_axis(forecast),
        WeekBand(
            "runinside",
            ("Vehicles inside at the end of each week", "inside at|week's end"),
            [w.inside.low for w in weeks],
            [w.inside.mean for w in weeks],
            [w.inside.high for w in weeks],
            limit=works.settings.plan.inside_limit,
            uncounted=uncounted(forecast),
            tall=110.0,
        ),
    )


def uncounted(forecast: Forecast) -> int:
    """Weeks at the start that do not count in the figures."""
    return next((n for n, week in enumerate(forecast.weeks) if week.measured), len(forecast.weeks))
