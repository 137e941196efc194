"""Work after failed tests: how often a stage is done again, and what that takes."""

from pacewright.shops.tables import Stage


def repeats_mean(pass_share: float) -> float:
    """Times a stage is done again on average until its test is passed.

    Parameters
    ----------
    pass_share : chance p to pass, the same each time, above 0.

    Equations
    ---------
    (1 - p) / p: failures before the first success, so 1 / p passes in all (geometric law; Feller
    1968, ch. XI; Hopp and Spearman, *Factory Physics*, on rework; both from memory).

    Examples
    --------
    >>> repeats_mean(0.8)
    0.25
    """
    return (1 - pass_share) / pass_share


def repeats_variance(pass_share: float) -> float:
    """Variance of the times a stage is done again: (1 - p) / p^2 (same source)."""
    return (1 - pass_share) / pass_share**2


def once_hours(stage: Stage) -> float:
    """Mean hours of the stage done once, (least + 4 usual + most) / 6 [h]."""
    return (stage.hours_least + 4 * stage.hours_usual + stage.hours_most) / 6


def again_hours(stage: Stage) -> float:
    """Mean hours that a piece is put right and worked at again at a stage [h].

    Each failed test costs ``rectify_hours`` and the stage's mean hours once more, as the flow
    simulation takes it.
    """
    return repeats_mean(stage.first_pass_share) * (stage.rectify_hours + once_hours(stage))


def work_times(stage: Stage) -> tuple[float, float]:
    """Mean and variance of the work of a piece until it passes, the first time being 1.

    The crew of the stage puts right as well, so each repeat asks of each trade its hours of the
    stage times k = (rectify + once) / once.

    Equations
    ---------
    1 + k R with R repeats: mean 1 + k (1 - p) / p, variance k^2 (1 - p) / p^2.
    """
    share, once = stage.first_pass_share, once_hours(stage)
    each = (stage.rectify_hours + once) / once
    return 1 + each * repeats_mean(share), each**2 * repeats_variance(share)
