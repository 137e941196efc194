"""Rules about the repository itself."""

import re
import subprocess
from importlib.util import find_spec
from pathlib import Path

import pytest

from pacewright.flow import FLOW

ROOT = Path(__file__).parents[2]


def tracked() -> list[Path]:
    """Every file git tracks; outside a checkout every text file of the tree."""
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    ).stdout.split("\n")
    return [ROOT / one for one in listed if one and (ROOT / one).is_file()]


def test_flow_is_the_tree() -> None:
    """The folders of the flow that exist have one page of docs each, numbered in flow order."""
    package = ROOT / "src" / "pacewright"
    for place, (folder, question) in enumerate(FLOW, start=1):
        assert question
        if (package / folder).is_dir():
            assert (ROOT / "docs" / f"{place}-{folder}.md").is_file()


def test_nothing_names_a_machine_or_a_download_host() -> None:
    """No tracked file names a path of this machine or the address of a package registry."""
    # Written in pieces so that this file does not find itself.
    traces = re.compile("|".join(["/wo" + "rk/ma", "files." + "pythonhosted", "pypi." + "org/s"]))
    for path in tracked():
        if path.suffix not in {".png", ".xlsx"}:
            assert not traces.search(path.read_text(errors="ignore")), path


def test_pins_are_exact_and_name_no_address() -> None:
    """Every line of the constraints file pins one package, and none holds an address."""
    lines = (ROOT / "constraints.txt").read_text().split("\n")
    pins = [line for line in lines if line.strip()]
    assert pins
    for line in pins:
        assert re.fullmatch(r"[a-z0-9.-]+==[0-9][\w.]*( ; .+)?", line), line
        assert "://" not in line


@pytest.mark.parametrize("name", ["numba", "simpy", "ciw", "distributed", "scipy", "ortools"])
def test_no_test_is_skipped_for_want_of_a_library(name: str) -> None:
    """What tests leave out when it is missing is there wherever `make test` runs."""
    assert find_spec(name) is not None


@pytest.mark.parametrize("path", sorted((ROOT / "news").glob("*.md")), ids=lambda p: p.stem)
def test_news_fragments_are_short(path: Path) -> None:
    """A news fragment is a few sentences for the user."""
    assert 20 <= len(path.read_text()) <= 1200


@pytest.mark.parametrize("path", sorted((ROOT / "docs").glob("*.md")), ids=lambda p: p.stem)
def test_docs_are_reached_from_the_readme(path: Path) -> None:
    """Every page of docs is linked from the README, and every link of a page leads somewhere."""
    assert f"docs/{path.name}" in (ROOT / "README.md").read_text()
    for target in re.findall(r"\]\(([^)#:\s]+)(?:#[^)]*)?\)", path.read_text()):
        assert (path.parent / target).exists(), f"{path.name} links to {target}"
