"""The reference of event kinds, made from the classes themselves, for docs/events.md.

``python -m pacewright.events.reference docs/events.md`` puts it in place anew.
"""

import sys
from collections.abc import Iterator
from dataclasses import MISSING, fields
from pathlib import Path
from typing import Any, get_args, get_type_hints

from pydantic.fields import FieldInfo

from pacewright.events.codes import MEANINGS
from pacewright.events.kinds import RULES_AND_CHANGES
from pacewright.events.registry import KINDS
from pacewright.events.things import Event

START = "<!-- made by pacewright.events.reference: start -->"
END = "<!-- made by pacewright.events.reference: end -->"


def sentence(documented: Any) -> str:
    """The first paragraph of a docstring, on one line."""
    return " ".join((documented.__doc__ or "").split("\n\n")[0].split())


def event_fields(model: type[Event]) -> Iterator[tuple[str, str, bool]]:
    """Name, meaning and whether it must be given, for each field of a kind."""
    hints = get_type_hints(model, include_extras=True)
    for one in fields(model):
        marks = [mark for mark in _marks(hints[one.name]) if isinstance(mark, FieldInfo)]
        meaning = next((mark.description for mark in marks if mark.description), "")
        yield one.name, meaning, one.default is MISSING


def _marks(annotation: Any) -> list[Any]:
    marks = list(getattr(annotation, "__metadata__", ()))
    for part in get_args(annotation):
        marks += _marks(part)
    return marks


def reference() -> str:
    """The part of the page that lists every kind, rule and code, in Markdown."""
    return "\n".join([START, *_kinds(), *_rules(), *_codes(), END])


def _kinds() -> Iterator[str]:
    yield "\n## Every kind of event\n"
    yield "Every event also has `at`: when it happened, by the works clock. Fields in brackets"
    yield "may be left out.\n"
    yield "| kind | what happened | fields |"
    yield "|---|---|---|"
    for kind, model in KINDS.items():
        told = "; ".join(
            f"`{name}` {meaning}" if needed else f"[`{name}` {meaning}]"
            for name, meaning, needed in event_fields(model)
            if name != "at"
        )
        yield f"| `{kind}` | {sentence(model)} | {told} |"


def _rules() -> Iterator[str]:
    yield "\n## Rules kept at the door\n"
    checks = {check: None for kind in RULES_AND_CHANGES.values() for check in kind.checks}
    for sentence_of in sorted({sentence(check) for check in checks}):
        yield f"- {sentence_of}"


def _codes() -> Iterator[str]:
    yield "\n## Codes of simulated rows\n"
    yield "| code | number | what happened | place is | amount is | event of the record |"
    yield "|---|---|---|---|---|---|"
    for code, one in MEANINGS.items():
        recorded = f"`{one.recorded}`" if one.recorded else "none"
        place, amount = one.place or "none (-1)", one.amount or "none (0)"
        yield f"| {code.name} | {code.value} | {one.meaning} | {place} | {amount} | {recorded} |"


def renewed(page: str) -> str:
    """The page with this part made anew."""
    before, rest = page.split(START, 1)
    return before + reference() + rest.split(END, 1)[1]


if __name__ == "__main__":
    place = Path(sys.argv[1])
    place.write_text(renewed(place.read_text(encoding="utf-8")), encoding="utf-8")
