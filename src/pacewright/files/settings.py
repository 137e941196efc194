"""The settings: from ``works.toml``, or from the sheet ``works`` of a workbook."""

import re
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, is_dataclass
from functools import cache
from pathlib import Path
from typing import Any, get_args, get_origin

from pydantic import TypeAdapter, ValidationError

from pacewright.base.columns import Rule
from pacewright.base.faults import Fault, NameHint
from pacewright.base.settings import Settings
from pacewright.files.csvfile import read_text
from pacewright.files.rows import shown
from pacewright.files.sheet import Sheet, UnreadableError
from pacewright.files.toml_lines import lines_of

_TOML_PLACE = re.compile(r"\(at line (\d+), column \d+\)")
_DEEPEST = 20
"""Parts within parts; the settings have four."""
_PART = Rule(
    "Here stands a part with settings of its own, as [plan] or [[plan.pace]].",
    "Write the part as the reference shows it.",
)


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting as the reader and the reference need it.

    ``name`` has dots; ``N`` stands for 1, 2, 3 ... where there may be several.
    """

    name: str
    meaning: str
    rule: Rule
    required: bool
    default: Any


def settings_known(model: Any = Settings, before: str = "") -> Iterator[Setting]:
    """Every setting, in file order."""
    for name, info in model.__pydantic_fields__.items():
        repeated = get_origin(info.annotation) is tuple
        kind = get_args(info.annotation)[0] if repeated else info.annotation
        path = f"{before}{name}.N" if repeated else f"{before}{name}"
        if is_dataclass(kind):
            yield from settings_known(kind, f"{path}.")
            continue
        marks = [*info.metadata, *_marks(kind)]
        rule = next((mark for mark in marks if isinstance(mark, Rule)), _PART)
        default = None if info.is_required() else info.default
        yield Setting(path, info.description, rule, info.is_required(), default)


def _marks(annotation: Any) -> list[Any]:
    marks = list(getattr(annotation, "__metadata__", ()))
    for part in get_args(annotation):
        marks += _marks(part)
    return marks


@cache
def _rules() -> dict[str, Setting]:
    return {setting.name: setting for setting in settings_known()}


def read_toml(path: Path) -> Settings:
    """The settings in ``works.toml``.

    Raises
    ------
    UnreadableError : with all that is wrong with them.
    """
    given = load_toml(path, "Settings are TOML text.")
    return settings_of(given, path.name, lines_of(read_text(path)))


def load_toml(path: Path, rule: str) -> dict[str, Any]:
    """What a TOML file says, truth values as the texts ``true`` and ``false``.

    Raises
    ------
    UnreadableError : it is no TOML; the fault names ``rule``.
    """
    text = read_text(path)
    try:
        told: dict[str, Any] = _truth_as_text(tomllib.loads(text))
    except (ValueError, RecursionError) as error:
        # TOML names the place only inside its message.
        place = _TOML_PLACE.search(str(error))
        remedy = "Correct the line: quotes, brackets, = signs."
        found = f"cannot be understood ({error})"
        row = int(place[1]) if place else 0
        raise UnreadableError(Fault(path.name, row, "", found, rule, remedy)) from error
    return told


def toml_row(path: Path, name: str) -> int:
    """Line of a setting in ``works.toml``; 0: it names no line."""
    return row_of(name, lines_of(read_text(path))) if name else 0


def read_settings_sheet(sheet: Sheet) -> Settings:
    """The settings in a sheet with the columns ``setting`` and ``value``.

    Raises
    ------
    UnreadableError : with all that is wrong with them.
    """
    lines = list(enumerate(sheet.rows(), start=1))
    if [str(cell).strip() for cell in lines[0][1][:2]] != ["setting", "value"]:
        rule, remedy = "Its headings are setting and value.", "Write these headings in row 1."
        raise UnreadableError(Fault(sheet.file, 1, "", "lacks its headings", rule, remedy))
    tree: dict[str, Any] = {}
    rows: dict[str, int] = {}
    faults = []
    for row, cells in lines[1:]:
        name = str(cells[0]).strip()
        value = cells[1]
        if not name or not value:
            # A blank value means the setting is left out; a value needs its setting.
            if value:
                rule, remedy = "Each value has its setting.", "Name the setting in column A."
                faults.append(Fault(sheet.file, row, "", shown(value), rule, remedy))
        elif name in rows or not _grow(tree, name.split("."), value):
            rule, remedy = "A setting stands once.", "Delete one, or number them from 1 on."
            faults.append(Fault(sheet.file, row, name, "stands twice", rule, remedy))
        else:
            rows[name] = row
    if faults:
        raise UnreadableError(*faults)
    return settings_of(_lists(tree), sheet.file, rows)


def _grow(tree: dict[str, Any], path: Sequence[str], value: Any) -> bool:
    """Hang ``value`` into the tree; False when something else hangs there."""
    for step in path[:-1]:
        tree = tree.setdefault(step, {})
        if not isinstance(tree, dict):
            return False
    return tree.setdefault(path[-1], value) is value


def _lists(tree: Any) -> Any:
    """Turn branches numbered 1, 2, 3 ... into lists."""
    if not isinstance(tree, dict):
        return tree
    grown = {key: _lists(branch) for key, branch in tree.items()}
    if grown and all(key.isascii() and key.isdigit() for key in grown):
        return [grown[key] for key in sorted(grown, key=lambda key: int(key[:9]))]
    return grown


def _truth_as_text(given: Any, depth: int = 0) -> Any:
    """No setting is true or false, yet the validation library takes true for the number 1."""
    if depth > _DEEPEST:
        raise ValueError(f"parts within parts more than {_DEEPEST} deep")
    if isinstance(given, dict):
        return {key: _truth_as_text(branch, depth + 1) for key, branch in given.items()}
    if isinstance(given, list):
        return [_truth_as_text(one, depth + 1) for one in given]
    return str(given).lower() if isinstance(given, bool) else given


def settings_of(given: Any, file: str, rows: dict[str, int]) -> Settings:
    """The settings from what stands in a file.

    Parameters
    ----------
    given : nested dictionaries and lists, as TOML has them.
    file, rows : for faults: the file, and the row or line of each setting where that is known.

    Raises
    ------
    UnreadableError : with all that is wrong with them.
    """
    try:
        return TypeAdapter(Settings).validate_python(given)
    except ValidationError as error:
        wrong = error.errors(include_url=False)
        # A list is also reported as too short when its only entry is faulty: say it once.
        deep = {one["loc"][:depth] for one in wrong for depth in range(len(one["loc"]))}
        told = [one for one in wrong if one["type"] != "too_short" or one["loc"] not in deep]
        raise UnreadableError(*(_fault(one, file, rows) for one in told)) from error


def _fault(one: Any, file: str, rows: dict[str, int]) -> Fault:
    """What the validation library found, in words of the setting concerned."""
    steps = [str(step + 1) if isinstance(step, int) else str(step) for step in one["loc"]]
    name = ".".join(steps)
    pattern = re.sub(r"\.\d+(?=\.|$)", ".N", name)
    known = _rules().get(pattern) or _rules().get(f"{pattern}.N")
    row = row_of(name, rows)
    if one["type"] == "missing":
        rule = f"It is needed: {known.meaning}." if known else "This part is needed."
        return Fault(file, row, name, "is missing", rule, "Write it.")
    if one["type"] in ("unexpected_keyword_argument", "extra_forbidden"):
        parent = pattern.rpartition(".")[0]
        start = f"{parent}." if parent else ""
        siblings = {n[len(start) :].split(".")[0] for n in _rules() if n.startswith(start)}
        remedy = "Correct or delete it." + NameHint(sorted(siblings))(steps[-1])
        rule = f"The settings here are {', '.join(sorted(siblings))}."
        return Fault(file, row, name, "is not a setting", rule, remedy)
    if one["type"] == "value_error" and not known:
        rule = f"Rule: {one['ctx']['error']}."
        return Fault(file, row, name, "does not fit together", rule, "Change one of them.")
    rule_of = known.rule if known else _PART
    return Fault(file, row, name, _found(one["input"]), rule_of.rule, rule_of.remedy)


def row_of(name: str, rows: dict[str, int]) -> int:
    """Row of a setting, of the first within it, or of the part in which it should stand."""
    within = [row for other, row in rows.items() if other.startswith(f"{name}.")]
    row = rows.get(name, 0) or min(within, default=0)
    while not row and "." in name:
        name = name.rpartition(".")[0]
        row = rows.get(name, 0)
    return row


def _found(value: Any) -> str:
    if isinstance(value, dict | list):
        return "is no single value" if value else "is empty"
    return shown(value)
