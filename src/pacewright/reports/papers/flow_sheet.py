"""The flow of the works on one day as a printed sheet: past, now or forecast."""

from collections.abc import Iterable

from pacewright.base.faults import CallError
from pacewright.plans.flow_day import FlowDay, KindDay, Source
from pacewright.reports.drawings.works_picture import works_flow, works_key
from pacewright.reports.drawings.works_picture_units import units_picture
from pacewright.reports.flow_said import WHEN, flow_answer
from pacewright.reports.papers.blocks import Beside, Block, Filling, Picture, Said
from pacewright.reports.papers.ground import Ground, moment, units
from pacewright.reports.papers.inked import inked
from pacewright.reports.papers.press import Card, Paper, Size
from pacewright.reports.papers.qr import code
from pacewright.reports.written import listed

KEY = "flow-sheet"
SIZES = {"a3": Size.A3_WIDE, "a4": Size.A4_WIDE}
FLOW = "flow"
"""Sort of the code that opens the page of the flow of a day."""

_SOURCES = {Source.RECORD: "by the record", Source.NOW: "now", Source.FORECAST: "FORECAST"}
_READ = (
    "Boxes are stages in the area of their shop, cells their positions with who stands there; "
    "dots and numbers above a box wait for a position in it. A thick frame: something stands, or "
    "as many wait as there are positions. A broken frame: only some types pass."
)
_UNITS = {
    False: "A square: a vehicle stands or will stand for one. A heap: more are ready than the "
    "float needs.",
    True: "Means of the runs. A square: chance that none is left. A heap: chance that more are "
    "ready than the float needs.",
}
_MOST_KINDS = 8


def flow_sheet(ground: Ground, size: str = "") -> Paper:
    """The flow of the day that ``ground`` holds, on one page across.

    Parameters
    ----------
    size : ``a3``, the usual one, with the units off vehicles drawn; ``a4``: these as lines.

    Raises
    ------
    CallError : there is no such size, or no flow at hand.
    """
    said = size.strip().lower() or "a3"
    if said not in SIZES:
        raise CallError(
            f"{KEY}, size: {size[:40]!r} found. The sheet is printed on a3 or a4. Write one of "
            "these."
        )
    one = ground.flow
    if one is None:
        raise CallError(
            f"{KEY}: no flow is at hand. This paper is drawn from the flow of a day. Ask for a day "
            "the record tells of, or one within the forecast."
        )
    blocks = tuple(_drawn(ground, one, said == "a3"))
    day = one.moment.date().isoformat()
    subject = f"{one.moment:%a} {moment(one.moment)} · {_SOURCES[one.source]}"
    card = Card("Flow of the works", subject, blocks, code(f"{FLOW}:{day}"), SIZES[said], slim=True)
    return ground.paper(KEY, f"{day}-{said}", [card])


def _drawn(ground: Ground, one: FlowDay, large: bool) -> Iterable[Block]:
    ahead = one.source is Source.FORECAST
    looks = Picture(inked(works_key(one)), "what the looks of positions and the signs mean")
    flow = Picture(inked(works_flow(ground.works, one)), "the works as a flow")
    when = WHEN[one.source] + (f" {one.runs} runs." if ahead else "")
    read = Said(f"{_READ} {when}", small=True)
    left = (Said(" ".join(flow_answer(one))), Filling(flow), looks, read)
    if large and one.kinds:
        cards = Picture(inked(units_picture(ground.works, one, 1)), "units off vehicles, by shop")
        yield Beside(left, cards, f"Units off vehicles. {_UNITS[ahead]}")
        return
    yield from left
    if one.kinds:
        yield from _in_words(one, ahead)


def _in_words(one: FlowDay, ahead: bool) -> Iterable[Block]:
    """Units that are short or pile up, as lines: there is no room to draw them all."""
    short = [kind for kind in one.kinds if kind.is_short]
    full = [kind for kind in one.kinds if kind.piles_up and not kind.is_short]
    words = (
        ("Units that will be short", "Units that will pile up")
        if ahead
        else ("Units short", "Units ready beyond what the float needs")
    )
    for word, kinds in zip(words, (short, full), strict=True):
        yield Said(f"{word}: {_kinds(kinds)}.", small=True)


def _kinds(kinds: list[KindDay]) -> str:
    said = [
        f"{one.name} ({units(one.serviceable)} ready, {units(one.unserviceable)} to repair)"
        for one in kinds
    ]
    return listed(said, _MOST_KINDS) or "none"
