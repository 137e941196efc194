"""Texts of the flow picture and the what-if page."""

from types import MappingProxyType

ENGLISH_FLOW = MappingProxyType(
    {
        "flow_days": "Day shown",
        "flow_now": "now",
        "flow_record": "by the record",
        "flow_forecast": "forecast",
        "flow_before": "Working day before",
        "flow_after": "Working day after",
        "flow_other": "Another day",
        "flow_show": "Show",
        "flow_again": "Look again",
        "whatif_change": "What would be different",
        "whatif_lead": (
            "Fill in one part or several, give it a name and run it. It goes on in the background; "
            "nothing of the works is changed by it."
        ),
        "whatif_name": "What it is called",
        "whatif_more": "More, as text of a change file",
        "whatif_more_hint": (
            "Any row of any table, settings, several waves: as the change files tell it. It is "
            "put behind what is filled in above."
        ),
        "whatif_how": "How it is run",
        "whatif_replications": "Replications",
        "whatif_replications_hint": "More make smaller differences sure, and take longer.",
        "whatif_weeks": "Weeks",
        "whatif_start": "From",
        "whatif_run": "Run it",
        "whatif_stop": "Stop it",
        "whatif_drop": "Drop it",
        "whatif_keep": "Keep it: change file",
        "whatif_vary": "Vary it",
        "whatif_show": "Show what it comes to",
        "whatif_all": "All runs side by side",
        "whatif_going": "Runs under way",
        "whatif_last": "Last run",
        "whatif_fill": "Fill in a change",
        "whatif_now_blank": "(not asked for)",
        "flow_sheet_a3": "Print this day: one sheet of A3 with every unit kind (PDF)",
        "flow_sheet_a4": "one sheet of A4 (PDF)",
    }
)
"""Key -> English text."""
