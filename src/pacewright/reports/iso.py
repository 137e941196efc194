"""What a paper holds, as JSON can hold it."""

from datetime import date
from math import isfinite
from typing import Any


def in_iso(value: Any) -> Any:
    """Days and moments in ISO 8601, tuples as lists, None for what is no finite number."""
    if isinstance(value, dict):
        return {str(name): in_iso(one) for name, one in value.items()}
    if isinstance(value, (tuple, list)):
        return [in_iso(one) for one in value]
    if isinstance(value, float):
        return value if isfinite(value) else None
    return value.isoformat() if isinstance(value, date) else value
