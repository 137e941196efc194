"""The line of one unit kind: held against needed, with readiness, lateness and prices."""

from pacewright.floats.problem import FloatProblem
from pacewright.floats.purchase import bought_a_day
from pacewright.floats.readiness import ReadyTable
from pacewright.floats.unit_float import LATE_DAYS, UnitFloat
from pacewright.plans.floatlist import FloatLine


def float_line(problem: FloatProblem, unit: UnitFloat, needed: int, in_hand: int) -> FloatLine:
    """The line of one kind.

    Parameters
    ----------
    needed : float set together with the other kinds.
    in_hand : units held and to be bought.
    """
    question, stream, kind = unit.question, unit.question.stream, unit.question.kind
    held, even = question.held, unit.even
    short = max(0, needed - held)
    wanted = even.mean(needed) if even else 0.0
    takt_look = len(LATE_DAYS)
    return FloatLine(
        unit_kind_id=kind.unit_kind_id,
        name=kind.name,
        shop_id=kind.shop_id,
        per_vehicle=sum(need.share * need.per_vehicle for need in stream.needs),
        removed_a_week=stream.units_a_takt * problem.pace_a_week,
        turn_days=unit.turn_days,
        turn_sd_days=unit.turn_sd_days,
        offset_days=min(need.needed_day - need.removed_day for need in stream.needs),
        pipeline_mean=unit.pipeline_mean,
        law=unit.law,
        held=held,
        serviceable=question.serviceable,
        quarantine=question.quarantine,
        needed=needed,
        needed_random=_least(unit.at_random, wanted, needed),
        short=short,
        ready_held=even.mean(held) if even else 0.0,
        ready_needed=wanted,
        ready_random_held=unit.at_random.mean(held) if unit.at_random else 0.0,
        bought_a_year=bought_a_day(stream) * problem.days_a_year,
        purchase_stock=needed - min(needed, _least(unit.unscrapped, wanted, needed)),
        unit_cost=kind.unit_cost,
        cost_short=short * kind.unit_cost,
        ready_one_more=even.mean(held + 1) if even else 0.0,
        ready_one_takt=even.mean(held, takt_look) if even else 0.0,
        takt_worth_units=stream.units_a_takt,
        late_days=LATE_DAYS,
        late_chance=tuple(
            1 - even.mean(held, look) if even else 1.0 for look in range(len(LATE_DAYS))
        ),
        note=_note(unit),
        buy=in_hand - held,
        ready_bought=even.mean(in_hand) if even else 0.0,
        types=tuple(need.type_id for need in stream.needs),
        ready_held_by_type=_each(unit, held),
        ready_needed_by_type=_each(unit, needed),
        shop_use_share=unit.use_share,
        site_ready=unit.site_ready,
    )


def _least(table: ReadyTable | None, chance: float, otherwise: int) -> int:
    if table is None:
        return otherwise
    found = table.least_float(chance)
    return table.most if found is None else found


def _each(unit: UnitFloat, units: int) -> tuple[float, ...]:
    if unit.even is None:
        return tuple(0.0 for _ in unit.question.stream.needs)
    return unit.even.by_type(units)


def _note(unit: UnitFloat) -> str:
    kind, stream = unit.question.kind, unit.question.stream
    notes = []
    if unit.even is None:
        notes.append(overload(unit))
    elif unit.use_share is not None and unit.law.startswith("even call-in through"):
        notes.append(
            f"Its benches are loaded {unit.use_share:.0%}: the queue before them sets the turn "
            f"({unit.turn_days:.1f} days on average, {kind.turn_days:g} stated)."
        )
    if stream.lot_size > 1 or stream.despatch_days > 0:
        notes.append(
            "Waits for lot and despatch stand on top of turn_days; if they are in it already, "
            "set lot_size 1 and despatch_days 0."
        )
    if stream.scrap_share > 0 and stream.purchase_days <= 0:
        notes.append("Scrap is replaced at once, as purchase_days is 0: state the lead time.")
    if unit.site_ready is not None:
        notes.append(
            f"The second site finds a unit on its shelf {unit.site_ready:.0%} of the times, with "
            f"{kind.site_float} there."
        )
    return " ".join(notes)


def overload(unit: UnitFloat) -> str:
    """Why no float helps a kind whose shop is slower than the pace, and what does."""
    question, stream = unit.question, unit.question.stream
    drawn = stream.units_a_takt / stream.takt_days + stream.site_a_day
    repaired = drawn * (1 - stream.scrap_share)
    wanted = question.bench.benches_wanted(repaired) if question.bench else 0
    return (
        f"Its benches are loaded {unit.use_share or 0:.0%} at this pace: units pile up before "
        f"them without limit, and no float can cure it. Give it {wanted} benches (85 % load or "
        "less), shorten the bench time, or slow the pace."
    )
