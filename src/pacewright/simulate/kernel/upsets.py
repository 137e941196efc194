"""Upsets: a position or a bench is lost for a time."""

from pacewright.simulate.kernel.agenda import push
from pacewright.simulate.kernel.chance import drawn, exponential, whole
from pacewright.simulate.kernel.clock import end_of_work
from pacewright.simulate.kernel.codes import CODE, RANK, STREAM
from pacewright.simulate.kernel.compiled import compiled
from pacewright.simulate.kernel.diary import note
from pacewright.simulate.kernel.lines import look_at
from pacewright.simulate.kernel.memory import NONE, RUN, Reals, Words
from pacewright.simulate.kernel.things import KIND, STAGE, UPSET
from pacewright.simulate.kernel.units import start_benches


@compiled
def next_upset(m: Words, x: Reals, u: int) -> None:
    """The next upset of a kind is due."""
    share = drawn(m, STREAM.UPSET, m[u + UPSET.key], 0, 2 * m[u + UPSET.times])
    gap = whole(exponential(m, x, x[u + UPSET.gap], share))
    push(m, end_of_work(m, m[RUN.own_minutes], gap), RANK.UPSET, u)


@compiled
def upset(m: Words, x: Reals, u: int) -> None:
    """A position or a bench is lost for a time."""
    note(m, CODE.UPSET, NONE, m[u + UPSET.number], 0)
    count_out(m, u, 1)
    if x[u + UPSET.gap] > 0:
        share = drawn(m, STREAM.UPSET, m[u + UPSET.key], 0, 2 * m[u + UPSET.times] + 1)
        out = whole(exponential(m, x, x[u + UPSET.out], share))
        push(m, m[RUN.now] + out, RANK.UPSET_END, u)
        m[u + UPSET.times] += 1
        next_upset(m, x, u)
    else:
        push(m, m[RUN.now] + int(x[u + UPSET.out]), RANK.UPSET_END, u)


@compiled
def mended(m: Words, x: Reals, u: int) -> None:
    """It is back."""
    note(m, CODE.MENDED, NONE, m[u + UPSET.number], 0)
    count_out(m, u, -1)
    if m[u + UPSET.stage] != NONE:
        look_at(m, m[m[u + UPSET.stage] + STAGE.look])
    else:
        start_benches(m, x, m[u + UPSET.kind])


@compiled
def count_out(m: Words, u: int, change: int) -> None:
    """Places lost, more or less."""
    if m[u + UPSET.stage] != NONE:
        m[m[u + UPSET.stage] + STAGE.out] += change
    else:
        m[m[u + UPSET.kind] + KIND.benches_out] += change
