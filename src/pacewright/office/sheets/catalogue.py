"""Every sheet there is: one list from which pages, CSV, REST and the docs are made."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from pacewright.office.desk import Desk
from pacewright.office.rights import Right
from pacewright.office.sheets.flow import flow
from pacewright.office.sheets.inspection import inspect_sheet, inspection_sheet
from pacewright.office.sheets.learning import learning
from pacewright.office.sheets.papers import papers
from pacewright.office.sheets.part import part
from pacewright.office.sheets.parts import parts
from pacewright.office.sheets.programme import programme
from pacewright.office.sheets.programme_move import move_sheet
from pacewright.office.sheets.record import event_sheet, record_sheet
from pacewright.office.sheets.serial import serial
from pacewright.office.sheets.shop import shop
from pacewright.office.sheets.shops import shops
from pacewright.office.sheets.shortages import shortages
from pacewright.office.sheets.shortages_allot import allot_sheet
from pacewright.office.sheets.shortages_rob_sheet import rob_sheet
from pacewright.office.sheets.today import today
from pacewright.office.sheets.vehicle import vehicle
from pacewright.office.sheets.vehicles import vehicles
from pacewright.office.sheets.whatif import trial_sheet, whatif_sheet
from pacewright.office.sheets.works_settings import settings_sheet
from pacewright.office.sheets.works_tables import table_sheet, works_sheet
from pacewright.reports.sheet import Sheet


@dataclass(frozen=True, slots=True)
class SheetMaker:
    """How one sheet is made and where it is found.

    Parameters
    ----------
    key : stable name; ``area`` the entry of the navigation it belongs to.
    path : address of its page; the REST twin stands under ``/api``. ``{name}`` is handed on.
    title, about : for the list of addresses.
    make : from the desk and what was asked, by name; raises NotFoundError or ValueError.
    right : who lacks it may not see it.
    """

    key: str
    area: str
    path: str
    title: str
    about: str
    make: Callable[[Desk, Mapping[str, str]], Sheet]
    right: Right = Right.SEE


_ALL = (
    SheetMaker(
        "today",
        "today",
        "/today",
        "Today",
        "What moves next, what is held and why, what each shop must turn out, what changed.",
        today,
    ),
    SheetMaker(
        "shortages",
        "shortages",
        "/shortages",
        "Shortages",
        "Which vehicle will stand for want of which unit, who owes it, by when.",
        shortages,
    ),
    SheetMaker(
        "allot",
        "shortages",
        "/shortages/allot",
        "Allotment",
        "Which serviceable unit and which loose assembly is meant for which vehicle.",
        allot_sheet,
    ),
    SheetMaker(
        "rob",
        "shortages",
        "/shortages/rob",
        "Robbing",
        "Who could give a unit and what it would cost; for, or unit and to, by codes.",
        rob_sheet,
    ),
    SheetMaker(
        "programme",
        "programme",
        "/programme",
        "Programme",
        "Who comes in when, as agreed; filters: zone, type, depot, week, vehicle, first.",
        programme,
    ),
    SheetMaker(
        "move",
        "programme",
        "/programme/{vehicle_id}",
        "One call-in",
        "What calling a vehicle in on another day would do; day.",
        move_sheet,
    ),
    SheetMaker(
        "shops",
        "shops",
        "/shops",
        "Shops",
        "Every shop at a glance, and the load of its people on the days ahead.",
        shops,
    ),
    SheetMaker(
        "shop",
        "shops",
        "/shops/{shop_id}",
        "One shop",
        "Queue, places, people, load of the days ahead, and day sheet of one shop.",
        shop,
    ),
    SheetMaker(
        "flow",
        "flow",
        "/flow",
        "Flow",
        "The works as a flow on one day, past, now or forecast; day.",
        flow,
    ),
    SheetMaker(
        "papers",
        "papers",
        "/papers",
        "Papers",
        "Every sort of printed paper; each is a PDF at /papers/SORT.pdf with what it is picked by.",
        papers,
    ),
    SheetMaker(
        "whatif",
        "whatif",
        "/whatif",
        "What if",
        "Changes run through beside the works as it is: every run, and those done side by side.",
        whatif_sheet,
        Right.PROMISE,
    ),
    SheetMaker(
        "trial",
        "whatif",
        "/whatif/{run}",
        "One what-if run",
        "What one change comes to: every figure and hold-up with its interval.",
        trial_sheet,
        Right.PROMISE,
    ),
    SheetMaker(
        "record",
        "record",
        "/record",
        "The record",
        "Events as they were recorded, the newest first; filters: about, kind, by, since, before.",
        record_sheet,
    ),
    SheetMaker(
        "event",
        "record",
        "/record/{place}",
        "One event",
        "Every field of one event, and what mends it.",
        event_sheet,
    ),
    SheetMaker(
        "inspection",
        "inspection",
        "/inspection",
        "Strip inspection",
        "Vehicles inside with their open items and the growth of their scope.",
        inspection_sheet,
    ),
    SheetMaker(
        "inspect",
        "inspection",
        "/inspection/{vehicle_id}",
        "Strip inspection of one vehicle",
        "The standard form of its type, what was found, and its scope by trade.",
        inspect_sheet,
    ),
    SheetMaker(
        "vehicles",
        "vehicles",
        "/vehicles",
        "Vehicles",
        "Where each vehicle is, what holds it, promises beside forecasts; filters: phase, type, "
        "state, find.",
        vehicles,
    ),
    SheetMaker(
        "vehicle",
        "vehicles",
        "/vehicles/{vehicle_id}",
        "One vehicle",
        "Where it is, its way, scope, units owed and fitted, promises, identity, history.",
        vehicle,
    ),
    SheetMaker(
        "works",
        "works",
        "/works",
        "The works",
        "The tables of the works, what is wrong with them, and every version kept.",
        works_sheet,
    ),
    SheetMaker(
        "settings",
        "works",
        "/works/settings",
        "Settings",
        "What is set for the works, in works.toml or in its workbook, and every version kept.",
        settings_sheet,
    ),
    SheetMaker(
        "table",
        "works",
        "/works/{table}",
        "One table",
        "Columns and rows of one table of the works; find, first.",
        table_sheet,
    ),
    SheetMaker(
        "parts",
        "parts",
        "/parts",
        "Parts",
        "The float of every unit kind, how long it lasts, who will stand for it; filters: shop, "
        "state, find.",
        parts,
    ),
    SheetMaker(
        "part",
        "parts",
        "/parts/{unit_kind_id}",
        "One unit kind",
        "Stock on the days ahead, where the units are, who needs one, turn times, every unit.",
        part,
    ),
    SheetMaker(
        "serial",
        "parts",
        "/serial",
        "One serial",
        "The life of a unit or an assembly: where it was, on what, when, what it has run; code.",
        serial,
    ),
    SheetMaker(
        "learning",
        "learning",
        "/learning",
        "Learning",
        "Figures the record contradicts, what was decided of them, turn times and lives learned.",
        learning,
    ),
)

SHEETS: dict[str, SheetMaker] = {one.key: one for one in _ALL}
"""Key -> how it is made."""
