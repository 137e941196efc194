"""All tables of a plan, in the order of the workbook."""

from pacewright.plans.card import ResultCard
from pacewright.plans.forecast import Forecast
from pacewright.plans.plan import Plan
from pacewright.reports.call_tables import call_tables
from pacewright.reports.decisions import decisions
from pacewright.reports.float_tables import float_tables
from pacewright.reports.forecast_tables import forecast_tables
from pacewright.reports.line_tables import line_tables
from pacewright.reports.table import Table, number, share, table, text, whole
from pacewright.works import Works


def plan_tables(plan: Plan, works: Works, forecast: Forecast | None = None) -> tuple[Table, ...]:
    """Every table of the plan; the last one, ``columns``, explains all the others.

    Parameters
    ----------
    forecast : the plan run through; None leaves its tables out.

    Returns
    -------
    Tables whose names are stable: they name the CSV files and the sheets.
    """
    tables = (
        _decisions(plan, works, forecast),
        *call_tables(plan),
        *line_tables(plan.line, works),
        *float_tables(plan.floats),
        *(forecast_tables(works, forecast) if forecast is not None else ()),
        assumptions_table(plan, forecast),
        methods_table(plan, forecast),
    )
    return (*tables, _columns(tables))


def _decisions(plan: Plan, works: Works, forecast: Forecast | None) -> Table:
    return table(
        ("decisions", "What needs a decision", "Ranked by consequence, then by weight."),
        (whole("rank", "1 first", "place"), text("urgency", "consequence when nothing is done"),
         text("kind", "what sort of thing is short"), text("what", "what was found"),
         text("where", "place, vehicle or unit kind"), text("why", "the figures"),
         text("remedy", "what would mend it"),
         number("weight", "basis of the ranking", "see weight_unit"),
         text("weight_unit", "unit of the weight"), text("basis", "how the weight was reckoned")),
        decisions(plan, works, forecast),
    )  # fmt: skip


def assumptions_table(plan: Plan, forecast: Forecast | None = None) -> Table:
    """What the figures rest on, step by step."""
    said = [("plan", line) for line in plan.assumptions]
    said += [("call-in", line) for line in plan.programme.notes]
    said += [("pace", line) for line in plan.line.notes]
    said += [("floats", line) for line in plan.floats.notes]
    said += [("run through", line) for line in (forecast.notes if forecast else ())]
    return table(
        ("assumptions", "Assumptions and notes", "What the figures rest on."),
        (text("step", "step of the plan", lambda r: r[0]),
         text("sentence", "what it takes for granted", lambda r: r[1])),
        said,
    )  # fmt: skip


def cards(plan: Plan, forecast: Forecast | None = None) -> tuple[tuple[str, ResultCard], ...]:
    """The result cards of the plan by step."""
    run = (("run through", forecast.card),) if forecast is not None else ()
    return (
        ("call-in", plan.programme.card),
        ("pace", plan.line.card),
        ("floats", plan.floats.card),
        *run,
    )


def methods_table(plan: Plan, forecast: Forecast | None = None) -> Table:
    """How each step was computed and how good its result is."""
    return table(
        ("methods", "Methods and how good the results are", "One row a step of the plan."),
        (text("step", "step of the plan", lambda r: r[0]),
         text("method", "method", lambda r: r[1].method),
         text("status", "optimal, feasible, closed form or impossible", lambda r: r[1].status),
         number("objective", "figure minimised, in the unit below", "see unit",
                lambda r: r[1].objective),
         number("bound", "its proven lower bound", "see unit", lambda r: r[1].bound),
         share("gap", "objective less bound, over the objective", lambda r: r[1].gap),
         text("unit", "unit of objective and bound", lambda r: r[1].unit),
         number("seconds", "time taken", "s", lambda r: r[1].seconds),
         text("inputs_hash", "SHA-256 of the inputs, first 16 digits",
              lambda r: r[1].inputs_hash or plan.inputs_hash)),
        cards(plan, forecast),
    )  # fmt: skip


def _columns(tables: tuple[Table, ...]) -> Table:
    return table(
        ("columns", "Every column explained", "One row a column of the other tables."),
        (text("table", "table", lambda r: r[0].name),
         text("column", "its column", lambda r: r[1].name),
         text("unit", "unit", lambda r: r[1].unit),
         text("kind", "what the cells are", lambda r: r[1].kind),
         text("meaning", "what a cell says", lambda r: r[1].meaning)),
        [(one, column) for one in tables for column in one.columns],
    )  # fmt: skip
