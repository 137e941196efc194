"""What a line can put out with so many vehicles inside: best, practical worst and worst case."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LineBounds:
    """The line as a whole (Hopp and Spearman, Factory Physics, ch. 7).

    Parameters
    ----------
    slowest_a_day : rate of the slowest place, r_b [vehicles a working day].
    bare_days : time through the line with no waiting, T_0 [working days].
    """

    slowest_a_day: float
    bare_days: float

    @property
    def critical_inside(self) -> float:
        """Vehicles inside that give full output if nothing scatters: W_0 = r_b T_0."""
        return self.slowest_a_day * self.bare_days

    def best_a_day(self, inside: float) -> float:
        """Output if nothing scatters: min(w / T_0, r_b)."""
        return min(inside / self.bare_days, self.slowest_a_day)

    def practical_worst_a_day(self, inside: float) -> float:
        """Output of a balanced line in full disorder: w / (W_0 + w - 1) r_b."""
        return inside / (self.critical_inside + inside - 1) * self.slowest_a_day

    def worst_a_day(self) -> float:
        """Output if all vehicles move as one batch: 1 / T_0."""
        return 1 / self.bare_days

    def practical_worst_days(self, inside: float) -> float:
        """Time through at the practical worst case: T_0 + (w - 1) / r_b."""
        return self.bare_days + (inside - 1) / self.slowest_a_day


def vehicles_inside(pace_a_day: float, turn_days: float) -> float:
    """Mean number inside: Little's law, L = lambda W (Little 1961).

    >>> vehicles_inside(44 / 5, 15)
    132.0
    """
    return pace_a_day * turn_days
