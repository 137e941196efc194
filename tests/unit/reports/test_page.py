"""The page: alone, whole, escaped, the same each time."""

from made_plan import made_plan
from pacewright.reports.page import report_page


def test_page_is_made_and_repeatable() -> None:
    """The same plan gives the same page, and it names the works."""
    page = report_page(*made_plan())
    assert page == report_page(*made_plan())
    assert "<h1>Ostrelle Trolleybus Works</h1>" in page
