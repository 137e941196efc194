"""The list of the rules at the door, made from the rules themselves, for docs/6-control.md.

``python -m pacewright.control.door_reference docs/6-control.md`` puts it in place anew.
"""

import sys
from pathlib import Path

from pacewright.control.door import RULES
from pacewright.events.registry import KIND_OF

START = "<!-- made by pacewright.control.door_reference: start -->"
END = "<!-- made by pacewright.control.door_reference: end -->"


def reference() -> str:
    """A line for each rule: what must hold, and for which kinds of event it is asked."""
    asked: dict[str, list[str]] = {}
    for kind, rules in RULES.items():
        for rule in rules:
            asked.setdefault(" ".join((rule.__doc__ or "").split()), []).append(KIND_OF[kind])
    lines = ["| rule | asked of |", "|---|---|"]
    for sentence in sorted(asked):
        kinds = ", ".join(f"`{kind}`" for kind in asked[sentence])
        lines.append(f"| {sentence} | {kinds} |")
    return "\n".join([START, *lines, END])


def renewed(page: str) -> str:
    """The page with this part made anew."""
    before, rest = page.split(START, 1)
    return before + reference() + rest.split(END, 1)[1]


if __name__ == "__main__":
    place = Path(sys.argv[1])
    place.write_text(renewed(place.read_text(encoding="utf-8")), encoding="utf-8")
