"""What money bought: share in time against cost, step by step, and the answer as verified."""

from collections.abc import Sequence
from dataclasses import dataclass

from pacewright.reports.drawings.scale import Scale, largest, round_steps
from pacewright.reports.drawings.svg import Drawing, circle, drawing, line, steps, words
from pacewright.reports.written import number, share

WIDE, TALL = 720.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 56.0, 44.0, 18.0, 46.0


@dataclass(frozen=True, slots=True)
class Bought:
    """One point of the path.

    Parameters
    ----------
    cost : of all there is by then. ``chance``, ``half_width`` : share in time with it.
    says : what was added last, in words.
    """

    cost: float
    chance: float
    half_width: float
    says: str


def growth_path(path: Sequence[Bought], answer: Bought, promise: float, unit: str) -> Drawing:
    """The path as steps, the answer after taking back as a ring, the promise as a line.

    Parameters
    ----------
    unit : of the cost.
    """
    most = largest([one.cost for one in (*path, answer)])
    ticks = round_steps(most)
    across = Scale(0, ticks[-1], LEFT, WIDE - RIGHT)
    up = Scale(0, 1, TALL - BOTTOM, TOP)
    parts = []
    for tick in (0, 0.2, 0.4, 0.6, 0.8, 1.0):
        parts.append(line((LEFT, up(tick)), (WIDE - RIGHT, up(tick)), "grid"))
        parts.append(words(LEFT - 8, up(tick) + 4, f"{100 * tick:.0f} %", "tick end"))
    below = TALL - BOTTOM + 18
    parts += [words(across(tick), below, f"{tick:,g}", "tick mid") for tick in ticks]
    parts.append(line((LEFT, up(0)), (WIDE - RIGHT, up(0)), "axis"))
    parts.append(words(WIDE - RIGHT, TALL - 6, f"cost [{unit}]", "tick end"))
    parts.append(line((LEFT, up(promise)), (WIDE - RIGHT, up(promise)), "edge"))
    parts.append(words(LEFT + 6, up(promise) - 5, f"promise {share(promise)}", "strong"))
    course = steps((across(one.cost), up(one.chance)) for one in path)
    parts.append(f'<path d="{course}" class="calledrun"/>')
    for one in path:
        parts.append(_interval(one, across, up))
        parts.append(circle(across(one.cost), up(one.chance), 3.5, "here", one.says))
    parts.append(_interval(answer, across, up))
    parts.append(circle(across(answer.cost), up(answer.chance), 6, "against", answer.says))
    about = (
        f"From {share(path[0].chance, 1)} at no cost to {share(answer.chance, 1)} at "
        f"{number(answer.cost)} {unit}; the promise is {share(promise)}."
    )
    return drawing("path", (WIDE, TALL), ("Share in time against cost", about), *parts)


def _interval(one: Bought, across: Scale, up: Scale) -> str:
    x = across(one.cost)
    low, high = up.held(one.chance - one.half_width), up.held(one.chance + one.half_width)
    return line((x, low), (x, high), "interval")
