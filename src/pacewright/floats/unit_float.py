"""One unit kind by itself: its readiness for every float, type and wait, and under which law."""

from dataclasses import dataclass, replace

import numpy as np

from pacewright.floats.even_call_in import even_readiness
from pacewright.floats.finite_shop import LOADED_SHARE
from pacewright.floats.loaded_shop import loaded_readiness
from pacewright.floats.problem import Stream, UnitQuestion
from pacewright.floats.random_call_in import random_readiness
from pacewright.floats.readiness import ReadyTable
from pacewright.floats.turn_time import TurnLaw, WaitingTurn, mean_and_sd, mean_beyond
from pacewright.floats.two_sites import second_site_ready

LATE_DAYS = tuple(float(day) for day in range(11))
"""Days after the need at which the lateness curve is drawn."""


@dataclass(frozen=True, slots=True)
class UnitFloat:
    """What is known of one unit kind before the floats are set.

    Parameters
    ----------
    even : readiness under even call-in at ``LATE_DAYS`` and, last, one takt after the need;
        None when the shop cannot keep the pace.
    at_random : readiness at the need under random call-in.
    unscrapped : readiness at the need if nothing were condemned; None when nothing is.
    turn_days, turn_sd_days : removal to serviceable, lots, despatch and queue included.
    pipeline_mean : units a float must cover on average.
    use_share : load of the benches; None when they are not stated.
    """

    question: UnitQuestion
    even: ReadyTable | None
    at_random: ReadyTable | None
    unscrapped: ReadyTable | None
    turn_days: float
    turn_sd_days: float
    pipeline_mean: float
    law: str
    use_share: float | None
    site_ready: float | None


def unit_float(question: UnitQuestion) -> UnitFloat:
    """The readiness of one kind, by the law that its stream and its shop call for."""
    stream = question.stream
    use_share = bench_load(question)
    if use_share is not None and use_share >= 1:
        stated, spread = mean_and_sd(stream.turn)
        law = "shop slower than the pace"
        return UnitFloat(question, None, None, None, stated, spread, np.inf, law, use_share, None)
    looks = (*LATE_DAYS, stream.takt_days)
    if use_share is not None and use_share > LOADED_SHARE and question.bench is not None:
        even, turn = loaded_readiness(stream, question.bench, looks)
        at_random, _ = loaded_readiness(stream, question.bench, (0.0,), at_random=True)
        turn_days = turn.mean_days + _mean_wait(stream)
        turn_sd_days = turn.sd_days
    else:
        even = even_readiness(stream, looks)
        at_random = random_readiness(stream)
        turn_days, turn_sd_days = mean_and_sd(waited_turn(stream))
    return UnitFloat(
        question=question,
        even=even,
        at_random=at_random,
        unscrapped=_unscrapped(question, use_share),
        turn_days=turn_days,
        turn_sd_days=turn_sd_days,
        pipeline_mean=pipeline_mean(stream),
        law=_law(question, use_share),
        use_share=use_share,
        site_ready=_site_ready(question),
    )


def bench_load(question: UnitQuestion) -> float | None:
    """Load of the benches by all units repaired, the second site's included."""
    if question.bench is None:
        return None
    stream = question.stream
    drawn = stream.units_a_takt / stream.takt_days + stream.site_a_day
    return question.bench.use_share(drawn * (1 - stream.scrap_share))


def _mean_wait(stream: Stream) -> float:
    return float(np.mean(_lot_waits(stream))) + stream.despatch_days / 2


def _lot_waits(stream: Stream) -> np.ndarray:
    # The unit that fills the lot does not wait; the first waits for Q - 1 more.
    between = stream.takt_days / max(stream.units_a_takt, 1e-9)
    return np.arange(stream.lot_size) * between


def waited_turn(stream: Stream) -> TurnLaw:
    """The turn with the waits for lot and despatch, each moment within them as likely."""
    if stream.lot_size <= 1 and stream.despatch_days <= 0:
        return stream.turn
    steps = 8 if stream.despatch_days > 0 else 1
    despatch = (np.arange(steps) + 0.5) / steps * stream.despatch_days
    waits = (_lot_waits(stream)[:, None] + despatch[None, :]).ravel()
    return WaitingTurn(stream.turn, tuple(float(wait) for wait in waits))


def pipeline_mean(stream: Stream) -> float:
    """Units on average that are off vehicles already served at a need, second site included.

    Equations: rate x E(T - offset)+ summed over the types (condemned units: the lead time in
    place of T), + rate of the second site x (transit + E T).
    """
    turn = waited_turn(stream)
    total = 0.0
    for need in stream.needs:
        offset = need.needed_day - need.removed_day
        beyond = (1 - stream.scrap_share) * float(mean_beyond(turn, np.array([offset]))[0])
        beyond += stream.scrap_share * max(0.0, stream.purchase_days - offset)
        total += need.share * need.per_vehicle * stream.removal_share / stream.takt_days * beyond
    if stream.scrap_share > 0:
        total += (stream.purchase_lot - 1) / 2
    whole = (1 - stream.scrap_share) * (
        float(mean_beyond(stream.turn, np.zeros(1))[0]) + stream.site_transit_days
    ) + stream.scrap_share * stream.purchase_days
    return total + stream.site_a_day * whole


def _unscrapped(question: UnitQuestion, use_share: float | None) -> ReadyTable | None:
    if question.stream.scrap_share <= 0:
        return None
    kept = replace(question.stream, scrap_share=0.0)
    if use_share is not None and use_share > LOADED_SHARE:
        # The benches would have the condemned ones too: compare at the same load of the shop.
        return None
    return even_readiness(kept)


def _law(question: UnitQuestion, use_share: float | None) -> str:
    stream = question.stream
    loaded = use_share is not None and use_share > LOADED_SHARE
    words = ["even call-in through a loaded shop" if loaded else "even call-in, exact"]
    if stream.removal_share < 1:
        words.append("removed on some")
    if stream.lot_size > 1:
        words.append(f"lots of {stream.lot_size}")
    if stream.despatch_days > 0:
        words.append(f"despatch every {stream.despatch_days:g} days")
    if stream.scrap_share > 0:
        words.append("scrap and purchase")
    if stream.site_a_day > 0:
        words.append("second site at random")
    return ", ".join(words)


def _site_ready(question: UnitQuestion) -> float | None:
    if question.stream.site_a_day <= 0:
        return None
    return second_site_ready(question.stream, question.held, question.kind.site_float)
