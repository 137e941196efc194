"""How the list of commands reads a call."""

from typing import Any

from click import Command, Group, Option
from typer.core import TyperGroup


class Calls(TyperGroup):
    """The list of commands; a wrong value is told without naming a variable that there is not."""

    def __init__(self, **settings: Any) -> None:
        super().__init__(**settings)
        for command in self.commands.values():
            _name_no_variable(command)


def _name_no_variable(command: Command) -> None:
    for one in command.params:
        if isinstance(one, Option) and one.envvar is None:
            one.show_envvar = False
    if isinstance(command, Group):
        for below in command.commands.values():
            _name_no_variable(below)
