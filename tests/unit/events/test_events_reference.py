"""docs/events.md is fresh, and every example of the docstrings runs."""

import doctest
from pathlib import Path

from pacewright.events import fold
from pacewright.events.reference import reference, renewed, sentence
from pacewright.events.registry import KINDS

PAGE = (Path(__file__).parents[3] / "docs" / "events.md").read_text(encoding="utf-8")


def test_the_page_is_fresh() -> None:
    """The committed page holds what the classes say (python -m pacewright.events.reference)."""
    assert renewed(PAGE) == PAGE


def test_every_kind_is_told() -> None:
    """Each kind of event has its line with what happened."""
    for kind, model in KINDS.items():
        assert f"| `{kind}` | {sentence(model)} |" in reference()


def test_the_examples_run() -> None:
    """What the docstrings show is what happens."""
    tried = doctest.testmod(fold)
    assert tried.attempted > 0
    assert tried.failed == 0
