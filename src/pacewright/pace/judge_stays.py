"""The judge of stays: time on a position worked out again, night by night and test by test."""

from math import sqrt

from pacewright.shops.tables import Stage

_STARTS_TRIED = 4000
_LEFT = 1e-12


def charge_of(stage: Stage) -> int:
    """Pieces that go through together, each on a position."""
    return min(stage.batch_size, stage.positions)


def once_hours(stage: Stage, day: float) -> float:
    """Mean working hours of the stage done once."""
    return _mean_and_sd(stage, 0.0, day)[0]


def stay_hours(stage: Stage, day: float) -> tuple[float, float]:
    """Mean and standard deviation of the stay until the test is passed, failure by failure."""
    once, once_sd = _mean_and_sd(stage, 0.0, day)
    again, again_sd = _mean_and_sd(stage, stage.rectify_hours, day)
    chance, failures, mean, square = stage.first_pass_share, 0, 0.0, 0.0
    while chance > _LEFT:
        stay = once + failures * again
        mean += chance * stay
        square += chance * (stay**2 + once_sd**2 + failures * again_sd**2)
        failures += 1
        chance *= 1 - stage.first_pass_share
    return mean, sqrt(max(0.0, square - mean**2))


def _mean_and_sd(stage: Stage, before: float, day: float) -> tuple[float, float]:
    least, usual, most = (
        _worked_hours(stage, before + hours, day)
        for hours in (stage.hours_least, stage.hours_usual, stage.hours_most)
    )
    return least / 6 + usual * 2 / 3 + most / 6, (most - least) / 6


def _worked_hours(stage: Stage, hours: float, day: float) -> float:
    """Working hours a stay takes; through the night tried for many starts in the day."""
    if not stage.night_goes_on:
        return hours
    total = 0.0
    for number in range(_STARTS_TRIED):
        start = (number + 0.5) / _STARTS_TRIED * day
        nights, clock = divmod(start + hours, 24)
        total += nights * day + min(clock, day) - start
    return total / _STARTS_TRIED
