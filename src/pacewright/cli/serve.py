"""``pacewright serve``."""

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from pacewright.cli.answer import answering

if TYPE_CHECKING:
    from pacewright.office.desk import Desk
    from pacewright.web.serve import Place


def run(works: Path, database: str, place: "Place", read_only: bool, from_record: bool) -> None:
    """Open the works and serve its pages until stopped."""
    from pacewright.office.desk import Desk
    from pacewright.web.serve import serve

    with answering(False):
        _must_be_there(works, place.language)
        desk = Desk(works, database, read_only=read_only)
        if from_record:
            _go_on_from_record(desk)
        secure = "s" if place.certificate else ""
        print(f"{desk.works.settings.name}: http{secure}://{place.host}:{place.port}/")
        if not desk.access.people.all():
            print("No account yet: the first page makes the administrator's.")
        if place.host not in ("127.0.0.1", "localhost", "::1") and not place.certificate:
            print("Caution: passwords go unencrypted over this network. Give --certificate, --key.")
        print("Stop with Ctrl-C.", flush=True)
        serve(desk, place)


def _must_be_there(works: Path, language: str) -> None:
    """A language asked for is there.

    Raises
    ------
    CallError : it is not.
    """
    from pacewright.office.errors import CallError
    from pacewright.office.languages import languages_of

    if not language:
        return
    there = sorted(["en", *languages_of(works)])
    if language not in there:
        raise CallError(
            f"serve: there is no language {language[:40]!r} here, but {', '.join(there)}. Make it "
            f"with 'pacewright words {works} CODE', or leave --language out."
        )


def _go_on_from_record(desk: "Desk") -> None:
    """Let the works clock go on from the last thing recorded: for examples and past records."""
    from pacewright.control.as_recorded import last_moment

    with desk.standing() as standing:
        last = last_moment(standing)
    if last is not None:
        shift = last - datetime.now()
        desk.set_clock(lambda: datetime.now() + shift)
