"""Decisions that only the simulation shows: output, promises, and hold-ups the plan has not got."""

from collections.abc import Iterator
from dataclasses import replace

from pacewright.plans.forecast import Cause, Forecast, HoldUp, TurnForecast, UseOf
from pacewright.plans.line import Gear
from pacewright.plans.plan import Plan
from pacewright.reports.decision import YEAR_WEEKS, Decision, Urgency
from pacewright.reports.simulation.answer import known
from pacewright.reports.simulation.flow import last_full_stage
from pacewright.reports.simulation.hold_ups import place_name, ranked_hold_ups
from pacewright.reports.simulation.interval import plus_minus, share_plus_minus
from pacewright.reports.simulation.turn_times import days_over
from pacewright.reports.simulation.uses import crew_trade
from pacewright.reports.written import number, rate, share, some
from pacewright.works import Works

LEAST_PART = 0.02
"""Part of all standing time below which a hold-up asks for no decision."""

BEHIND = 0.01
"""Part of the pace by which the output must surely lie below it to ask for a decision."""


def forecast_decisions(plan: Plan, works: Works, forecast: Forecast) -> Iterator[Decision]:
    """What the runs show and the plan's own figures do not."""
    yield from _output(forecast, works)
    for turn in forecast.turns:
        yield from _promise(turn, forecast, works.settings.plan.promise_target)
    found = ranked_hold_ups(forecast)
    least = LEAST_PART * sum(h.vehicle_days_a_year for h in found)
    told = told_by_plan(plan)
    for one in found:
        sure = one.vehicle_days_a_year - one.half_width > 0
        if sure and one.vehicle_days_a_year >= least and (one.cause, one.place_id) not in told:
            yield _hold_up(one, plan, works, forecast)


KIND_CAUSE = {"stage": Cause.POSITION, "trade": Cause.PEOPLE, "unit kind": Cause.PART}
"""Kind of a decision of the plan -> cause of the hold-ups it fears."""


def with_run(decision: Decision, forecast: Forecast) -> Decision:
    """A decision of the plan with what the run shows of the same place."""
    cause = KIND_CAUSE.get(decision.kind)
    if cause is None or not decision.place_id:
        return decision
    said = "no vehicle stands for it"
    for one in forecast.holdups:
        if (one.cause, one.place_id) == (cause, decision.place_id):
            days = plus_minus(one.vehicle_days_a_year, one.half_width)
            said = f"{days} vehicle-days a year stand for it"
    return replace(decision, why=f"{decision.why} Run through: {said}.")


def told_by_plan(plan: Plan) -> set[tuple[Cause, str]]:
    """Hold-ups, by cause and place, of which the plan's own figures ask a decision already."""
    slow = (Gear.HOLDS_UP, Gear.TIGHT)
    line = plan.line
    told = {(Cause.POSITION, s.stage_id) for s in line.stages if s.gear in slow}
    told |= {(Cause.PEOPLE, f"{t.shop_id} {t.trade_id}") for t in line.trades if t.gear in slow}
    return told | {
        (Cause.PART, f.unit_kind_id) for f in plan.floats.lines if f.short > 0 or f.buy > 0
    }


def wanted_a_week(forecast: Forecast) -> float:
    """Vehicles a week that should come out: what came in, the pace at most."""
    came = known(forecast, "calls_a_week")
    return min(forecast.pace_a_week, came.mean) if came else forecast.pace_a_week


def falls_behind(forecast: Forecast) -> bool:
    """True where surely fewer vehicles come out than should.

    Never while a works that begins empty still fills: then fewer come out for that alone.
    """
    out = known(forecast, "output_a_week")
    if forecast.start == "empty" and forecast.warm_up_days <= 0:
        return False
    return out is not None and out.high < wanted_a_week(forecast) * (1 - BEHIND)


def _output(forecast: Forecast, works: Works) -> Iterator[Decision]:
    out, wanted = known(forecast, "output_a_week"), wanted_a_week(forecast)
    if out is None or not falls_behind(forecast):
        return
    lost = wanted - out.mean
    # What waits at the gate waits for the works as a whole: it is no place to begin at.
    inner = [h for h in ranked_hold_ups(forecast) if h.cause is not Cause.GATE][:1]
    first = "the fullest place"
    if inner:
        first = f"the heaviest hold-up inside, {place_name(inner[0])} ({inner[0].cause.value})"
    last = last_full_stage(works, forecast)
    if last is not None:
        first = f"the last full stage, {last.name}, and {first}"
    yield Decision(
        Urgency.HELD_UP,
        "output",
        f"Run through, {plus_minus(out.mean, out.half_width)} vehicles a week come out of"
        f" {rate(wanted)} that come in",
        "the works",
        f"Over {some(forecast.replications, 'run')} the mean lies between {rate(out.low)} and"
        f" {rate(out.high)}; what is not let out gathers inside.",
        f"Begin with {first}; else call in no more than come out.",
        lost * YEAR_WEEKS * YEAR_WEEKS * works.week_days / 2,
        "vehicles not let out in a year, each waiting half its working days",
    )


def _promise(turn: TurnForecast, forecast: Forecast, target: float) -> Iterator[Decision]:
    kept = turn.promise_chance
    if kept is None or turn.promised_days is None or not kept.high < target:
        return
    over, days = days_over(turn), turn.to_promise_days
    if falls_behind(forecast):
        remedy = "No promise holds while more come in than go out: mend the output first."
    else:
        remedy = (
            f"Promise {number(days)} working days, which {share(target)} keep (promise_target); or"
            " take out the greatest hold-ups of the run."
        )
    yield Decision(
        Urgency.HELD_UP,
        "promise",
        f"Promise of {number(turn.promised_days)} working days kept by"
        f" {share_plus_minus(kept.mean, kept.half_width)}",
        turn.name,
        f"Run through {some(forecast.replications, 'time')} it takes"
        f" {plus_minus(turn.mean.mean, turn.mean.half_width)} working days on average,"
        f" {number(over)} over the promise for each vehicle when early ones count nothing.",
        remedy,
        over * turn.released_a_year,
        "mean working days over the promise, as run through, times vehicles of the type a year",
    )


def _hold_up(one: HoldUp, plan: Plan, works: Works, forecast: Forecast) -> Decision:
    shops = {shop.shop_id: shop.name for shop in works.shops}
    name, shop = place_name(one), shops.get(one.shop_id, one.shop_id)
    where = f"{name.removesuffix(f', {shop}')}, {shop}" if shop else name
    days = plus_minus(one.vehicle_days_a_year, one.half_width)
    return Decision(
        Urgency.HELD_UP,
        f"run: {one.cause.value}",
        f"{_WHAT[one.cause]}: {days} vehicle-days a year",
        where,
        f"Only the run through shows it: {share(one.touched_share)} of the vehicles stand here,"
        f" {number(one.days_each)} working days each.{_seen(one, forecast)}",
        _remedy(one, plan, works, forecast),
        one.vehicle_days_a_year,
        "working days vehicles stand for it in a year of the run",
    )


_WHAT = {
    Cause.GATE: "Stands at the gate, too many are inside",
    Cause.POSITION: "Stands for a position",
    Cause.PART: "Stands for units",
    Cause.ASSEMBLY: "Stands for its other assembly",
    Cause.BATCH: "Stands until the charge is full",
    Cause.PEOPLE: "Stands for people",
    Cause.INSPECTION: "Stands while failed work is put right",
}


def _seen(one: HoldUp, forecast: Forecast) -> str:
    """The use or float beside the hold-up, where it explains it."""
    for use in forecast.uses:
        if use.place_id == one.place_id and one.cause in (Cause.POSITION, Cause.PEOPLE):
            plan = f", {share(use.plan_share)} in the plan" if use.plan_share is not None else ""
            what = "positions held" if use.of is UseOf.STAGE else "at work"
            return f" {share(use.use_share)} {what}{plan}."
    for kind in forecast.floats:
        if kind.unit_kind_id == one.place_id and one.cause is Cause.PART:
            return (
                f" {share(kind.ready_share, 1)} found it ready, {share(kind.ready_plan, 1)} by the"
                " closed form."
            )
    return ""


def _remedy(one: HoldUp, plan: Plan, works: Works, forecast: Forecast) -> str:
    limit = works.settings.plan.inside_limit
    plain = {
        Cause.GATE: f"Shorten the turn time, or let more in than {limit or 'now'} at once.",
        Cause.BATCH: "Bring its pieces closer together, or start charges that are not full; cure"
        " and soak times are not shortened.",
        Cause.INSPECTION: "Look at what fails here and put it right at the stage that makes it;"
        " tests are not shortened.",
    }
    if one.cause is Cause.POSITION:
        return _position(one, forecast)
    if one.cause is Cause.PART:
        return _part(one, plan)
    if one.cause is Cause.ASSEMBLY:
        return _assembly(one, forecast)
    if one.cause is Cause.PEOPLE:
        return _people(one, works, forecast)
    return plain[one.cause]


def _position(one: HoldUp, forecast: Forecast) -> str:
    use = next((u for u in forecast.uses if u.place_id == one.place_id), None)
    if use and use.plan_share is not None and use.use_share - use.plan_share > 0.05:
        return (
            "Its pieces stand on it after or before their work: mend what they wait for there"
            " before adding a position."
        )
    return "One position more here, or shorten the time on it."


def _part(one: HoldUp, plan: Plan) -> str:
    line = next((f for f in plan.floats.lines if f.unit_kind_id == one.place_id), None)
    if line is None:
        return "One unit more, or a shorter turn time."
    return (
        f"One unit more than the {line.held} held, or a shorter turn time than"
        f" {number(line.turn_days)} working days; the closed form asks for {line.needed}, so look"
        " first why its demands come closer together than the pace."
    )


def _assembly(one: HoldUp, forecast: Forecast) -> str:
    assembly = one.place_id.split(" ")[-1]
    queues = [q for q in forecast.queues if q.assembly_id == assembly and q.waiting_mean > 0]
    if not queues:
        return "Begin its branch earlier, or shorten it."
    most = max(queues, key=lambda q: q.waiting_mean)
    return (
        f"Shorten the branch it comes from, first where its pieces wait most: {most.name},"
        f" {number(most.waiting_mean)} on average."
    )


def _people(one: HoldUp, works: Works, forecast: Forecast) -> str:
    shop_id, _, trade_id = one.place_id.partition(" ")
    if trade_id == "doors":
        return "A second shift or an earlier start of this shop, where what waits is worth it."
    trades = {trade.trade_id: trade.name for trade in works.trades}
    shops = {shop.shop_id: shop.name for shop in works.shops}
    same = [
        u for u in forecast.uses
        if u.of is UseOf.CREW and u.place_id.endswith(f" {trade_id}") and u.shop_id != shop_id
    ]  # fmt: skip
    least = min(same, key=lambda u: u.use_share, default=None)
    lent = ""
    if least is not None and least.use_share < 0.85:
        lent = (
            f", or people lent by {shops.get(least.shop_id, least.shop_id)}, whose"
            f" {crew_trade(least, trades)} is {share(least.use_share)} at work"
        )
    return f"More people of the trade, as much overtime{lent}."
