"""Time and size of 500 job cards as PDF, against an empty page set in the same run.

    python bench/papers.py [CARDS]

The works is the invented trolleybus works with 150 vehicles spread over its route, told by rote
(``bench/control.py``); cards are those of the days ahead, as many days as fill the number asked.
Drawing up (what stands on the cards) and setting (pages, codes, font) are timed apart. The setting
library uses every processor it finds.
"""

import resource
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

sys.path.insert(0, str(Path(__file__).parent))

from control import INSIDE, WORKS, record

from pacewright.control.as_recorded import as_recorded
from pacewright.events.fold import fold
from pacewright.office.folder import open_works
from pacewright.reports.papers.blocks import Said
from pacewright.reports.papers.ground import Ground
from pacewright.reports.papers.job_cards import job_cards
from pacewright.reports.papers.press import Card, Paper, pdf
from pacewright.reports.papers.qr import code

EVENTS, MOST_DAYS = 30_000, 60
Result = TypeVar("Result")


def timed(what: str, work: Callable[[], Result], times: int = 3) -> tuple[Result, float]:
    """The least of some runs by the clock on the wall, printed with the processor's time of it."""
    least, busy = float("inf"), 0.0
    for _ in range(times):
        code.cache_clear()
        began, before = time.perf_counter(), processor()
        result = work()
        if (took := time.perf_counter() - began) < least:
            least, busy = took, processor() - before
    print(f"{what:<40} {least:8.3f} s by the clock, {busy:8.3f} s of processor")
    return result, least


def processor() -> float:
    """Processor time of this process and of those that set the pages."""
    sums = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(one.ru_utime + one.ru_stime for one in sums)


def enough(ground: Ground, count: int) -> Paper:
    """At least so many job cards, cut to the number."""
    for days in (1, 2, 5, 10, 20, MOST_DAYS):
        paper = job_cards(replace(ground, days=days), {})
        if len(paper.cards) >= count:
            break
    cards = paper.cards
    while len(cards) < count:
        cards += cards
    return replace(paper, cards=cards[:count])


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    works, _ = open_works(WORKS)
    events, now = record(works, EVENTS)
    standing = fold(events, trusted=True)
    ground = Ground(as_recorded(works, standing, now).works, standing, now)
    print(f"{len(standing.inside())} of {INSIDE} vehicles inside, {len(standing.units):,} units")
    blank = Paper("blank", "blank", "Works", "now", "nothing", (Card("", "", (Said(""),)),))
    _, empty = timed("an empty page", lambda: pdf(blank), 5)
    paper, drawn_up = timed(f"{count} job cards drawn up", lambda: enough(ground, count))
    made, seconds = timed(f"{count} job cards set", lambda: pdf(paper))
    most = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    codes = {card.code.says for card in paper.cards if card.code}
    print(
        f"{len(paper.cards)} cards, {len(codes)} things coded, {len(made) / 1e6:.1f} MB, "
        f"{drawn_up + seconds:.1f} s together, setting {seconds / empty:,.0f} times an empty page, "
        f"at most {most:,.0f} MB of memory"
    )


if __name__ == "__main__":
    main()
