"""What every page needs: its templates, its style and script, and their hashes for the browser."""

from base64 import b64encode
from functools import cache
from hashlib import sha256
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined

from pacewright.reports.written import day, number, share, some


@cache
def environment() -> Environment:
    """The templates; everything a user wrote is escaped, and nothing may be missing."""
    made = Environment(
        loader=PackageLoader("pacewright.reports"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {"day": day, "number": number, "share": share, "some": some}
    return made


@cache
def asset(name: str) -> str:
    """A style or script as text."""
    return (files("pacewright.reports") / "templates" / name).read_text(encoding="utf-8")


def hash_of(content: str) -> str:
    """The hash by which the page names its one style or script to the browser."""
    return "sha256-" + b64encode(sha256(content.encode()).digest()).decode()
