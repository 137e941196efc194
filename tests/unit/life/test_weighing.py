"""How old value and record are weighed, and what a decision does to the next proposal."""

from datetime import date, datetime

import numpy as np
import pytest
from scipy import stats

from pacewright.events.record import FactorDecided
from pacewright.life.cells import Cell, Ratio
from pacewright.life.weighing import (
    JUDGED_WEIGHT,
    Believed,
    Interval,
    Seen,
    Weighing,
    believed_mean,
    believed_share,
    rounded,
    student,
)

CELL = Cell("stages", "test", "first_pass_share")
AT = datetime(2026, 5, 4, 9)
SEEN = Seen(0.8, 50, "first results", date(2026, 3, 2), date(2026, 5, 1))


def decided(accepted: bool, old: str = "1", new: str = "0.83", sample: float = 60) -> Weighing:
    """A weighing that remembers one decision."""
    event = FactorDecided(AT, *CELL, old, new, accepted, sample, "planner 1")
    return Weighing({CELL: event})


@pytest.mark.parametrize("degrees", [1, 2, 3, 10, 200, 20_000])
@pytest.mark.parametrize("level", [0.9, 0.99])
def test_student_as_scipy(degrees: int, level: float) -> None:
    """Quantiles of Student's law as scipy.stats.t gives them; beyond 10,000 the normal law's."""
    other = stats.t.ppf((1 + level) / 2, degrees)
    assert student(level, degrees) == pytest.approx(other, rel=2e-4)


def test_a_mean_of_many_stands_for_itself() -> None:
    """Without an old value the range is that of scipy.stats.ttest_1samp's confidence interval."""
    draws = np.random.default_rng(4).normal(50, 6, 30)
    mean, error = float(draws.mean()), float(draws.std(ddof=1)) / 30**0.5
    found = believed_mean(None, 0, mean, error, 30)
    other = stats.ttest_1samp(draws, 0).confidence_interval(0.9)
    assert tuple(found.shown) == pytest.approx((other.low, other.high), rel=1e-6)


def test_few_cases_move_a_mean_little() -> None:
    """Five cases beside a weight of ten move it a third of the way."""
    assert believed_mean(1.0, 10, 1.3, 0.05, 5).figure == pytest.approx(1.1)


def test_a_share_of_nought_or_one_can_be_unlearned() -> None:
    """Half a case is granted to the other side, so that the belief never is certain."""
    found = believed_share(1.0, 10, needed=0, looked_at=30)
    assert found.figure == pytest.approx(10 / 40.5)
    assert not found.real.holds(1.0)


def test_a_rare_share_keeps_its_mean_before_any_case() -> None:
    """A judgement of 2 % is 2 % until something is counted, however little it weighs."""
    assert believed_share(0.02, 10, needed=0, looked_at=0).figure == pytest.approx(0.02)


def test_the_weight_is_the_sample_or_a_judgement() -> None:
    """Sample of the table; else that of the accepted proposal that stands there; else ten."""
    assert Weighing({}).weight(CELL, 0.9, 120) == 120
    assert Weighing({}).weight(CELL, 0.9, 0) == JUDGED_WEIGHT
    assert decided(True).weight(CELL, 0.83, None) == 60
    assert decided(True).weight(CELL, 0.9, None) == JUDGED_WEIGHT
    assert decided(False).weight(CELL, 0.83, None) == JUDGED_WEIGHT


def test_rejected_until_twice_the_evidence_or_another_value() -> None:
    """Less than twice as much is silent; another value in the table asks anew."""
    believed = Believed(0.8, Interval(0.7, 0.9), Interval(0.6, 0.95))
    silent = decided(False, sample=26).proposal(CELL, 1.0, None, SEEN, believed)
    assert silent.real and silent.rejected_on == AT.date() and not silent.asked
    assert decided(False, sample=25).proposal(CELL, 1.0, None, SEEN, believed).asked
    assert decided(False, old="0.99", sample=26).proposal(CELL, 1.0, None, SEEN, believed).asked


def test_real_is_outside_the_wide_range() -> None:
    """Outside the 90 % range alone is no real difference, nor is a value that rounds alike."""
    wide = Believed(0.8, Interval(0.75, 0.85), Interval(0.6, 0.95))
    assert not Weighing({}).proposal(CELL, 0.9, None, SEEN, wide).real
    narrow = Believed(0.80004, Interval(0.80003, 0.80005), Interval(0.80002, 0.80006))
    assert not Weighing({}).proposal(CELL, 0.8, None, SEEN, narrow).real
    assert Weighing({}).proposal(CELL, None, None, SEEN, wide).real


@pytest.mark.parametrize(
    ("column", "old", "proposed", "real"),
    [
        ("turn_days", 10.0, 10.2, False),
        ("turn_days", 10.0, 10.4, True),
        ("first_pass_share", 0.98, 0.96, True),
        ("first_pass_share", 0.5, 0.51, False),
        ("removal_share", 1.0, 0.999, True),
    ],
)
def test_what_does_not_matter_is_not_asked(
    column: str, old: float, proposed: float, real: bool
) -> None:
    """However surely known, a change below 3 % (of a share: of its smaller side) is left alone."""
    sure = Interval(proposed - 1e-6, proposed + 1e-6)
    cell = Cell("x", "y", column)
    assert Weighing({}).proposal(cell, old, None, SEEN, Believed(proposed, sure, sure)).real is real


def test_what_the_record_shows_alike_is_no_difference() -> None:
    """All of 900 units came off, as the table says: the half case of doubt makes no difference."""
    cell = Cell("unit_kinds", "motor", "removal_share")
    alike = Seen(1.0, 900, "units carried", date(2026, 3, 2), date(2026, 5, 1))
    assert not Weighing({}).proposal(cell, 1.0, None, alike, believed_share(1.0, 10, 900, 900)).real


def test_three_digits_are_written() -> None:
    """A cell gets no more digits than it is worth."""
    assert [rounded(x) for x in (0.123456, 12.3456, 1234.5)] == [0.123, 12.3, 1230.0]


def test_ratio_and_its_error_by_hand() -> None:
    """Cochran's ratio estimate of (2, 1), (3, 2), (7, 3): 2, error by the formula in numpy."""
    ratio = Ratio()
    y, x = np.array([2.0, 3.0, 7.0]), np.array([1.0, 2.0, 3.0])
    for taken, due in zip(y, x, strict=True):
        ratio.add(float(taken), float(due), date(2026, 3, 2))
    assert ratio.mean == pytest.approx(2.0)
    by_formula = (((y - 2 * x) ** 2).sum() / (3 * 2)) ** 0.5 / x.mean()
    assert ratio.sd == pytest.approx(by_formula)
    both = Ratio()
    both.join(ratio)
    assert both == ratio
