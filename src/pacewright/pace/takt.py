"""The pace as planned and as called in, and the mix of types that goes with it."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from pacewright.plans.programme import Programme, Zone
from pacewright.works import Works


@dataclass(frozen=True, slots=True)
class CalledPace:
    """What the programme really calls in the firm and planned zones [vehicles a working day]."""

    mean_a_day: float
    peak_a_day: float
    peak_week: str


def type_mix(works: Works, programme: Programme) -> dict[str, float]:
    """Share of each vehicle type among the calls of the firm and planned zones.

    Without such calls all calls count, without any the vehicles that have not left the fleet.
    Shares sum to 1; types that are not called are left out.
    """
    near = [call.type_id for call in programme.calls if call.zone is not Zone.OUTLINE]
    every = [call.type_id for call in programme.calls]
    fleet = [one.type_id for one in works.vehicles if one.state != "withdrawn"]
    types = [one.type_id for one in works.vehicle_types]
    counts = Counter(near or every or fleet or types)
    total = sum(counts.values())
    return {one: counts[one] / total for one in types if counts[one]}


def called_pace(programme: Programme) -> CalledPace:
    """Mean and highest weekly rate of call-in in the firm and planned zones."""
    weeks = [week for week in programme.weeks if week.zone is not Zone.OUTLINE]
    weeks = [week for week in weeks or programme.weeks if week.working_days]
    days = sum(week.working_days for week in weeks)
    if not days:
        return CalledPace(0.0, 0.0, "")
    peak = max(weeks, key=lambda week: week.called / week.working_days)
    return CalledPace(
        mean_a_day=sum(week.called for week in weeks) / days,
        peak_a_day=peak.called / peak.working_days,
        peak_week=peak.label,
    )


def pace_notes(pace_a_day: float, called: CalledPace, week_days: int) -> Sequence[str]:
    """Sentences for the planner where the programme calls at another pace than the line's.

    A difference of less than 5 % is not worth a sentence (our rule, no source).
    """
    notes = []
    per_week = pace_a_day * week_days
    mean = called.mean_a_day * week_days
    if called.mean_a_day and abs(mean / per_week - 1) > 0.05:
        notes.append(
            f"The line is worked out at {per_week:.1f} vehicles a week; the programme calls "
            f"{mean:.1f} a week on average in its firm and planned zones "
            f"({100 * (mean / per_week - 1):+.0f} %). Loads at that rate change in proportion."
        )
    if called.peak_a_day > 1.05 * pace_a_day:
        peak = called.peak_a_day * week_days
        notes.append(
            f"Week {called.peak_week} calls at a rate of {peak:.1f} a full week, above the pace "
            f"of {per_week:.1f}: expect queues at the first stages in the weeks after it."
        )
    return notes
