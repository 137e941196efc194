"""Write the plan: page, workbook, tables and summary, whole or not at all."""

import json
from pathlib import Path
from typing import Any

from pacewright.files.whole import write_whole
from pacewright.office.errors import CallError
from pacewright.plans.comparison import Comparison
from pacewright.plans.forecast import Forecast
from pacewright.plans.growth import Growth
from pacewright.plans.plan import Plan
from pacewright.works import Works


def write_plan(
    plan: Plan, works: Works, out: Path, forecast: Forecast | None = None
) -> dict[str, Any]:
    """Write ``report.html``, ``plan.xlsx``, ``summary.json`` and ``tables/*.csv`` into ``out``.

    Parameters
    ----------
    forecast : the plan run through, for its chapter, tables and figures; None: without them.

    Returns
    -------
    The summary, as written.

    Raises
    ------
    CallError : the folder cannot be written; what stood there still stands.
    """
    from pacewright.reports.csvfile import csv_bytes
    from pacewright.reports.page import report_page
    from pacewright.reports.summary import summary
    from pacewright.reports.tables import plan_tables
    from pacewright.reports.workbook import plan_workbook

    tables = plan_tables(plan, works, forecast)
    figures = summary(plan, forecast)
    files = {
        "report.html": report_page(plan, works, forecast).encode(),
        "plan.xlsx": plan_workbook(tables, plan),
        "summary.json": _json(figures),
    }
    files |= {f"tables/{table.name}.csv": csv_bytes(table) for table in tables}
    _write(out, files)
    return figures


def write_comparison(comparison: Comparison, out: Path) -> dict[str, Any]:
    """Write ``comparison.html``, ``summary.json`` and ``tables/*.csv`` into ``out``.

    Returns
    -------
    The summary, as written.

    Raises
    ------
    CallError : the folder cannot be written; what stood there still stands.
    """
    from pacewright.reports.comparison_page import comparison_page
    from pacewright.reports.comparison_tables import comparison_summary, comparison_tables
    from pacewright.reports.csvfile import csv_bytes

    figures = comparison_summary(comparison)
    files = {
        "comparison.html": comparison_page(comparison).encode(),
        "summary.json": _json(figures),
    }
    files |= {f"tables/{one.name}.csv": csv_bytes(one) for one in comparison_tables(comparison)}
    _write(out, files)
    return figures


def write_growth(growth: Growth, works: Works, change_file: str, out: Path) -> dict[str, Any]:
    """Write ``growth.html``, ``change.toml``, ``summary.json`` and ``tables/*.csv`` into ``out``.

    Parameters
    ----------
    works : as it is.
    change_file : the answer as text that ``pacewright compare`` reads.

    Returns
    -------
    The summary, as written.

    Raises
    ------
    CallError : the folder cannot be written; what stood there still stands.
    """
    from pacewright.reports.csvfile import csv_bytes
    from pacewright.reports.growth_page import growth_page
    from pacewright.reports.growth_table import growth_summary, growth_tables

    figures = growth_summary(growth)
    files = {
        "growth.html": growth_page(growth, works).encode(),
        "change.toml": change_file.encode(),
        "summary.json": _json(figures),
    }
    files |= {f"tables/{one.name}.csv": csv_bytes(one) for one in growth_tables(growth)}
    _write(out, files)
    return figures


def _json(figures: dict[str, Any]) -> bytes:
    return (json.dumps(figures, indent=2, ensure_ascii=False) + "\n").encode()


def _write(out: Path, files: dict[str, bytes]) -> None:
    try:
        write_whole(out, files)
    except OSError as error:
        raise CallError(f"{out}: {error}. Nothing was written; choose another folder.") from error
