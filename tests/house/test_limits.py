"""The limits of docs/conventions.md, kept by machine."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SOURCES = sorted((ROOT / "src").rglob("*.py"))
TESTS = sorted((ROOT / "tests").rglob("*.py"))
FILE_LINES, TEST_LINES, FUNCTION_LINES = 400, 800, 50
NO_NAMES = {"helper", "helpers", "utils", "util", "manager", "service", "misc", "common"}


def name(path: Path) -> str:
    return str(path.relative_to(ROOT))


def code_lines(function: ast.AST, source: list[str]) -> int:
    """Lines of a function without its docstring, comments and blanks."""
    body = list(getattr(function, "body", []))
    if body and isinstance(body[0], ast.Expr) and isinstance(body[0].value, ast.Constant):
        body = body[1:]
    if not body:
        return 0
    lines = source[body[0].lineno - 1 : body[-1].end_lineno]
    return sum(1 for line in lines if line.strip() and not line.strip().startswith("#"))


@pytest.mark.parametrize("path", SOURCES, ids=name)
def test_source_keeps_the_limits(path: Path) -> None:
    """A file has at most 400 lines, a function at most 50 code lines, a module a docstring."""
    text = path.read_text()
    lines = text.splitlines()
    assert len(lines) <= FILE_LINES
    tree = ast.parse(text)
    assert ast.get_docstring(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            assert code_lines(node, lines) <= FUNCTION_LINES, f"{node.name} is too long"
    assert not NO_NAMES & {path.stem, path.parent.name}


@pytest.mark.parametrize("path", SOURCES, ids=name)
def test_public_things_say_what_they_are(path: Path) -> None:
    """Every public function and class of the package has a docstring."""
    tree = ast.parse(path.read_text())
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            assert ast.get_docstring(node), f"{node.name} says nothing"


@pytest.mark.parametrize("path", TESTS, ids=name)
def test_tests_keep_the_limits_and_say_what_they_test(path: Path) -> None:
    """A test file has at most 800 lines, and every test one sentence that says what must hold."""
    text = path.read_text()
    assert len(text.splitlines()) <= TEST_LINES
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
            assert ast.get_docstring(node), f"{node.name} says nothing"
