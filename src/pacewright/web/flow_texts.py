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
        "flow_print": "To print: two sheets of A4 across, by the browser's own print.",
    }
)
"""Key -> English text."""
