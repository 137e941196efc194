"""Texts of the vehicles', parts' and learning pages, in one place beside those of the frame."""

from types import MappingProxyType

ENGLISH_FLOOR = MappingProxyType(
    {
        "fleet_filter": "Show which vehicles",
        "fleet_phase": "How far it is",
        "fleet_type": "Type",
        "fleet_state": "Held, late",
        "fleet_find": "Number holds",
        "fleet_any": "any",
        "fleet_here": "inside, at the gate or called",
        "fleet_all": "every vehicle known",
        "fleet_show": "Show",
        "do_now": "Book for it",
        "papers": "Papers for it",
        "look_also": "Look also at",
        "to_inspection": "Strip inspection",
        "to_record": "All its events",
        "forecast_made": "The forecast is there. Show the page with it.",
        "forecast_being_made": "The forecast is being computed; it is told here when it is there.",
    }
)
"""Key -> English text."""
