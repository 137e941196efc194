"""Work after failed tests: how often a stage is done again, and the hours that takes."""

from collections.abc import Sequence

from pacewright.pace.problem import LineProblem
from pacewright.shops.tables import Stage
from pacewright.works import Works


def repeats_mean(pass_share: float) -> float:
    """Times a stage is done again on average until its test is passed.

    Parameters
    ----------
    pass_share : chance p to pass, the same each time, above 0.

    Equations
    ---------
    (1 - p) / p: failures before the first success (geometric law; Feller 1968, ch. XI, from
    memory).

    Examples
    --------
    >>> repeats_mean(0.8)
    0.25
    """
    return (1 - pass_share) / pass_share


def again_hours(stage: Stage) -> float:
    """Mean hours that a piece is put right and worked at again at a stage [h].

    Each failed test costs ``rectify_hours`` and the stage's mean hours once more, as the flow
    simulation takes it.
    """
    mean = (stage.hours_least + 4 * stage.hours_usual + stage.hours_most) / 6
    return repeats_mean(stage.first_pass_share) * (stage.rectify_hours + mean)


def repeat_notes(works: Works, problem: LineProblem) -> Sequence[str]:
    """What the line leaves out where tests fail, in hours; nothing where none fails."""
    passed = {stage_id for type_id in problem.mix for stage_id in problem.routes[type_id].passes}
    said = [
        f"{again_hours(one):.2g} h at {one.stage_id} "
        f"({1 - one.first_pass_share:.0%} fail, {one.rectify_hours:g} h to put right)"
        for one in works.stages
        if one.first_pass_share < 1 and one.stage_id in passed
    ]
    if not said:
        return []
    return [
        "Work after failed tests is left out of hours, positions and turn times here. It adds on "
        f"average, for each piece and its people: {', '.join(said)}. The simulation has it."
    ]
