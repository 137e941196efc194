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
        "the_table": "The table",
        "learning_being_read": "The record is being read.",
        "learning_again": "Show the page again.",
        "decide": "Accept or reject",
        "decide_lead": (
            "An accepted figure is written into its table at once and the plan is made anew by it; "
            "a rejected one is not asked again before there is much more evidence. Both are kept "
            "in the record with your name."
        ),
        "decide_later": "later",
        "accept": "accept",
        "reject": "reject",
        "decide_more": "{} more are asked; they come when these are decided.",
        "decide_reason": "Why; needed when one is rejected",
        "decide_send": "Decide",
        "kinds_filter": "Show which unit kinds",
        "kinds_shop": "Made good in",
        "kinds_state": "How it stands",
        "kinds_find": "Name holds",
        "fleet_show": "Show",
        "do_now": "Book for it",
        "papers": "Papers for it",
        "look_also": "Look also at",
        "to_inspection": "Strip inspection",
        "to_record": "All its events",
        "to_kind": "Its kind",
        "forecast_made": "The forecast is there. Show the page with it.",
        "forecast_being_made": "The forecast is being computed; it is told here when it is there.",
    }
)
"""Key -> English text."""
