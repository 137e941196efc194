"""The story's works with a motor that could be robbed, for the tests of robbing on pages."""

from control_case import Case
from pacewright.events.things import WHOLE, Piece, Unit
from pacewright.events.units import Issued
from pacewright.office.desk import Desk
from pacewright.office.sheets.shortages_rob import rob_case
from pacewright.office.sheets.shortages_rob_price import cost_job
from pacewright.office.sheets.today_paper import day_paper
from paper_ground import told

CASE = {"unit": "motor:M-5", "to": "vehicle:101"}
ROB = "/shortages/rob?unit=motor:M-5&to=vehicle:101"


def with_donor() -> Case:
    """The story, and a motor M-5 that was issued for 103 though 101 waits for one."""
    case = told()
    case.in_store("motor", "M-5")
    case.tell(Issued, Unit("motor", "M-5"), Piece(WHOLE, "103"))
    case.in_store("motor", "M-6")
    return case


def priced(desk: Desk) -> None:
    """The price of the robbing is there."""
    paper = day_paper(desk)
    assert cost_job(desk, paper, rob_case(paper, CASE), 60.0).there()
