"""The outside cases of ``data/float-cases.json``, by id, and a gamma turn time to feed in."""

import json
from pathlib import Path
from typing import Any

import numpy as np
from scipy import stats

_FILE = Path(__file__).parent / "data" / "float-cases.json"
CASES: dict[str, dict[str, Any]] = {row["id"]: row for row in json.loads(_FILE.read_text())}


class GammaTurn:
    """A gamma turn time by scipy: any object with a survival serves the engine."""

    def __init__(self, mean_days: float, cv: float) -> None:
        self.law = stats.gamma(1 / cv**2, scale=mean_days * cv**2)

    def survival(self, days: np.ndarray) -> np.ndarray:
        return self.law.sf(days)
