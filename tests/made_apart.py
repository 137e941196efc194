"""What tests of the back room let it make; the other process imports it by this name."""

import os
import signal
from datetime import datetime
from pathlib import Path

from pacewright.office.desk import Desk
from pacewright.office.errors import NoPlanError


def where(desk: Desk) -> tuple[int, datetime, str]:
    """Process, works time and name of the works at a desk."""
    return os.getpid(), desk.now(), desk.works.settings.name


def refuses(desk: Desk, what: str) -> None:
    """Goes wrong as the planning does, or as nobody foresaw."""
    if what == "no plan":
        raise NoPlanError("No pace: nobody works.")
    raise OddError(1, 2)


class OddError(Exception):
    """One that cannot be put together again from what it says."""

    def __init__(self, one: int, two: int) -> None:
        super().__init__(f"{one} and {two}")


def ends_itself(desk: Desk, mark: Path) -> str:
    """The first time the process is killed in the middle of it."""
    if not mark.exists():
        mark.write_text("begun")
        os.kill(os.getpid(), signal.SIGKILL)
    return "made"


def always_ends(desk: Desk) -> None:
    """The process is killed each time."""
    os.kill(os.getpid(), signal.SIGKILL)
