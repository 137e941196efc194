"""Job cards: what one trade does on one piece at one stage, or on one unit in its shop."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from pacewright.reports.papers.blocks import (
    Block,
    Box,
    Cell,
    Codes,
    Column,
    Facts,
    Lines,
    Rows,
    Said,
    Signatures,
    Strong,
)
from pacewright.reports.papers.caution import caution_for
from pacewright.reports.papers.ground import Ground, together
from pacewright.reports.papers.jobs import IF_FOUND, Job, Jobs, Task
from pacewright.reports.papers.press import Card, Paper, Size
from pacewright.reports.papers.qr import code, stage_code
from pacewright.reports.written import NONE, number

KEY = "job-cards"
HOURS_NOTE = (
    "Standard hours plan the load of the shop. They are not for ranking people. Cure, bedding-in, "
    "torque-check and test times are never shortened."
)


def job_cards(ground: Ground, asked: Mapping[str, str]) -> Paper:
    """The job cards of the days ahead.

    Parameters
    ----------
    asked : ``vehicle``: all that is still ahead of it; else what begins within the days looked
        ahead. ``shop``, ``trade``: only theirs. ``unit``: the cards of one unit. With a shop the
        units it is to turn out have cards too.

    Raises
    ------
    CallError : no such vehicle, shop, trade or unit; nothing to print.
    """
    shop_id, trade_id = asked.get("shop", ""), asked.get("trade", "")
    if shop_id:
        ground.shop(shop_id)
    if trade_id:
        ground.trade(trade_id)
    picked = Jobs(ground)
    if asked.get("unit"):
        jobs = picked.of_unit(asked["unit"])
    elif asked.get("vehicle"):
        jobs = picked.of_vehicle(asked["vehicle"])
    else:
        jobs = [*picked.at_stages(), *(picked.at_benches(shop_id) if shop_id else ())]
    cards = [
        card
        for job in jobs
        if shop_id in ("", job.shop_id)
        for card in _cards(ground, job, trade_id)
    ]
    about = [asked.get(name, "") for name in ("vehicle", "unit", "shop", "trade")]
    return ground.paper(KEY, "-".join(filter(None, about)) or "all", cards)


def _cards(ground: Ground, job: Job, trade_id: str) -> Iterator[Card]:
    for trade in dict.fromkeys(one.trade_id for one in job.tasks):
        if trade_id in ("", trade):
            tasks = [one for one in job.tasks if one.trade_id == trade]
            yield _card(ground, job, trade, tasks)


def _card(ground: Ground, job: Job, trade_id: str, tasks: Sequence[Task]) -> Card:
    ids = {one.operation_id for one in tasks}
    done = [one for one in ground.works.operations if one.operation_id in ids]
    return Card(
        title=f"Job card: {ground.trade_names.get(trade_id, trade_id)}",
        subject=job.subject,
        code=code(job.code_says),
        size=Size.A5,
        blocks=together(
            job.held,
            Facts(tuple(one for one in job.facts if one[1] != NONE), 2),
            caution_for(ground.works, [job.place_id], done, [one.name for one in tasks]),
            _table(tasks),
            _sums(job, tasks),
            Said("Notes: what was found, what was changed, what is left open", small=True),
            Lines(1),
            Signatures(("Done by: name, number", "Begun, ended", "Seen by")),
        ),
    )


def _table(tasks: Iterable[Task]) -> Rows:
    columns = (
        Column("done", 0), Column("operation", 4.4), Column("when", 1.6),
        Column("standard h", 0, True), Column("initials", 0),
    )  # fmt: skip
    rows: list[list[Cell]] = [
        [Box(4, 4), Strong(one.name, one.operation_id), one.when, number(one.hours), Box(13, 5)]
        for one in tasks
    ]
    return Rows(columns, rows, small=True)


def _sums(job: Job, tasks: Sequence[Task]) -> Block:
    """The hours, beside the code of the stage where there is one."""
    sure = sum(one.hours for one in tasks if one.when != IF_FOUND)
    more = sum(one.hours for one in tasks if one.when == IF_FOUND)
    said = f"Standard hours: {number(sure)} man-hours"
    said += f", and {number(more)} if all is found that is in question" if more else ""
    said = f"{said}. {HOURS_NOTE}"
    if not job.place_id:
        return Said(said, small=True)
    return Codes(((stage_code(job.place_id), said),), 17)
