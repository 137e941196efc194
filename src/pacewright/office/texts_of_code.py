"""Texts of a module: fixed ones, and f-strings as texts with places named by what fills them."""

import ast
import re
from collections.abc import Iterator, Sequence
from itertools import product

from pacewright.office.texts_of_pages import texts_between_tags

MOST_WAYS = 12
"""Readings of one f-string told apart by its choices; with more, its choices are places."""

_COLUMNS = frozenset({"text", "day", "moment", "whole", "number", "share", "yes_no", "TableColumn"})
"""What makes a column: its name is its heading, its unit is shown."""
_SAYS = frozenset(
    {"some", "Figure", "Part", "Facts", "Column", "Heading", "Choices", "Strong", "says", "Field"}
)
"""What shows its arguments, single words among them."""
_DRAWS = {"words": 2, "rect": 4, "path": 2, "circle": 4, "line": 9, "group": 9, "drawing": 9}
"""What draws -> place of the argument that is read; the other fixed ones are looks."""
_SENTENCE = re.compile(r"[^\W\d_]{1,}[,;:.)'?!]* [({'\[]*[^\W_]")
_NAME = re.compile(r"[A-Z][a-z]{2,}[.:!?]?|[A-Z]{5,}")
_WORD = re.compile(r"[A-Za-z][A-Za-z' -]*[a-z][.:]?")
_CODE = re.compile(
    r"://|\\[bdswSW]|\(\?|^(SELECT|INSERT|UPDATE|DELETE|CREATE|PRAGMA|ALTER|DROP|BEGIN)\b"
    r"|^[\w-]+=\S+; |'self'|^[.#]\w|%[HMdY]|^[\w*{}-]+\.(csv|xlsx|toml|html|j2|css|js|po)$"
)
_JOINS = re.compile(r"[,;]? ([a-z]+) ")
"""What stands between the items of a list: ``" and "``."""
_MARKUP = re.compile(r"</?[a-z]")
Part = str | ast.expr
"""Of an f-string: what is fixed, and what is put in."""


def texts_of_module(tree: ast.Module, tells: bool = False) -> Iterator[str]:
    """Every text of a module that people read, in its order.

    Parameters
    ----------
    tells : the first line of a class's docstring, and the names in its tables of classes, are
        shown: they say what an event or a row is.
    """
    silent = _docstrings(tree)
    if tells:
        yield from _told_by_classes(tree)
    yield from _visit(tree, silent, False)


def _visit(node: ast.AST, silent: set[int], word: bool) -> Iterator[str]:
    """Texts of a node and of all below it; ``word``: a single word there is shown as well."""
    if id(node) in silent:
        return
    if isinstance(node, ast.Constant):
        if isinstance(node.value, str):
            # One word with low lines, as in an enumeration, is shown with blanks for them.
            low = word and " " not in node.value
            text = node.value.replace("_", " ") if low else node.value
            yield from _plain(text) if _is_read(text, word) else ()
        return
    if isinstance(node, ast.JoinedStr) or _is_joined(node):
        yield from _joined(_parts(node))
        for one in _parts(node):
            if not isinstance(one, str):
                yield from _visit(one, silent, True)
        return
    if isinstance(node, ast.Call):
        yield from _of_call(node, silent)
        return
    if isinstance(node, ast.FunctionDef | ast.ClassDef | ast.Lambda):
        word = _is_enum(node)
    for child, shows in _below(node):
        yield from _visit(child, silent, word or shows)


def _below(node: ast.AST) -> Iterator[tuple[ast.AST, bool]]:
    """What is below a node, and whether single words there are shown; keys are not."""
    if isinstance(node, ast.Subscript):
        yield node.value, False
        if not isinstance(node.slice, ast.Constant):
            yield node.slice, False
    elif isinstance(node, ast.Compare):
        yield from ((one, False) for one in (node.left, *node.comparators) if not _is_word(one))
    elif isinstance(node, ast.Dict):
        yield from ((one, False) for one in node.keys if one is not None)
        yield from ((one, True) for one in node.values)
    elif isinstance(node, ast.Tuple) and len(node.elts) == 2:
        # A word and what it means.
        word, meaning = node.elts
        yield word, _is_word(meaning) and bool(_SENTENCE.search(_text_of(meaning)))
        yield meaning, False
    else:
        shows = isinstance(node, ast.IfExp | ast.BoolOp | ast.Return | ast.Yield)
        yield from ((one, shows) for one in ast.iter_child_nodes(node))


def _of_call(node: ast.Call, silent: set[int]) -> Iterator[str]:
    name = _called(node.func)
    yield from _visit(node.func, silent, False)
    given = list(node.args)
    if name in _COLUMNS and given and _is_word(given[0]):
        yield from headings(_text_of(given[0]))
    if name == "some" and len(given) == 2 and _is_word(given[1]):
        yield _text_of(given[1]) + "s"
    if name in _DRAWS:
        given = [one for at, one in enumerate(given) if at == _DRAWS[name] or not _is_word(one)]
    shows = name in _SAYS or name in _COLUMNS or name in _DRAWS
    for at, one in enumerate([*given, *(two.value for two in node.keywords)]):
        yield from _visit(one, silent, shows and not (name in _COLUMNS and at == 0))


def headings(name: str) -> tuple[str, ...]:
    """A column's name as people read it, with and without what marks an id.

    Examples
    --------
    >>> headings("stage_id")
    ('stage id', 'stage')
    """
    plain = name.replace("_", " ")
    return (plain, plain.removesuffix(" id")) if plain.endswith(" id") else (plain,)


def _joined(parts: Sequence[Part]) -> Iterator[str]:
    """The readings of an f-string: each choice of fixed words within it is one of its own."""
    ways = [_choices(one) for one in parts]
    count = 1
    for one in ways:
        count *= len(one)
    if count > MOST_WAYS:
        ways = [[one] for one in parts]
    for way in product(*ways):
        yield from _plain(_with_places(way))


def _choices(part: Part) -> list[Part]:
    if isinstance(part, ast.IfExp):
        sides = [two for one in (part.body, part.orelse) for two in _choices(one)]
        return sides if any(isinstance(one, str) for one in sides) else [part]
    if isinstance(part, ast.Constant) and isinstance(part.value, str):
        return [part.value]
    return [part]


def _with_places(parts: Sequence[Part]) -> str:
    """Fixed parts, and a place for what stands between two of them."""
    text, seen, after_place = "", dict[str, int](), False
    for one in parts:
        if isinstance(one, str):
            text += one
            after_place = after_place and not one
        elif not after_place:
            name = _name_of(one)
            seen[name] = seen.get(name, 0) + 1
            text += "{" + (name if seen[name] == 1 else f"{name}_{seen[name]}") + "}"
            after_place = True
    return text


def _name_of(node: ast.expr) -> str:
    """The word for what fills a place: the last name in its expression that says something."""
    if isinstance(node, ast.Call):
        name = _called(node.func)
        if name == "some" and len(node.args) > 1 and _is_word(node.args[-1]):
            last = _text_of(node.args[-1])
            return _clean(last if len(node.args) > 2 else last + "s")
        first = node.args[0] if node.args else node.func
        return _name_of(first) if not isinstance(first, ast.Constant) else _clean(name)
    if isinstance(node, ast.Attribute):
        return _clean(node.attr)
    if isinstance(node, ast.Name):
        return _clean(node.id)
    below = [one for one in ast.iter_child_nodes(node) if isinstance(one, ast.expr)]
    names = [_name_of(one) for one in below if not isinstance(one, ast.Constant)]
    return next((one for one in names if one != "value"), "value")


def _clean(name: str) -> str:
    return re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_") or "value"


def _parts(node: ast.AST) -> list[Part]:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return [node.value]
    if isinstance(node, ast.JoinedStr):
        return [two for one in node.values for two in _parts(one)]
    if isinstance(node, ast.FormattedValue):
        return _parts(node.value) if isinstance(node.value, ast.JoinedStr) else [node.value]
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
        return _parts(node.left) + _parts(node.right)
    assert isinstance(node, ast.expr)
    return [node]


def _is_joined(node: ast.AST) -> bool:
    """Whether texts are added up, some of them fixed."""
    if not (isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add)):
        return False
    return any(isinstance(one, str) for one in _parts(node))


def _plain(text: str) -> Iterator[str]:
    if _MARKUP.search(text):
        yield from texts_between_tags(text)
    else:
        yield text
        if "|" in text and " | " not in text:
            yield from text.split("|")


def _is_read(text: str, word: bool) -> bool:
    core = text.strip()
    if _CODE.search(core):
        return False
    if core != text and _JOINS.fullmatch(text):
        return True
    if _MARKUP.search(core) or _SENTENCE.search(core) or _NAME.fullmatch(core):
        return True
    return word and bool(_WORD.fullmatch(core))


def _is_word(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def _text_of(node: ast.AST) -> str:
    assert isinstance(node, ast.Constant) and isinstance(node.value, str)
    return node.value


def _called(node: ast.expr) -> str:
    return node.id if isinstance(node, ast.Name) else getattr(node, "attr", "")


def _is_enum(node: ast.AST) -> bool:
    return isinstance(node, ast.ClassDef) and any("Enum" in _called(one) for one in node.bases)


def _docstrings(tree: ast.AST) -> set[int]:
    return {
        id(node)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }


def _told_by_classes(tree: ast.Module) -> Iterator[str]:
    for node in tree.body:
        if isinstance(node, ast.ClassDef):
            told = (ast.get_docstring(node) or "").split("\n\n", maxsplit=1)[0]
            yield " ".join(told.replace("`", "").split())
            fields = [one.target for one in node.body if isinstance(one, ast.AnnAssign)]
            for one in fields:
                yield from headings(_called(one)) if isinstance(one, ast.Name) else ()
        elif isinstance(node, ast.AnnAssign) and isinstance(node.value, ast.Dict):
            names = [_text_of(one) for one in node.value.keys if one and _is_word(one)]
            yield from (form for one in names for form in dict.fromkeys((one, *headings(one))))
