"""Decisions that the fleet itself asks for: unknowns, licences, long stays, campaigns."""

from collections import Counter
from collections.abc import Iterator
from datetime import timedelta

from pacewright.fleet.windows import DueWindow, Standing
from pacewright.parts.tables import Campaign
from pacewright.plans.plan import Plan
from pacewright.reports.decision import Decision, Urgency
from pacewright.reports.written import day, listed, number, sentence, some
from pacewright.works import Works

_DOUBTFUL = ("odometer", "readings", "correct")
"""Words in the note of a window that make its due day doubtful."""


def fleet_decisions(plan: Plan, works: Works) -> Iterator[Decision]:
    """Unknown odometers, licences that end soon, vehicles inside too long, campaigns."""
    yield from _unknown(plan)
    yield from _licences_soon(plan, works)
    yield from _inside_too_long(plan, works)
    for campaign in works.campaigns:
        yield from _campaign(campaign, plan, works)


def _unknown(plan: Plan) -> Iterator[Decision]:
    unknown = [w for w in plan.windows if w.standing == Standing.UNKNOWN]
    if unknown:
        yield Decision(
            Urgency.WATCH,
            "odometer",
            f"{some(len(unknown), 'vehicle')} whose due day is not known",
            listed([w.vehicle_id for w in unknown]),
            f"{_counted(unknown)} Unknown is never not due.",
            "Read the odometers and find the overhaul papers before the next call-in is firm.",
            float(len(unknown)),
            "vehicles whose due day is not known",
        )
    planned = [
        w
        for w in plan.windows
        if w.visit == 1
        and w.standing in (Standing.DUE, Standing.OVERDUE, Standing.LATER)
        and any(word in w.note for word in _DOUBTFUL)
    ]
    if planned:
        yield Decision(
            Urgency.WATCH,
            "odometer",
            f"{some(len(planned), 'vehicle')} planned on a doubtful record",
            listed([w.vehicle_id for w in planned]),
            _counted(planned),
            "Read or correct each; a reading sharpens the due day.",
            float(len(planned)),
            "vehicles with such a note",
        )


def _counted(windows: list[DueWindow]) -> str:
    notes = Counter(window.note for window in windows if window.note)
    return " ".join(f"{count:,}: {sentence(note)}" for note, count in notes.most_common(4))


def _licences_soon(plan: Plan, works: Works) -> Iterator[Decision]:
    until = plan.start + timedelta(weeks=works.settings.plan.firm_weeks)
    soon = [
        v
        for v in works.vehicles
        if v.licence_expiry and v.licence_expiry < until and v.state in ("running", "standing")
    ]
    if soon:
        soon.sort(key=lambda v: (v.licence_expiry, v.vehicle_id))
        gone = sum(1 for v in soon if v.licence_expiry and v.licence_expiry < plan.today)
        yield Decision(
            Urgency.WATCH,
            "licence",
            f"{some(len(soon), 'road licence')} to watch before {day(until)}"
            + (f", {gone} already over" if gone else ""),
            listed([v.vehicle_id for v in soon]),
            f"First: {soon[0].vehicle_id} on {day(soon[0].licence_expiry)}."
            " A vehicle is in the works by then or stands.",
            "Check each call-in against its licence; extend where the issuer allows.",
            float(len(soon)),
            "vehicles whose licence ends in the firm zone",
        )


def _inside_too_long(plan: Plan, works: Works) -> Iterator[Decision]:
    promised = {t.type_id: t.turn_days for t in works.vehicle_types}
    late = [
        (works.calendar.count(v.gate_in, plan.today) - promised[v.type_id], v)
        for v in works.vehicles
        if v.state == "inside" and v.gate_in and v.gate_in >= works.calendar.first
    ]
    late = sorted(
        ((days, v) for days, v in late if days > 0), key=lambda row: (-row[0], row[1].vehicle_id)
    )
    if late:
        yield Decision(
            Urgency.HELD_UP,
            "vehicle",
            f"{some(len(late), 'vehicle')} inside longer than promised",
            listed([v.vehicle_id for _, v in late]),
            f"Longest: {late[0][1].vehicle_id}, in since {day(late[0][1].gate_in)},"
            f" {number(late[0][0], 0)} working days over its promise.",
            "Ask for the cause of each hold-up today and give a new promise.",
            sum(days for days, _ in late),
            "working days past the promised turn time so far",
        )


def _campaign(campaign: Campaign, plan: Plan, works: Works) -> Iterator[Decision]:
    fleet = [
        v.vehicle_id
        for v in works.vehicles
        if v.type_id == campaign.type_id and v.state != "withdrawn"
    ]
    done = {
        call.vehicle_id
        for call in plan.programme.calls
        if call.type_id == campaign.type_id and campaign.first <= call.day <= campaign.last
    }
    missed = len(fleet) - len(done)
    if missed > 0 and campaign.last >= plan.start:
        yield Decision(
            Urgency.WATCH,
            "campaign",
            f"{campaign.name}: {some(missed, 'vehicle')} not reached by {day(campaign.last)}",
            campaign.campaign_id,
            f"{some(len(done), 'vehicle')} of {len(fleet):,} called in between"
            f" {day(campaign.first)} and {day(campaign.last)};"
            f" {number(campaign.standard_hours)} standard hours each.",
            "Extend the campaign, do the rest at the depots, or accept a mixed fleet.",
            float(missed),
            "vehicles of the type that are not called in while the campaign runs",
        )
