"""Why a simulated figure differs from the plan's: the sentence is made from the runs themselves."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import isnan

import numpy as np

from pacewright.plans.forecast import Cause, Estimate, FloatForecast, UseOf
from pacewright.plans.line import StageLoad
from pacewright.simulate.figures import spans
from pacewright.simulate.gathered import Gathered
from pacewright.simulate.places import places, uses
from pacewright.simulate.sample import WEEK
from pacewright.simulate.stays import PASTIMES, Stays

NAMED = 3
"""Causes, or unit kinds, named in a sentence."""

LEAST_SHARE = 0.02
"""Smaller parts of a difference are not worth a word."""

_WAITS_FOR = {
    "units": "waits for units",
    "charge": "waits for the charge to be made up",
    "people": "waits for people",
    "next": "waits there for the next position or for what it is married with",
}

_STANDS = {
    Cause.GATE: "at the {}",
    Cause.POSITION: "for a position of {}",
    Cause.PART: "for {}",
    Cause.ASSEMBLY: "for {} to be married with",
    Cause.BATCH: "for a charge of {}",
    Cause.PEOPLE: "for {}",
    Cause.INSPECTION: "for work put right at {}",
}


@dataclass(frozen=True)
class Why:
    """Sentences about differences.

    Parameters
    ----------
    data : all runs.
    figures : the figures of the works as a whole, by key.
    stays : from the runs whose events were kept.
    """

    data: Gathered
    figures: dict[str, Estimate]
    stays: Stays

    def output(self) -> str:
        """Of the output against the pace."""
        out, came = self.figures["output_a_week"].mean, self.figures["calls_a_week"].mean
        said = [f"{came:.1f} a week came in, {out:.1f} went out."]
        first, last = self._inside_from_to
        if abs(last - first) >= 1:
            said.append(f"Vehicles inside went from {first:.0f} to {last:.0f} in that time.")
        gate = self.figures["gate_mean"].mean
        if gate >= 0.5:
            said.append(f"{gate:.1f} waited at the gate, because no more may be inside.")
        name, share = self._least_to_spare
        said.append(
            f"Least to spare: {name}, {share:.0%} in use without the finished pieces that block it."
        )
        return " ".join(said)

    def inside(self) -> str:
        """Of the vehicles inside: rate times turn time."""
        out = self.figures["output_a_week"].mean
        turn = self.figures["turn_days_mean"].mean
        if isnan(turn):
            return "No vehicle that came in was out again by the end of the time measured."
        expected = sum(one.share * one.expected_days for one in self.data.line.turns)
        return (
            f"As many are inside as come in their turn time: {out:.1f} a week out with {turn:.1f} "
            f"working days each, where the plan has {self.data.line.pace_a_week:.1f} with "
            f"{expected:.1f}."
        )

    def turn(self) -> str:
        """Of the turn time: work and the heaviest waits, in days a vehicle."""
        route = sum(one.share * one.route_days for one in self.data.line.turns)
        work = self.figures["work_days"].mean
        held = self.figures["holdup_days"].mean
        named = ", ".join(f"{days:.1f} {name}" for name, days in self._heaviest) or "none"
        return (
            f"{work:.1f} days of work and {held:.1f} of waiting a vehicle; the route without "
            f"waiting takes {route:.1f}. Most of the waiting: {named}."
        )

    def units(self, k: int, turn_days: float, offset_days: float) -> str:
        """Of the readiness of a unit kind: how long units took, when they were asked for."""
        day = self.data.day
        offset, sd = self.stays.offset_minutes[k] / day, self.stays.offset_sd[k] / day
        if np.isnan(offset):
            return "In the runs looked into, no vehicle was followed from removal to need."
        said = (
            f"Vehicles asked for it {offset:.1f} working days after removal, with a standard "
            f"deviation of {sd:.1f}, where the plan has {offset_days:.1f} and the same for each."
        )
        turn = self.stays.turn_minutes[k] / day
        if not np.isnan(turn):
            said += f" Units were serviceable after {turn:.1f}, in the plan after {turn_days:.1f}."
        return said

    def all_units(self, floats: Sequence[FloatForecast]) -> str:
        """Of all units of a vehicle together: the kinds that were lacking most."""
        asked = [one for one in floats if not np.isnan(one.ready_share)]
        scarcest = sorted(asked, key=lambda one: one.ready_share)[:NAMED]
        named = ", ".join(
            f"{one.name} {one.ready_share:.0%} (plan {one.ready_plan:.0%})" for one in scarcest
        )
        return (
            "The plan multiplies the chances of the kinds, as if each were short at a time of its "
            f"own. There when asked for, the scarcest kinds: {named or 'none was asked for'}."
        )

    def stage(self, s: int, load: StageLoad) -> str:
        """Of the positions of a stage: how long a piece holds one, and for what."""
        minutes = self.stays.minutes[s] / self.data.day
        planned = load.hours_mean / self.data.works.shop_hours_a_day[load.shop_id]
        parts = dict(zip(PASTIMES, minutes.tolist(), strict=True))
        work = parts.pop("work")
        waits = sorted(parts.items(), key=lambda one: -one[1])
        named = [
            f"{days:.2f} it {_WAITS_FOR[what]}"
            for what, days in waits
            if days >= LEAST_SHARE * minutes.sum()
        ]
        said = (
            f"A piece holds a position {minutes.sum():.2f} working days, by its hours {planned:.2f}"
        )
        said += f": {work:.2f} work" + "".join(f", {one}" for one in named[:NAMED])
        failed = float(self.stays.failed_share[s])
        if failed >= LEAST_SHARE:
            said += f". Work is also what {failed:.0%} failed tests have put right and done again"
        return f"{said}. {self._rate()}"

    def crew(self, plan_share: float) -> str:
        """Of the use of a crew: what the output alone would make of it."""
        ratio = self.figures["output_a_week"].mean / self.data.line.pace_a_week
        redone = self.figures["holdup_days_inspection"].mean
        said = f"{self._rate()} That alone makes {plan_share * ratio:.0%} of {plan_share:.0%}."
        if redone > 0:
            said += f" Work put right or done again takes {redone:.2f} days a vehicle on top."
        return said

    def _rate(self) -> str:
        out = self.figures["output_a_week"].mean
        return f"Output is {out:.1f} a week, the pace {self.data.line.pace_a_week:.1f}."

    @cached_property
    def _least_to_spare(self) -> tuple[str, float]:
        """The place most in use for its own sake: a full place behind a slow one is not slow."""
        index = {one.stage_id: s for s, one in enumerate(self.data.works.stages)}
        own = []
        for use in uses(self.data):
            share = use.use_share
            if use.of is UseOf.STAGE:
                minutes = self.stays.minutes[index[use.place_id]]
                share *= 1 - minutes[-1] / minutes.sum() if minutes.sum() else 1.0
            own.append((use.name, float(share)))
        return max(own, key=lambda one: one[1])

    @cached_property
    def _heaviest(self) -> Sequence[tuple[str, float]]:
        named = []
        each = self.data.each_days.mean
        for cause, span in spans(self.data.causes).items():
            columns = range(span.start, span.stop)
            for place, column in zip(places(self.data)[cause], columns, strict=True):
                named.append((_STANDS[cause].format(place[1]), float(each[column])))
        heaviest = sorted(named, key=lambda one: -one[1])[:NAMED]
        return [one for one in heaviest if one[1] > 0]

    @cached_property
    def _inside_from_to(self) -> tuple[float, float]:
        weeks = self.data.rows("inside_weeks").mean(axis=0)
        first = self.data.measure.table.days.measure_from // WEEK
        return float(weeks[min(first, len(weeks) - 1)]), float(weeks[-1])
