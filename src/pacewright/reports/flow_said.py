"""The flow of a day in a few sentences, for the page and for the printed sheet."""

from types import MappingProxyType

from pacewright.plans.flow_day import FlowDay, Source, StageDay
from pacewright.reports.written import day as day_written
from pacewright.reports.written import listed, number, some

WHEN = MappingProxyType(
    {
        Source.RECORD: "It stood so by the record, as it is mended today, when half of the working "
        "day was over; the tables are those of today.",
        Source.NOW: "It stands so by the record.",
        Source.FORECAST: "Forecast: the works is run on from its record many times, with the calls "
        "of the programme, and looked at when half of the working day is over. A figure is the "
        "mean of the runs, a chance the share of the runs. 'Will' is said from one half on.",
    }
)
"""Where the figures of a day come from, in words."""

_VERBS = {
    Source.RECORD: ("stood", "stood", "piled up"),
    Source.NOW: ("stands", "stands", "piles up"),
    Source.FORECAST: ("is expected to stand", "will stand", "will pile up"),
}
"""How the works is said to be, what work does, and what piles up, by the source of the day."""


def flow_answer(one: FlowDay) -> list[str]:
    """Where it stands, where it piles up and which units are short."""
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
