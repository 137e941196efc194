"""The whole plan: what the report, the workbook and the tables are made from."""

from dataclasses import dataclass
from datetime import date

from pacewright.fleet.windows import DueWindow
from pacewright.plans.floatlist import FloatList
from pacewright.plans.line import Line
from pacewright.plans.programme import Programme


@dataclass(frozen=True, slots=True)
class Plan:
    """Due windows, programme, line and floats of one works on one day."""

    works_name: str
    today: date
    start: date
    distance_unit: str
    inputs_hash: str
    version: str
    seconds: float
    windows: tuple[DueWindow, ...]
    programme: Programme
    line: Line
    floats: FloatList
    assumptions: tuple[str, ...]
