"""What the line says of the work after failed tests."""

from collections.abc import Sequence

from pacewright.pace.problem import LineProblem
from pacewright.shops.repeats import again_hours
from pacewright.works import Works


def charge_notes(works: Works, problem: LineProblem) -> Sequence[str]:
    """Stages whose positions do not take the charge that the table names."""
    passed = {stage_id for type_id in problem.mix for stage_id in problem.routes[type_id].passes}
    return [
        f"Stage {one.stage_id}: a charge of {one.batch_size} and {one.positions} positions; each "
        f"piece stands on a position of its own, so {one.charge_size} go through together. Give "
        f"stages.csv {one.batch_size} positions for every charge that fits at once."
        for one in works.stages
        if one.stage_id in passed and one.batch_size > one.positions
    ]


def repeat_notes(works: Works, problem: LineProblem) -> Sequence[str]:
    """What failed tests add to the line, in hours; nothing where none fails."""
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
        "Work after failed tests is counted in hours, positions and turn times, at its mean. For "
        f"each piece, on its position and for its people, it is: {', '.join(said)}. Offsets of "
        "units leave it out, for most vehicles pass at first and need their units so soon."
    ]
