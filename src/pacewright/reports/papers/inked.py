"""Drawings of the pages made ready for paper: their own looks in black, white and patterns."""

from functools import cache
from importlib.resources import files

_OPENS = "<svg "


def inked(drawing: str) -> str:
    """A drawing as a whole SVG file that needs no page around it.

    Parameters
    ----------
    drawing : as ``reports.drawings`` makes it: classes, no looks.

    Raises
    ------
    ValueError : it is no drawing.
    """
    text = str(drawing)
    if not text.startswith(_OPENS):
        raise ValueError("a drawing begins with <svg")
    head, mark, rest = text.partition(">")
    return f'{_OPENS}xmlns="http://www.w3.org/2000/svg" {head[len(_OPENS) :]}{mark}{_looks()}{rest}'


@cache
def _looks() -> str:
    css = (files("pacewright.reports.papers") / "print.css").read_text()
    patterns = (files("pacewright.reports") / "templates" / "patterns.svg.j2").read_text()
    inner = patterns[patterns.index("<defs>") : patterns.index("</defs>") + len("</defs>")]
    return f"<style>{css}</style>{inner}"
