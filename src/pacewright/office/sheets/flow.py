"""The flow of the works on one day: where it stands, where it piles up, who is where."""

from collections.abc import Mapping, Sequence

from pacewright.office.desk import Desk
from pacewright.office.flow_by_day import AHEAD_DAYS
from pacewright.office.sheets.flow_days import Shown, shown
from pacewright.plans.flow_day import FlowDay, Source
from pacewright.reports.drawings.works_picture import works_picture
from pacewright.reports.drawings.works_picture_units import units_picture
from pacewright.reports.flow_said import WHEN, flow_answer
from pacewright.reports.flow_tables import kinds_table, stages_table, stores_table, there_table
from pacewright.reports.sheet import Figure, Part, Sheet
from pacewright.reports.today import CAUTION
from pacewright.reports.written import number
from pacewright.works import Works

LINKS = {"shop_id": "/shops/{}", "unit_kind_id": "/parts/{}", "vehicle_id": "/vehicles/{}"}

QUESTION = {
    Source.RECORD: "Where did the works stand, and where did it pile up?",
    Source.NOW: "Where does the works stand, and where does it pile up?",
    Source.FORECAST: "Where will the works stand, and where will it pile up?",
}


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
        question=QUESTION[one.source],
        answer=tuple(flow_answer(one)),
        figures=_figures(one),
        parts=tuple(_parts(made.works, one)),
        caution=CAUTION[:1],
        basis=tuple(_basis(one)),
    )


def _none(made: Shown) -> Sheet:
    more = " Look again in a few seconds." if made.making else ""
    past = any(one.here and one.source is Source.RECORD for one in made.links)
    return Sheet(
        key="flow",
        title="Flow",
        question=QUESTION[Source.RECORD if past else Source.FORECAST],
        answer=(f"{made.why}{more}",),
        parts=(),
    )


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
    when = WHEN[one.source]
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
