"""Texts of the planner's pages."""

from types import MappingProxyType

ENGLISH_PLANNER = MappingProxyType(
    {
        "on_page": "On this page",
        "filter_zone": "Zone",
        "filter_type": "Type",
        "filter_depot": "Depot",
        "filter_week": "Week",
        "filter_vehicle": "Vehicle number, or part of it",
        "show": "Show",
        "plan_report": "The whole plan as a report",
        "move_day": "Day it would come in",
        "move_show": "Show what that would do",
        "move_agree": "Agree: call it in for",
        "move_reason": "Why, and who was told",
        "move_reason_rule": "kept with the event; needed when a caution stands above",
        "move_says": (
            "Agreeing books the event 'called' for that day and tells nobody: tell the depot. The "
            "pages have it at once, and every plan made after it keeps the day, until another is "
            "booked or the vehicle is called off."
        ),
        "moves_book": "Book a move that was made",
        "to_allot": "Who gets which unit",
        "to_rob": "Robbing: who could give, and what was robbed",
        "to_shortages": "All shortages",
        "shortage_paper": "Shortage list to print",
        "needed_on": "needed on",
        "issue_ask": "Issue what is ticked",
        "issue_usual": "Where nothing else is said:",
        "issue_says": (
            "Books 'issued' for each unit ticked: given out for that vehicle and for no other."
        ),
        "rob_again": "Show whether the price is there",
        "rob_ask": "Approve and book",
        "rob_first": "First approval",
        "rob_second": "Second approval: name of another person who may",
        "rob_password": "Password of that second person",
        "rob_reason": "Why",
        "rob_first_alone": "Approve, and let another approve at an own screen",
        "rob_first_says": (
            "Nothing is booked yet. It waits until the end of the next working day on Shortages, "
            "and on Today of those who may give the second approval."
        ),
        "rob_two_here": "The second person is here: approve together at this screen",
        "rob_agree": "Approve as the second, and book it",
        "rob_agree_says": (
            "The price above is the one of now. Booked are both names, the reason and the moment."
        ),
        "rob_waits": "It waits for a second approval",
        "rob_over": "Its time is over; approve it anew, or take it off the list",
        "rob_other": "What waits is another case of this unit",
        "rob_asked_by": "{} approved it on {}; it waits until {}. Why: {}",
        "rob_refuse": "Refuse it",
        "rob_withdraw": "Withdraw it",
        "rob_refuse_why": "Why not",
        "rob_withdraw_why": "Why it is withdrawn",
        "waits_second": "Waits for your approval:",
        "waits_asked": "{} approved it on {}, {} ago.",
        "waits_look": "See the price and decide",
        "rob_says": "Both names, the reason and the moment are kept in the record.",
        "find": "Find in any cell",
        "whole_file": "The whole file",
        "to_settings": "Settings: see and replace",
        "replace_ask_table": "Replace this table",
        "replace_ask_settings": "Replace the settings",
        "replace_ask_workbook": "Replace the workbook",
        "replace_says": (
            "The whole works is read with the new file first, and what it would change is shown; "
            "with one fault nothing is replaced. The file there is now is kept."
        ),
        "replace_file_table": "CSV file with the same headings",
        "replace_file_settings": "TOML file, works.toml with its changes",
        "replace_file_workbook": "XLSX workbook with all sheets",
        "replace_reason": "Why",
        "replace_look": "See what it would change",
        "replace_agree": "Replace it",
        "replace_leave": "Leave it as it is",
        "replace_done": "Replaced, and in use.",
        "replace_kept": "The file there was is kept as {} and can be put back below.",
        "replace_first": "There was no such file before.",
        "looked_at": "What it would change",
        "looked_says": "Differences from the works in use: {}. Nothing is replaced yet.",
        "looked_same": (
            "No setting and no row would differ: only comments, the order of rows, or how a value "
            "is written."
        ),
        "looked_about": "One row a setting or a row of a table that would differ.",
        "looked_table": "Table",
        "looked_row": "Row or setting",
        "looked_how": "How",
        "looked_what": "From what to what",
        "put_back_ask": "Put an earlier version back",
        "put_back_which": "Version",
        "put_back_do": "Check it and put it back",
        "to_tables": "All tables",
        "the_vehicle": "The vehicle",
        "to_programme": "The whole programme",
    }
)
"""Key -> English text."""
