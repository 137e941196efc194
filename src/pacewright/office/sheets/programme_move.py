"""Calling one vehicle in on another day: the consequence, before it is agreed."""

from collections.abc import Callable, Mapping
from datetime import date

from pacewright.control.agreed import Agreed
from pacewright.control.move_call import CallMove, move_call
from pacewright.office.desk import Desk
from pacewright.office.errors import NotFoundError
from pacewright.office.sheets.asked import day_asked
from pacewright.office.sheets.programme import CAUTION
from pacewright.office.sheets.programme_paper import agreed_paper, being_made, label_of
from pacewright.plans.programme import Call
from pacewright.reports.drawings.window_strip import window_strip
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.table import Table, day, table, text, whole, yes_no
from pacewright.reports.written import day as written_day
from pacewright.reports.written import share, some

QUESTION = "May vehicle {} come in on another day, and what would that do?"


def asked_move(desk: Desk, asked: Mapping[str, str]) -> CallMove | None:
    """What calling the vehicle in on the day asked comes to; None: the plan is being made.

    Without a day: the day as agreed, or the coming working day.

    Raises
    ------
    NotFoundError : the fleet has no such vehicle.
    NoPlanError : no programme can be made.
    ValueError : what was asked is no day.
    """
    now = agreed_paper(desk)
    if now is None:
        return None
    vehicle_id = asked.get("vehicle_id", "")
    call = now.call_of(vehicle_id)
    wanted = day_asked(asked, "day") or (call.day if call else _coming(now, desk.now().date()))
    with desk.standing() as standing:
        found = move_call(now, standing, vehicle_id, wanted)
    if found is None:
        raise NotFoundError(
            f"vehicle {vehicle_id[:40]}: the table vehicles has none of that number. Check it."
        )
    return found


def _coming(now: Agreed, today: date) -> date:
    return now.works.calendar.add(max(today, now.plan.start), 0)


def move_sheet(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """The page on which a vehicle is moved.

    Raises
    ------
    As ``asked_move``.
    """
    question = QUESTION.format(asked.get("vehicle_id", "")[:40])
    found = asked_move(desk, asked)
    now = agreed_paper(desk)
    if found is None or now is None:
        return being_made("move", "Call-in", question)
    return Sheet(
        key="move",
        title=f"Call-in of {found.vehicle_id}",
        question=question,
        answer=_answer(found),
        figures=_figures(found),
        parts=tuple(_parts(now, found)),
        caution=CAUTION,
        basis=(
            f"Plan of {now.plan.today}, inputs {now.plan.inputs_hash}, with every call-in booked "
            "until now set over it. No other vehicle is moved by it.",
        ),
    )


def _answer(found: CallMove) -> tuple[str, ...]:
    window, before, to = found.window, found.before, written_day(found.day)
    is_now = (
        f"As agreed now it comes on {written_day(before.day)}"
        + (f" ({before.note})" if before.note else "")
        + ("." if before.called_for else ", by the plan; its depot was not told.")
        if before is not None
        else f"It has no call-in: {window.note or f'it is {window.standing}'}."
    )
    if found.refused:
        return (is_now, f"On {to} it may not come:", *found.refused)
    over = [one for one in found.weeks if one.over]
    would = f"On {to} it may come" + (", with the cautions below." if found.cautions else ".")
    if before is not None and before.day == found.day:
        would = f"This is that day. Agreeing books that its depot is told {to}."
    broken = f"{some(len(over), 'limit')} of a week would be broken." if over else ""
    return (is_now, would, broken or "No limit of a week would be broken by it.")


def _figures(found: CallMove) -> tuple[Figure, ...]:
    before, after = found.before, found.after
    if after is None:
        return ()
    return (
        Figure("Days to its limit", _both(before, after, lambda one: f"{one.spare_days}"), "days",
               "Limit less the day it comes; negative: past it. As agreed now, and on the day "
               "asked."),
        Figure("Life given away", _both(before, after, lambda one: f"{one.life_given_days}"),
               "days", "Due day less the day it comes; nothing when it comes late."),
        Figure("Chance past its limit",
               _both(before, after, lambda one: share(one.chance_past_limit)), "",
               "Chance that the true limit falls before it comes, from the error of the forecast "
               "of its distance (normal law)."),
    )  # fmt: skip


def _both(before: Call | None, after: Call, said: Callable[[Call], str]) -> str:
    new = said(after)
    if before is None or said(before) == new:
        return new
    return f"{said(before)} → {new}"


def _parts(now: Agreed, found: CallMove) -> list[Part]:
    window, before, after = found.window, found.before, found.after
    parts = []
    dates = (window.opens, window.due, window.latest, window.limit)
    if None not in dates:
        marks = [(before.day, "agreed now")] if before is not None else []
        if before is None or before.day != found.day:
            marks.append((found.day, "asked"))
        parts.append(
            Part("window", "Its window", "From the first day it may come to the last it may run. "
                 "Shaded from the left: early, late and permitted, guard kept for the error of the "
                 "forecast, past the limit.",
                 _window_table(found),
                 window_strip(dates, marks, now.plan.today), folded=True)  # type: ignore[arg-type]
        )  # fmt: skip
    parts.append(
        Part("weeks_changed", "What changes in which week",
             "Counts as agreed now and with the call-in on the day asked: called in against the "
             "pace, away from its depot and inside, in whole weeks as the programme counts them.",
             _weeks_table(found),
             empty="Nothing changes: it is the day as agreed, or it is refused.")
    )  # fmt: skip
    week = label_of(after) if after else ""
    mates = [
        one for one in now.calls if label_of(one) == week and one.vehicle_id != found.vehicle_id
    ]
    parts.append(
        Part("same_week", "Others called in that week", "As agreed now.", _mates(mates),
             links={"vehicle_id": "/programme/{}"}, empty="None is called in that week.")
    )  # fmt: skip
    parts.append(
        Part("cautions", "What whoever agrees must know", "Drawn from limits and counts above.",
             table(("cautions", "Cautions", "One row each."),
                   (text("sentence", "what must be known", lambda one: one),), found.cautions),
             empty="Nothing but the cautions of every call-in below.")
    )  # fmt: skip
    return parts


def _window_table(found: CallMove) -> Table:
    return table(
        ("window", "Window", "Dates of its next visit."),
        (day("opens", "first day it may come"), day("due", "day it is due"),
         day("latest", "limit less the guard"), day("limit", "last day it may run"),
         text("due_by", "what makes it due", lambda one: one.due_by or ""),
         text("note", "what the planner must know of it")),
        [found.window],
    )  # fmt: skip


def _weeks_table(found: CallMove) -> Table:
    return table(
        ("weeks_changed", "Weeks", "One row a count that changes."),
        (text("week", "ISO 8601 week"), day("monday", "its Monday"),
         text("what", "what is counted"), text("where", "type or depot; blank: the works"),
         whole("before", "as agreed now", "vehicles"), whole("after", "with it", "vehicles"),
         whole("limit", "most there may be; blank: no limit", "vehicles"),
         yes_no("over", "yes: more than may be, and more than before")),
        found.weeks,
    )  # fmt: skip


def _mates(calls: list[Call]) -> Table:
    return table(
        ("same_week", "Same week", "Call-ins of that week."),
        (day("day", "day it comes"), text("vehicle_id", "vehicle"), text("type_id", "its type"),
         text("depot_id", "its depot"), day("limit", "last day it may run"),
         whole("spare_days", "days left to the limit", "days"), text("note", "booked, or caution")),
        calls,
    )  # fmt: skip
