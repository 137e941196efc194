"""A small works told event by event, as the ground of printed papers, and PDFs read back."""

from datetime import datetime
from io import BytesIO

from pypdf import PdfReader

from control_case import Case, days
from pacewright.events.gate import Arrived, OdometerRead
from pacewright.events.things import Condition, Unit
from pacewright.events.units import UnitEntered
from pacewright.reports.papers.ground import Ground
from pacewright.reports.papers.press import Paper, pdf
from pacewright.works import Works

MONDAY = datetime(2026, 3, 9, 7, 0)


def told(works: Works | None = None) -> Case:
    """101 stands in the fit-out without its motor; 102 is stripped; 103 is parted; 105 waits."""
    case = Case(works)
    case.tell(UnitEntered, Unit("valve", "V-9"), Condition.SERVICEABLE, "store")
    case.tell(UnitEntered, Unit("valve", "V-8"), Condition.QUARANTINE, "store")
    first = case.married("101")
    case.day(MONDAY)
    case.passes(first, "marry")
    case.put(first, "fitout")
    case.off(first, "motor", "M-1")
    case.parted("103")
    case.day(MONDAY + days(1))
    second = case.let_in_type("102", promise=MONDAY + days(30))
    case.tell(OdometerRead, "102", 412_345.0)
    case.put(second, "strip")
    case.tell(Arrived, "105", "solo", "south")
    return case


def ground() -> Ground:
    """That story as ground, an hour after its last event."""
    case = told()
    return Ground(case.works, case.now, MONDAY + days(1.2))


def pages(paper: Paper | bytes) -> list[str]:
    """Text of each page; marks that only allow a line break are left out, spaces are single."""
    made = paper if isinstance(paper, bytes) else pdf(paper)
    reader = PdfReader(BytesIO(made))
    return [" ".join(page.extract_text().replace("\u200b", "").split()) for page in reader.pages]


def text_of(paper: Paper | bytes) -> str:
    """All its text."""
    return "\n".join(pages(paper))
