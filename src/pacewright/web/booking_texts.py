"""Texts of booking, inspection, upload and tokens, in one place beside those of the frame."""

from types import MappingProxyType

ENGLISH_BOOKING = MappingProxyType(
    {
        "what_happened": "What happened?",
        "book_lead": (
            "Choose what happened. Listed is what your account may book; every booking is checked "
            "by the rules of the record and kept with your name."
        ),
        "book_nothing": (
            "Your account books nothing: its role only looks. Ask an administrator for the role "
            "that fits your work."
        ),
        "book_other": "Other ways in",
        "to_import": "Upload a daily sheet",
        "to_tokens": "Tokens for programs",
        "to_account": "Programs that act in your name: tokens",
        "all_kinds": "Another kind",
        "reference": "Job card, docket or order; may stay blank",
        "needed": "needed",
        "may_blank": "may stay blank",
        "as_signed_in": "Filled in from your account; nobody signs for another.",
        "second_name": "Account name of the second person; that person types the password here.",
        "second_password": "Password of the second person",
        "code_rule": "Scan the label or type it: vehicle:1043, body:B-11, motor:M-7.",
        "codes_rule": "Scan or type the codes with blanks between them, the lead (the body) first.",
        "choose": "choose",
        "lifting": (
            "A lifted vehicle is supported before work begins. Local rules and licensed people "
            "decide; a booking allows nothing."
        ),
        "releasing": (
            "A release is the signature of an authorised person. Pacewright certifies nothing."
        ),
        "mend": "Correct this event",
        "mend_lead": (
            "Nothing is deleted. A correction is an event of its own: it voids this one, or puts "
            "in its place what happened in truth. All that came after must still be possible."
        ),
        "mend_open": "Void it, or put in its place what happened",
        "mend_how": "What is wrong",
        "mend_void": "It did not happen: void it",
        "mend_replace": "It happened otherwise: put this in its place",
        "mend_why": "Why",
        "mend_book": "Book the correction",
        "inspect_form": "To inspect",
        "inspect_lead": (
            "Standard form of this type. What is set as must-change is always changed; with a "
            "limit, 'use' needs a measurement within it. Nothing is sent until you send it."
        ),
        "inspect_which": "Go on with a vehicle",
        "inspect_open": "to look at: {}; stands at {}",
        "inspect_at": "When it was inspected",
        "inspect_none": (
            "Every item of the standard form has its verdict. What is found later is written "
            "down as a finding of its own."
        ),
        "verdict": "Verdict",
        "measured": "Measured",
        "to_judge": "To judge",
        "always_done": "Must-change: always done",
        "fixed": "must-change: {}; always done, whatever is found",
        "send_one": "Send this item",
        "send_all": "Send all that is filled in",
        "inspect_other": "Write down another finding",
        "photo_take": "Take a photo",
        "photo_choose": "Choose one",
        "photo_rule": "JPEG or PNG of at most 5 MB. Kept is the picture, not where it was taken.",
        "photo_sending": "The photo is being sent.",
        "photo_kept": "The photo is kept and goes with the item.",
        "photo_again": "The photo was not sent: choose it again.",
        "photo_not": "The photo is not taken: {}",
        "photo_first": "A photo is not sent yet. Wait for it, choose it again, or leave it out.",
        "photo_out": "Leave the photo out",
        "photo_of": "Photo of {}",
        "import_ask": "What do the daily sheets tell?",
        "import_lead": (
            "CSV files named for their sheet (moves-2026-03-02.csv) or XLSX workbooks. They are "
            "looked at first; nothing is booked until you say so. The same sheet twice adds "
            "nothing."
        ),
        "import_files": "Files (CSV or XLSX, together at most 8 MB)",
        "import_look": "Look at them",
        "import_book": "Book what can be booked",
        "import_rows": "Rows that cannot be booked",
        "import_where": "Where",
        "import_kind": "Kind",
        "import_why": "Why not, and what to do",
        "import_empty": "Empty daily sheets",
        "import_templates": (
            "One file a sheet, or daily.xlsx with all of them; its headings say what each column "
            "holds."
        ),
        "import_would": "{} would be booked, {} are known already, {} cannot be booked.",
        "import_did": "{} were booked, {} were known already, {} could not be booked.",
        "import_left": "And {} more rows.",
        "tokens": "Tokens for programs",
        "tokens_ask": "Which programs act in your name?",
        "tokens_lead": (
            "A token is a key for a program that reads or books over REST. It has a part of your "
            "rights and an end. It is shown once; keep it like a password."
        ),
        "token_key": "The key of the new token, shown this once:",
        "token_note": "What it is for",
        "token_days": "Days until it ends",
        "token_rights": "What the program may do",
        "token_make": "Make the token",
        "token_end": "End it",
        "token_until": "Ends",
        "token_list": "Tokens",
        "js_draft": "Filled in from your draft.",
        "js_empty": "Empty the form",
        "js_beyond": "beyond its limit: use is not possible",
        "js_waits": "1 booking waits for the connection: {}",
        "js_wait": "{} bookings wait for the connection.",
        "js_send_now": "Send now",
        "js_not_booked": "Not booked: {}",
        "js_open_again": "Open the form again",
        "js_read": "Read",
        "js_sign_in": "It waits until you sign in again.",
        "js_booked": "Booked: {}",
        "js_still_down": "There is still no connection.",
        "js_no_room": "This browser cannot keep it. Leave the form open and send it later.",
        "js_no_line": "There is no connection. A password is not kept here; send it later.",
        "token_none": "No token: no program acts in anybody's name here.",
    }
)
"""Key -> English text."""
