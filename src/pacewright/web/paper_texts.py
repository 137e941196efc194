"""Texts of the page of papers."""

from types import MappingProxyType

ENGLISH_PAPERS = MappingProxyType(
    {
        "paper_print": "Print",
        "paper_all": "left out",
        "paper_needed": "needed",
    }
)
"""Key -> English text."""
