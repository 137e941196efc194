"""The page of a day: it stands alone, without network, script or colour if need be."""

from pacewright.control.day import Today
from pacewright.reports.html_table import html_table
from pacewright.reports.sheet import Part
from pacewright.reports.shell import asset, environment, hash_of
from pacewright.reports.today import today_sheet

_SHORTER = {
    "piece": "vehicle or assembly",
    "fit_stage_id": "goes on at",
    "next_stage_id": "wants to go to",
    "from_stage_id": "from",
    "to_stage_id": "to",
    "shop_id": "shop",
    "trade_id": "trade",
    "must_change": "must change",
}


_NAMES = {
    "shortages": "Short",
    "blocked": "Blocked",
    "moves": "Moves",
    "units_due": "Units due",
    "pieces_due": "Vehicles due",
    "hours": "People",
    "schedule": "Schedule",
    "cover": "Cover",
    "idle": "Idle",
    "idle_by_cause": "By cause",
    "entry": "Next vehicle",
    "ahead": "Inside",
    "changes": "Changed",
}
"""Short names of the parts for the rail."""


def today_page(one: Today, shop_id: str = "") -> str:
    """The whole page as text; the same day gives the same page."""
    style, script = asset("report.css"), asset("report.js")
    sheet = today_sheet(one, shop_id)
    return (
        environment()
        .get_template("today.html.j2")
        .render(
            works_name=one.works_name,
            shop_id=shop_id,
            sheet=sheet,
            names=_NAMES,
            parts=[(part, _shown(part)) for part in sheet.parts],
            style=style,
            script=script,
            style_hash=hash_of(style),
            script_hash=hash_of(script),
        )
    )


def _shown(part: Part) -> str:
    if part.table is None or not part.table.rows:
        return ""
    return str(html_table(part.table, part.columns, _SHORTER))
