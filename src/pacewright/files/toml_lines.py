"""The line of each setting in TOML text, so that a fault can name it."""

import tomllib
from typing import Any

MOST_LINES = 1000
"""Lines of one statement; behind a longer one, which no setting needs, no line is named."""
_ENDS = ("]", '"""', "'''")
"""One of them stands in the last line of a statement of several."""


def lines_of(text: str) -> dict[str, int]:
    r"""Name of each setting and part, with dots -> line it begins in, from 1.

    Parameters
    ----------
    text : sound TOML. Where there are several of a part or value they are numbered from 1.

    Returns
    -------
    TOML's own reader is asked what each statement sets: a heading, or a key with its value, which
    may run over several lines. Faults of a value name the line in which its key stands.

    Examples
    --------
    >>> lines_of('name = "A"\n\n[plan]\nrun = 1\n[[plan.pace]]\nstarts = 2\n')
    {'name': 1, 'plan': 3, 'plan.run': 4, 'plan.pace.1': 5, 'plan.pace.1.starts': 6}
    """
    found: dict[str, int] = {}
    several: dict[str, int] = {}
    part = ""
    for row, statement in _statements(text):
        read = tomllib.loads(statement)
        if statement.startswith("["):
            part = _numbered(_only_path(read), several, new=statement.startswith("[["))
            found.setdefault(part, row)
        else:
            for name in _names(read):
                found.setdefault(f"{part}.{name}".strip("."), row)
    return found


def _statements(text: str) -> list[tuple[int, str]]:
    """Each statement with its first line: as few lines as TOML can read by themselves."""
    found = []
    kept: list[str] = []
    first = 0
    for row, line in enumerate(text.splitlines(), start=1):
        if not kept and (not line.strip() or line.lstrip().startswith("#")):
            continue
        first = first if kept else row
        kept.append(line if kept else line.lstrip())
        if len(kept) > MOST_LINES:
            # Each further line would have all those before it read again.
            break
        if len(kept) > 1 and not any(one in line for one in _ENDS):
            continue
        if _whole("\n".join(kept)):
            found.append((first, "\n".join(kept)))
            kept = []
    return found


def _whole(statement: str) -> bool:
    try:
        tomllib.loads(statement)
    except tomllib.TOMLDecodeError:
        return False
    return True


def _only_path(read: Any) -> list[str]:
    path = []
    while isinstance(read, dict | list) and read:
        if isinstance(read, list):
            read = read[-1]
            continue
        name, read = next(iter(read.items()))
        path.append(name)
    return path


def _numbered(path: list[str], several: dict[str, int], *, new: bool) -> str:
    """The part's name, each step that may stand several times with its number so far."""
    name = ""
    for place, step in enumerate(path, start=1):
        name = f"{name}.{step}".strip(".")
        if new and place == len(path):
            several[name] = several.get(name, 0) + 1
        if name in several:
            name = f"{name}.{several[name]}"
    return name


def _names(read: Any, before: str = "") -> list[str]:
    """The name of what is set, and of everything within it."""
    if isinstance(read, dict):
        pairs = list(read.items())
    elif isinstance(read, list):
        pairs = [(str(place), one) for place, one in enumerate(read, start=1)]
    else:
        return []
    found = []
    for name, value in pairs:
        whole = f"{before}.{name}".strip(".")
        found += [whole, *_names(value, whole)]
    return found
