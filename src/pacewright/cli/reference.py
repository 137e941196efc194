"""The command reference ``docs/commands.md``, made from the commands themselves."""

import sys
from collections.abc import Iterator
from io import StringIO
from typing import Any

import typer

from pacewright.cli.app import app

HEAD = """# Commands

Made from the commands by `make docs`; do not edit.

Every command answers 0 when it did its work, 1 when the files have faults (all are listed), 2 when
the call is wrong, 3 when no plan is possible. With `--json` the answer is one JSON object on
standard output whose `status` is `done`, `faults`, `wrong call` or `no plan`. Progress goes to
standard error, and only when that is a terminal.
"""


def reference() -> str:
    """The whole page, Markdown."""
    page = StringIO()
    page.write(HEAD)
    for call, command in _calls("pacewright", typer.main.get_command(app)):
        with typer.Context(command, info_name=call, terminal_width=96, max_content_width=96) as ctx:
            page.write(f"\n## {call}\n\n```\n{command.get_help(ctx).strip()}\n```\n")
    return page.getvalue()


def _calls(call: str, command: Any) -> Iterator[tuple[str, Any]]:
    yield call, command
    for name, one in sorted(getattr(command, "commands", {}).items()):
        yield from _calls(f"{call} {name}", one)


if __name__ == "__main__":
    sys.stdout.write(reference())
