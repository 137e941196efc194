"""The command reference ``docs/commands.md``, made from the commands themselves."""

import sys
from io import StringIO

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
    group = typer.main.get_command(app)
    page = StringIO()
    page.write(HEAD)
    names = ["", *sorted(getattr(group, "commands", {}))]
    for name in names:
        command = group.commands[name] if name else group  # type: ignore[attr-defined]
        call = f"pacewright {name}".strip()
        with typer.Context(command, info_name=call, terminal_width=96, max_content_width=96) as ctx:
            page.write(f"\n## {call}\n\n```\n{command.get_help(ctx).strip()}\n```\n")
    return page.getvalue()


if __name__ == "__main__":
    sys.stdout.write(reference())
