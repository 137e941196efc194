"""The command reference is whole and fresh; help is quick."""

import re
import subprocess
import sys
from pathlib import Path

import typer

from pacewright.cli.app import app
from pacewright.cli.reference import reference

ROOT = Path(__file__).parents[2]
HEAVY = ("numpy", "highspy", "pydantic", "jinja2", "xlsxwriter", "rich")


def test_reference_is_fresh() -> None:
    """docs/commands.md is what the commands say of themselves (make docs)."""
    assert (ROOT / "docs" / "commands.md").read_text() == reference()


def test_every_command_and_option_has_help() -> None:
    """No command and no option is left without a sentence."""
    group = typer.main.get_command(app)
    for name, command in group.commands.items():  # type: ignore[attr-defined]
        assert command.help, name
        for parameter in command.params:
            assert getattr(parameter, "help", None), f"{name} {parameter.name}"
        assert f"## pacewright {name}\n" in reference()


def test_help_imports_nothing_heavy() -> None:
    """`--help` loads none of the heavy libraries; that is what keeps it under 0.3 s."""
    code = (
        "import sys; sys.argv = ['pacewright', '--help']\n"
        "from pacewright.cli import main\n"
        "try: main()\n"
        "except SystemExit as end: assert not end.code\n"
        f"print([m for m in {HEAVY!r} if m in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr.strip().split("\n")[-1] == "[]"
    assert re.search(r"check .*\n.*plan ", done.stdout, re.S)
