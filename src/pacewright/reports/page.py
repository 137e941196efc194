"""The report: one page that stands alone, without network, script or colour if need be."""

from dataclasses import dataclass

from pacewright.plans.forecast import Forecast
from pacewright.plans.plan import Plan
from pacewright.reports.decision import WEIGHED_IN, Decision, Urgency
from pacewright.reports.decisions import decisions
from pacewright.reports.figures import key_figures, verdict
from pacewright.reports.glossary import CAUTION, WORDS
from pacewright.reports.html_table import html_table
from pacewright.reports.sections.calls import call_section
from pacewright.reports.sections.load import load_section
from pacewright.reports.sections.routes import route_section
from pacewright.reports.sections.units import unit_section
from pacewright.reports.shell import asset, environment, hash_of
from pacewright.reports.simulation.answer import answer_sentences
from pacewright.reports.simulation.chapter import forecast_chapter
from pacewright.reports.simulation.glossary import RUN_WORDS
from pacewright.reports.tables import assumptions_table, methods_table
from pacewright.works import Works

FIRST_SHOWN = 6
"""Decisions of one consequence shown before the rest is folded away."""


@dataclass(frozen=True, slots=True)
class DecisionGroup:
    """The decisions of one consequence, and the heaviest weight among them."""

    urgency: str
    unit: str
    first: tuple[Decision, ...]
    rest: tuple[Decision, ...]
    heaviest: float


def report_page(plan: Plan, works: Works, forecast: Forecast | None = None) -> str:
    """The whole page as text; the same plan, works and forecast give the same page.

    With a forecast the page has the chapter on the works run through, and the decisions it asks.

    Everything a user wrote is escaped. The page asks for nothing over the network and says so to
    the browser: its one style and one script are named by their hashes.
    """
    style, script = asset("report.css"), asset("report.js")
    words = WORDS
    if forecast is not None:
        style += asset("forecast.css")
        words = tuple(sorted((*WORDS, *RUN_WORDS)))
    return (
        environment()
        .get_template("page.html.j2")
        .render(
            plan=plan,
            horizon_weeks=len(plan.programme.weeks),
            verdict=verdict(plan) + (answer_sentences(forecast) if forecast is not None else ()),
            figures=key_figures(plan),
            groups=_groups(decisions(plan, works, forecast)),
            calls=call_section(plan, works),
            load=load_section(plan, works),
            route=route_section(plan, works),
            units=unit_section(plan, works),
            run=forecast_chapter(works, forecast) if forecast is not None else None,
            assumptions=html_table(assumptions_table(plan, forecast)),
            methods=html_table(methods_table(plan, forecast)),
            words=words,
            caution=CAUTION,
            style=style,
            script=script,
            style_hash=hash_of(style),
            script_hash=hash_of(script),
        )
    )


def _groups(found: tuple[Decision, ...]) -> tuple[DecisionGroup, ...]:
    groups = []
    for urgency in Urgency:
        rows = tuple(one for one in found if one.urgency is urgency)
        if rows:
            groups.append(
                DecisionGroup(
                    urgency.value,
                    WEIGHED_IN[urgency],
                    rows[:FIRST_SHOWN],
                    rows[FIRST_SHOWN:],
                    max(one.weight for one in rows),
                )
            )
    return tuple(groups)
