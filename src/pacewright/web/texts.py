"""Every text of the frame and the forms in one place, so that another language can be added."""

from types import MappingProxyType

from pacewright.web.booking_texts import ENGLISH_BOOKING
from pacewright.web.floor_texts import ENGLISH_FLOOR
from pacewright.web.flow_texts import ENGLISH_FLOW
from pacewright.web.paper_texts import ENGLISH_PAPERS
from pacewright.web.planner_texts import ENGLISH_PLANNER

ENGLISH = MappingProxyType(
    {
        "to_content": "To the content",
        "scan": "Scan or type a code",
        "open": "Open",
        "sign_out": "Sign out",
        "pages": "Pages",
        "read_only": "This server only shows; nothing can be booked here.",
        "certifies": (
            "Pacewright plans and keeps the record. Licensed people inspect, certify and release."
        ),
        "how": "What this is and how it is computed",
        "caution": "Caution",
        "awaited": "Being made. The page shows it by itself when it is there.",
        "as_table": "The same as a table",
        "show_all": "Show all {}; the first 12 are above",
        "show_first": "Show the first 12 rows only",
        "as_json": "The same as JSON",
        "sign_in": "Sign in",
        "sign_in_ask": "Who is at the page?",
        "name": "Name",
        "password": "Password",
        "badge": "Badge code",
        "secret": "Short secret",
        "by_badge": "Shared tablet: badge and secret",
        "by_name": "Name and password",
        "first_ask": "Who looks after the accounts of this works?",
        "first_lead": (
            "This is the first start. The account made here is the administrator's: it opens and "
            "closes the others. Planners, inspectors and stores get accounts of their own."
        ),
        "shown": "Name as others read it",
        "make_account": "Make the account",
        "book": "Book",
        "why_not": "Not booked",
        "done": "Booked",
        "to_today": "To today's page",
        "fault": "It cannot be done so",
        "fault_403": "You may not do that",
        "fault_404": "There is nothing at this address",
        "fault_409": "It cannot be done as things stand",
        "fault_422": "Something in what was asked is not right",
        "fault_500": "The server failed; it was not your doing",
        "fault_503": "Not now: try again in a moment",
        "name_rule": "2 to 40 small letters, digits, dots or dashes",
        "password_rule": "at least 10 signs; three or four words make a good one",
        "people_ask": "Who may do what in this works?",
        "people_lead": (
            "Everyone has an account of their own, with one role. What an inspector may do, a "
            "planner may not: who is measured by the date does not judge the work."
        ),
        "accounts": "Accounts",
        "accounts_about": (
            "Every account. A closed one may not sign in; it stays for the record. Any change, a "
            "new badge too, ends the person's sessions: they sign in again."
        ),
        "state": "Role and state",
        "change": "Change",
        "role": "Role",
        "closed": "Closed: may not sign in",
        "new_password": "New password; blank: as it is",
        "keep": "Keep the change",
        "give_badge": "Give this badge",
        "open_account": "Open an account",
        "access_log": "What was done about access",
        "access_log_about": "The newest 200 entries, newest first.",
        "events_filter": "Show which events",
        "events_about": "About (code)",
        "events_kind": "What happened",
        "events_by": "Recorded by",
        "events_since": "Happened since",
        "events_any": "anything",
        "events_older": "Older events",
        "events_newest": "The newest events",
        "what": "What",
        "from": "From",
    }
    | ENGLISH_BOOKING
    | ENGLISH_FLOW
    | ENGLISH_PAPERS
    | ENGLISH_PLANNER
    | ENGLISH_FLOOR
)
"""Key -> English text."""

TEXTS = {"en": ENGLISH}
"""Language -> its texts; a test holds every language to the same keys."""
