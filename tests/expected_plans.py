"""What the plan of each example works is expected to say; run it to store it anew.

    python tests/expected_plans.py

Look at what changed, and why, before committing it.
"""

import json
from functools import cache
from pathlib import Path
from typing import Any

from pacewright.office.folder import open_works
from pacewright.office.planning import make_plan
from pacewright.plans.plan import Plan
from pacewright.reports.summary import summary
from pacewright.reports.tables import plan_tables
from pacewright.works import Works

EXAMPLES = Path(__file__).parents[1] / "examples"
KINDS = ("trolleybus", "tramway")
DIGITS = 6


@cache
def planned(kind: str) -> tuple[Plan, Works]:
    """The plan of one example works."""
    works, notes = open_works(EXAMPLES / kind)
    return make_plan(works, notes), works


def said(kind: str) -> dict[str, Any]:
    """Summary and some tables of the plan, without what differs from run to run."""
    plan, works = planned(kind)
    figures = summary(plan)
    for key in ("seconds", "cards"):
        figures.pop(key)
    figures["works"].pop("version")
    kept = {"programme_weeks", "type_turns", "unplaced", "reliefs"}
    for table in plan_tables(plan, works):
        if table.name in kept:
            figures[table.name] = [[str(cell) for cell in row] for row in table.rows]
    return dict(json.loads(json.dumps(_rounded(figures))))


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return float(f"{value:.{DIGITS}g}")
    if isinstance(value, dict):
        return {key: _rounded(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_rounded(one) for one in value]
    return value


def stored(kind: str) -> dict[str, Any]:
    """What was stored."""
    return dict(json.loads((EXAMPLES / "expected" / f"{kind}.json").read_text()))


if __name__ == "__main__":
    for each in KINDS:
        text = json.dumps(said(each), indent=1, ensure_ascii=False)
        (EXAMPLES / "expected" / f"{each}.json").write_text(text + "\n")
