"""Programme and load on paper: the drawings of the report, in black, white and patterns."""

from collections.abc import Iterator, Sequence

from pacewright.plans.plan import Plan
from pacewright.reports.drawings.svg import Drawing, drawing, rect, words
from pacewright.reports.papers.blocks import (
    Block,
    Cell,
    Column,
    Drawn,
    Heading,
    Picture,
    Rows,
    Said,
)
from pacewright.reports.papers.ground import Ground
from pacewright.reports.papers.inked import inked
from pacewright.reports.papers.press import Card, Paper, Size
from pacewright.reports.sections.calls import call_section
from pacewright.reports.sections.load import LoadRow, load_section
from pacewright.reports.written import day, rate, some

PROGRAMME, LOAD = "programme-chart", "load-chart"


def programme_chart(ground: Ground) -> Paper:
    """The call-in programme as drawings: by week and type, inside, running totals, depots.

    Raises
    ------
    CallError : there is no plan.
    """
    plan = ground.planned()
    section = call_section(plan, ground.works)
    blocks = (
        Said(_programme_said(plan)),
        *_picture("Called in by week and type", "Strokes: what the pace can take. Hatched weeks: "
                  "the works is closed.", section.bars),
        _legend([name for _, name in section.types]),
        *_picture("Inside at the end of each week", "By the plan.", section.inside),
        *_picture("Running totals", "Thick: called in. Dotted: due. Between the thin lines every "
                  "vehicle is inside its window; dashed: may come, full: limit. "
                  f"Brace: {section.forced}.", section.totals),
        *_picture("Away by depot and week", "The darker, the nearer to what the depot can spare; "
                  "a stroke: at the limit, a cross: over it.", section.depots),
    )  # fmt: skip
    card = Card("Call-in programme", plan.works_name, blocks, size=Size.A4_WIDE)
    return ground.paper(PROGRAMME, "", [card])


def load_chart(ground: Ground) -> Paper:
    """Every shop, stage, trade and plant against the pace.

    Raises
    ------
    CallError : there is no plan.
    """
    plan = ground.planned()
    section = load_section(plan, ground.works)
    pace = rate(plan.line.pace_a_week)
    axis = Drawn(inked(section.axis), 62, f"scale up to twice the pace of {pace} vehicles a week")
    gears = "; ".join(f"{gear}: {meaning}" for gear, meaning in section.gears)
    blocks: list[Block] = [
        Said(
            f"Pace {pace} vehicles a full week. A bar that stops short of the upright line holds "
            f"the works up; one far beyond it runs ahead and piles up. The gears: {gears}. "
            "Hollow post: where it would reach with what is wanted. Grey band: nine weeks of ten "
            "need between. Diamond: what the records show."
        )
    ]
    for heading, second, rows in (
        ("Shops, by what in them reaches least far", "what that is", section.shops),
        ("Stages", "shop", section.stages),
        ("Trades", "shop", section.trades),
        ("Ovens, booths and tanks", "shop", section.plant),
    ):
        blocks += _loads((heading, second), rows, axis)
    card = Card("Load against the pace", plan.works_name, tuple(blocks), size=Size.A4_WIDE)
    return ground.paper(LOAD, "", [card])


def _programme_said(plan: Plan) -> str:
    programme = plan.programme
    weeks = programme.weeks
    span = f"{day(weeks[0].monday)} to {day(weeks[-1].monday)}" if weeks else "no weeks"
    placed = some(len(programme.unplaced), "vehicle")
    late = (
        "No vehicle is past its limit in it."
        if not programme.late_weeks
        else f"{some(programme.late_weeks, 'vehicle-week')} past the limit; proven least "
        f"{programme.late_weeks_bound}."
    )
    return (
        f"{some(len(programme.calls), 'call-in')}, {span}; {programme.card.status}. "
        f"{placed} without a place. {late}"
    )


def _picture(heading: str, how: str, one: Drawing) -> tuple[Block, ...]:
    return (Heading(heading, how), Picture(inked(one), heading))


def _legend(names: Sequence[str]) -> Picture:
    """What each pattern stands for, in the order in which bars are stacked."""
    parts, x = [], 0.0
    for place, name in enumerate(names[:12]):
        parts += [rect(x, 2, (22, 12), f"kind{place % 6 + 1}"), words(x + 27, 12, name)]
        x += 40 + 7.0 * len(name)
    one = drawing(
        "legend", (max(x, 1132.0), 18), ("Patterns of the types", ", ".join(names)), *parts
    )
    return Picture(inked(one), f"patterns from below: {', '.join(names)}")


def _loads(heads: tuple[str, str], rows: Sequence[LoadRow], axis: Drawn) -> Iterator[Block]:
    """The rows of one table; ``heads`` are its heading and that of its second column."""
    if not rows:
        return
    heading, second = heads
    yield Heading(heading)
    columns = (
        Column("place", 2.2), Column(second, 1.4), Column("gear", 1), Column("against the pace", 0),
        Column("able a week", 0, True), Column("over the pace", 0, True),
        Column("why, and what to do", 4),
    )  # fmt: skip
    shown: list[list[Cell]] = [["", "", "", axis, "", "", ""]]
    shown += [
        [one.name, one.shop or one.cells[0], one.gear, Drawn(inked(one.bar), 62, one.gear),
         one.able, one.over, one.reason]
        for one in rows
    ]  # fmt: skip
    yield Rows(columns, shown, small=True)
