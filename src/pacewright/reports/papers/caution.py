"""Safety lines of the papers, chosen by what the tables say of the work.

What is certain is read from columns: lifting from ``moves_vehicle``, ovens, booths and tanks from
the plant that a stage or kind passes, long drying from ``night_goes_on``. Brakes, voltage, springs
and paint have no column; they are known by English words in names. A paper whose names hold none
of them still carries the general line: no line missing says that work is safe.
"""

import re
from collections.abc import Iterable

from pacewright.parts.tables import Operation
from pacewright.reports.papers.blocks import Caution
from pacewright.works import Works

GENERAL = (
    "Licensed people, local rules and the maker's instructions come before this paper. Isolate and "
    "lock out before work; stop when in doubt."
)
LIFTING = (
    "Lifting or moving: everyone else is off and clear; set it on supports before work. Nobody "
    "under or in it while it hangs or moves. Licensed lifting people and tested gear only."
)
PLANT = (
    "Oven, booth or tank: heat, fumes, ignition. Enter only when locked out, cooled and aired. Its "
    "time is never shortened."
)
WAITING = (
    "Its drying, curing or soaking time is never shortened, nor the longest wait before it passed."
)

_BY_WORDS = (
    (r"brak|\bair\b|compress|reservoir|pneumat", "Brakes and air: let pressure off and lock out; "
     "stored air and springs can kill. Old linings may hold asbestos. A licensed person tests."),
    (r"paint|primer|lacquer|coat|spray|varnish|strip paint", "Paint: two-pack paints, solvents and "
     "old lead paint harm lungs and skin. Follow the local rules for air supply and waste."),
    (r"spring|suspension|damper|shock", "Springs hold force: release it by the maker's method "
     "before anything is undone."),
    (r"volt|insulat|battery|traction|contactor|collector|inverter|electric|motor|cable",
     "Voltage: isolate, discharge, prove dead, earth; licensed electrical people only."),
    (r"weld|grind|cutting torch|burn",
     "Hot work: permit, fire watch, battery and electronics off."),
    (r"insul.*(strip|remov)|asbest|lagging",
     "Old lagging may hold asbestos: stop and have it tested."),
)  # fmt: skip


def caution_for(works: Works, names: Iterable[str], operations: Iterable[Operation]) -> Caution:
    """The lines for some work.

    Parameters
    ----------
    names : of stage, unit kind and whatever else is in hand, searched for words.
    operations : what is done; their names are searched too.
    """
    done = tuple(operations)
    said = " ".join([*names, *(one.name for one in done)]).lower()
    places = {one.stage_id for one in done} | {one.unit_kind_id for one in done}
    lines = [GENERAL]
    if any(one.moves_vehicle for one in done):
        lines.append(LIFTING)
    if _passes_plant(works, places):
        lines.append(PLANT)
    if any(one.stage_id in places and (one.night_goes_on or one.longest_wait_hours is not None)
           for one in works.stages):  # fmt: skip
        lines.append(WAITING)
    lines += [line for words, line in _BY_WORDS if re.search(words, said)]
    return Caution(tuple(lines))


def _passes_plant(works: Works, places: set[str | None]) -> bool:
    mine = places - {None}
    return any(one.stage_id in mine or one.unit_kind_id in mine for one in works.plant_loads)
