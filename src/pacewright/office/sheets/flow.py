"""The flow of the works on one day: where it stands, where it piles up, who is where."""

from collections.abc import Mapping, Sequence

from pacewright.office.desk import Desk
from pacewright.office.sheets.flow_days import AHEAD_DAYS, Shown, shown
from pacewright.plans.flow_day import FlowDay, Source, StageDay
from pacewright.reports.drawings.works_picture import works_picture
from pacewright.reports.drawings.works_picture_units import units_picture
from pacewright.reports.flow_tables import kinds_table, stages_table, stores_table, there_table
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.today import CAUTION
from pacewright.reports.written import day as day_written
from pacewright.reports.written import listed, number, some
from pacewright.works import Works

LINKS = {"shop_id": "/shops/{}", "unit_kind_id": "/parts/{}", "vehicle_id": "/vehicles/{}"}

_WHEN = {
    Source.RECORD: "It stood so by the record, as it is mended today, when half of the working day "
    "was over; the tables are those of today.",
    Source.NOW: "It stands so by the record.",
    Source.FORECAST: "Forecast: the works is run on from its record many times, with the calls of "
    "the programme, and looked at when half of the working day is over. A figure is the mean of "
    "the runs, a chance the share of the runs. 'Will' is said from one half on.",
}

_VERBS = {
    Source.RECORD: ("stood", "stood", "piled up"),
    Source.NOW: ("stands", "stands", "piles up"),
    Source.FORECAST: ("is expected to stand", "will stand", "will pile up"),
}
"""How the works is said to be, what work does, and what piles up, by the source of the day."""


def flow(desk: Desk, asked: Mapping[str, str]) -> Sheet:
    """The flow of one day; ``day`` asks for it, left out it is now.

    Raises
    ------
    ValueError : the day is no date. NotFoundError : the forecast does not reach it.
    """
    made = shown(desk, asked)
    if made.day is None:
        return _none(made)
    one = made.day
    return Sheet(
        key="flow",
        title="Flow",
        question="Where does the works stand, and where does it pile up?",
        answer=tuple(_answer(one)),
        figures=_figures(one),
        parts=tuple(_parts(made.works, one)),
        caution=CAUTION[:1],
        basis=tuple(_basis(one)),
    )


def _none(made: Shown) -> Sheet:
    more = " Look again in a few seconds." if made.making else ""
    return Sheet(
        key="flow",
        title="Flow",
        question="Where will the works stand, and where will it pile up?",
        answer=(f"{made.why}{more}",),
        parts=(),
    )


def _answer(one: FlowDay) -> list[str]:
    if not one.place:
        return ["Nothing is recorded yet: every position is shown free. Book or import arrivals."]
    digits = 1 if one.source is Source.FORECAST else 0
    so, stand, pile = _VERBS[one.source]
    at_gate = number(one.at_gate, digits) if one.at_gate >= 0.05 else "none"
    stands = [_stage_said(stage) for stage in one.stages if stage.has_standing]
    piles = [stage.name for stage in one.stages if stage.piles_up]
    stores = [store.name for store in one.stores if store.piles_up]
    short = [kind.name for kind in one.kinds if kind.is_short]
    said = [
        f"{day_written(one.moment.date())}, {one.moment:%H:%M}: so the works {so}, with "
        f"{number(one.inside, digits)} vehicles inside and {at_gate} at the gate.",
        f"Work {stand} at {some(len(stands), 'stage')}: {listed(stands)}."
        if stands
        else f"Work {stand} at no stage.",
        f"It {pile} before {listed(piles)}." if piles else f"It {pile} before no stage.",
    ]
    if stores:
        said.append(f"{listed(stores)} {pile}, done and waiting to be married.")
    if short:
        said.append(f"Units short: {listed(short)}.")
    return said


def _stage_said(one: StageDay) -> str:
    return f"{one.name} ({listed(list(one.why), 2)})" if one.why else one.name


def _figures(one: FlowDay) -> tuple[Figure, ...]:
    digits = 1 if one.source is Source.FORECAST else 0
    stands, waits = (
        sum(getattr(stage, name) for stage in one.stages) for name in ("stands", "waiting")
    )
    short = sum(kind.is_short for kind in one.kinds)
    return (
        Figure("Inside", number(one.inside, digits), "vehicles", "Let in and not released."),
        Figure(
            "Stand",
            number(stands, digits),
            "vehicles and assemblies",
            "On a position, for want of a unit, people, an inspection, an assembly or the end of "
            "a hold. In a forecast: when it has waited a quarter of a working day or more.",
        ),
        Figure(
            "Wait for a position",
            number(waits, digits),
            "vehicles and assemblies",
            "Done where they are; the next position is not free, or they were not moved yet.",
        ),
        Figure(
            "Unit kinds short",
            str(short),
            "kinds",
            "A vehicle stands for one, or will within the days of the shortage list; in a "
            "forecast none is left in half of the runs or more. For a past day: a vehicle stood.",
        ),
    )


def _parts(works: Works, one: FlowDay) -> list[Part]:
    when = _WHEN[one.source]
    return [
        Part("stages", "The works as a flow",
             "Each box is a stage in the area of its shop, each cell one of its positions; what "
             "waits before it stands above the box. Red, a square and a word: something stands "
             "there for want of a unit, people, an inspection, an assembly or the end of a hold. "
             "Blue, a heap and a word: as many wait before it as it has positions in use, so "
             f"that they would fill them once more. {when}",
             stages_table(works, one), works_picture(works, one), links=LINKS, folded=True,
             columns=("stage_id", "name", "shop_id", "sign", "positions", "lost", "held",
                      "waiting", "done", "stands", "why", "chance_stands", "chance_piles"),
             empty="The works has no stages."),
        Part("kinds", "Units off the vehicles",
             "A card is a shop that makes units good, a line a unit kind. Conditions stand side "
             "by side and are never summed. Short (square): a vehicle stands or will stand for "
             "one. Full (heap): more are ready than the float needs or, without a plan, than a "
             f"turn time is likely to ask for. {when}",
             kinds_table(works, one), units_picture(works, one) if one.kinds else None,
             links=LINKS, folded=True,
             columns=("unit_kind_id", "name", "shop_id", "sign", "serviceable", "issued",
                      "unserviceable", "quarantine", "full_at", "vehicles", "chance_out",
                      "chance_piles"),
             empty="The works has no unit kinds."),
        Part("assemblies", "Assemblies done, to be married",
             "They pile up when more are done than the positions of marriage take at once. "
             f"{when}", stores_table(one),
             empty="No assembly is parted off in this works."),
        Part("there", "Who is where",
             "By the record every vehicle and assembly on a position; in a forecast vehicles that "
             "are at one stage in half of the runs or more.",
             there_table(one), links=LINKS,
            folded=True,
             empty="Nobody stands on a position."
             if one.source is not Source.FORECAST
             else "No vehicle is at one stage in half of the runs or more: too far ahead."),
    ]  # fmt: skip


def _basis(one: FlowDay) -> Sequence[str]:
    said = [f"Record up to event {one.place:,}, works time {one.moment:%Y-%m-%d %H:%M}."]
    if one.source is Source.FORECAST:
        said.append(
            f"{one.runs} runs on from the record, looked at on {AHEAD_DAYS} working days; made "
            "anew each hour."
        )
    return (*said, *one.notes)
