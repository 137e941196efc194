"""The samples of all replications side by side: one row a replication."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from pacewright.plans.line import Line
from pacewright.simulate.estimate import Interval, ratio
from pacewright.simulate.run import Causes
from pacewright.simulate.sample import Measure, Sample
from pacewright.simulate.table import Floats
from pacewright.works import Works


@dataclass(frozen=True)
class Gathered:
    """Everything the figures of a forecast are made from.

    Parameters
    ----------
    works, line : what was run, and what the closed forms say of it.
    measure : the table and the promises.
    samples : of replications 0, 1, 2 ..., at least one.
    confidence : of the intervals.
    """

    works: Works
    line: Line
    measure: Measure
    samples: Sequence[Sample]
    confidence: float

    @property
    def day(self) -> int:
        """Worked minutes of a working day."""
        return int(self.measure.table.days.minutes[0])

    @property
    def days(self) -> float:
        """Working days measured."""
        return self.measure.minutes / self.day

    @property
    def full_weeks(self) -> float:
        """Working days measured, counted in full weeks: what a rate "a week" refers to."""
        return self.days / self.works.week_days

    @cached_property
    def causes(self) -> Causes:
        """The columns of waits."""
        return Causes.of(self.measure.table)

    def column(self, field: str) -> Floats:
        """One value a replication, as a column."""
        return self.rows(field).reshape(len(self.samples), 1)

    def rows(self, field: str) -> Floats:
        """A field of every sample."""
        return np.array([getattr(one, field) for one in self.samples], float)

    def integral(self, field: str) -> Floats:
        """A time integral of every sample; one that is a single value as a column."""
        found = np.array([getattr(one.integrals, field) for one in self.samples], float)
        return found.reshape(len(self.samples), -1)

    def over_time(self, field: str) -> Interval:
        """Means over the time measured of what is kept as a time integral."""
        return self.mean(self.integral(field) / self.measure.minutes)

    def mean(self, values: Floats) -> Interval:
        """Means of values a replication."""
        return ratio(values, np.ones((len(values), 1)), self.confidence)

    @cached_property
    def released(self) -> Floats:
        """Vehicles released in the time measured."""
        return np.asarray(self.rows("released_types").sum(axis=1, keepdims=True), float)

    @cached_property
    def turned(self) -> Floats:
        """Vehicles released whose arrival was seen."""
        return np.array([[len(one.turn_minutes)] for one in self.samples], float)

    @cached_property
    def turned_by_type(self) -> Floats:
        """Vehicles released whose arrival was seen, by type."""
        return np.array(
            [np.bincount(one.turn_types, minlength=self._types) for one in self.samples], float
        )

    @cached_property
    def turned_days_by_type(self) -> Floats:
        """Their turn times summed [working days]."""
        return np.array(
            [
                np.bincount(one.turn_types, one.turn_minutes / self.day, self._types)
                for one in self.samples
            ],
            float,
        )

    @property
    def _types(self) -> int:
        return len(self.measure.promised_minutes)

    @cached_property
    def each_days(self) -> Interval:
        """Working days a vehicle spends for each cause (``Causes``), work last."""
        return ratio(self.rows("whole_minutes") / self.day, self.turned, self.confidence)
