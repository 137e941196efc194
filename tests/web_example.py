"""An invented trolleybus works with a month of its record, for pages seen in a real browser."""

import shutil
from datetime import datetime
from pathlib import Path

from pacewright.control.as_recorded import last_moment
from pacewright.office.desk import Desk
from pacewright.office.example_record import make_example_record
from pacewright.office.rights import Role
from web_desk import PASSWORD, quick_hashing

KIND, VEHICLES, MONTHS, SEED = "trolleybus", 150, 1, 1


def write_example(folder: Path) -> Path:
    """Write the works and its record once; copies of it are opened."""
    where = folder / "example"
    made = make_example_record(where, KIND, (VEHICLES, SEED), MONTHS)
    assert not made.unmeant
    return where


def open_example(written: Path, folder: Path) -> Desk:
    """A desk over a copy, its clock going on from the record, with one account a role."""
    with quick_hashing():
        desk = Desk(Path(shutil.copytree(written, folder / "works")))
    with desk.standing() as standing:
        last = last_moment(standing)
    assert last
    shift = last - datetime.now()
    desk.set_clock(lambda: datetime.now() + shift)
    for role in (Role.ADMINISTRATOR, *(one for one in Role if one is not Role.ADMINISTRATOR)):
        desk.access.open_account(role.value, f"The {role.value}", role, PASSWORD)
    return desk
