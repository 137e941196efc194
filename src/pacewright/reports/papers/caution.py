"""Safety lines of the papers, chosen by what the tables say of the work.

What is declared is read from the columns ``hazards``. Other columns tell more: lifting
``moves_vehicle``, ovens, booths and tanks the plant that a stage or kind passes, long drying
``night_goes_on``. Only where a works declares nothing at all are English words in names looked at,
and the paper says so. A paper always carries the general line: no line missing says that work is
safe.
"""

import re
from collections.abc import Iterable, Iterator

from pacewright.base.hazards import Hazard
from pacewright.parts.tables import Operation
from pacewright.reports.hazards import (
    LINES,
    NONE_DECLARED,
    declares_hazards,
    hazard_words,
    hazards_at,
)
from pacewright.reports.papers.blocks import Caution
from pacewright.works import Works

GENERAL = (
    "Licensed people, local rules and the maker's book come before this paper. Isolate and lock "
    "out before work; stop when in doubt."
)
LIFTING, PLANT = LINES[Hazard.LIFTING], LINES[Hazard.OVEN]
WAITING = "Drying, curing, soaking times are never shortened, longest waits never passed."

BEWARE = "Beware here of: {}. The job cards say what to do."

_BY_WORDS = (
    (r"brak|\bair\b|compress|reservoir|pneumat", Hazard.BRAKES),
    (r"paint|primer|lacquer|coat|spray|varnish|strip paint", Hazard.PAINT),
    (r"spring|suspension|damper|shock", Hazard.SPRINGS),
    (
        r"volt|insulat|battery|traction|contactor|collector|inverter|electric|motor|cable",
        Hazard.HIGH_VOLTAGE,
    ),
    (r"weld|grind|cutting torch|burn", Hazard.HOT_WORK),
    (r"insul.*(strip|remov)|asbest|lagging", Hazard.ASBESTOS),
)


def caution_for(
    works: Works,
    places: Iterable[str],
    operations: Iterable[Operation],
    names: Iterable[str] = (),
    *,
    brief: bool = False,
) -> Caution:
    """The lines for some work.

    Parameters
    ----------
    places : ids of stages and unit kinds in hand; those of the operations come with them.
    operations : what is done.
    names : of whatever else is in hand; searched for words where nothing is declared.
    brief : hazards are named in one line, for papers on the work of many; a job card has them all.
    """
    done = tuple(operations)
    of_done = (one.stage_id or one.unit_kind_id for one in done)
    ids = {*places, *(one for one in of_done if one)}
    told = set(_by_columns(works, ids, done))
    declared = declares_hazards(works)
    if declared:
        told.update(hazards_at(works, ids, done))
    else:
        told.update(_by_words(works, ids, (*names, *(one.name for one in done))))
    found = tuple(one for one in Hazard if one in told)
    lines = [GENERAL, *(LINES[one] for one in found)]
    if brief and found:
        lines = [GENERAL, BEWARE.format(hazard_words(found))]
    if any(one.stage_id in ids and (one.night_goes_on or one.longest_wait_hours is not None)
           for one in works.stages):  # fmt: skip
        lines.append(WAITING)
    return Caution((*lines, *(() if declared else (NONE_DECLARED,))))


def caution_moving(works: Works, what: str) -> Caution:
    """The lines for moving something.

    Parameters
    ----------
    what : unit kind or assembly that is moved; the hazards declared for a kind are told.
    """
    found = {Hazard.LIFTING, *hazards_at(works, (what,))}
    return Caution((GENERAL, *(LINES[one] for one in Hazard if one in found)))


def _by_columns(works: Works, ids: set[str], done: Iterable[Operation]) -> Iterator[Hazard]:
    """What other columns than ``hazards`` tell for certain."""
    if any(one.moves_vehicle for one in done):
        yield Hazard.LIFTING
    if any(one.stage_id in ids or one.unit_kind_id in ids for one in works.plant_loads):
        yield Hazard.OVEN


def _by_words(works: Works, ids: set[str], names: Iterable[str]) -> Iterator[Hazard]:
    stages = (one.name for one in works.stages if one.stage_id in ids)
    kinds = (one.name for one in works.unit_kinds if one.unit_kind_id in ids)
    said = " ".join([*names, *stages, *kinds]).lower()
    yield from (hazard for words, hazard in _BY_WORDS if re.search(words, said))
