"""The card that every computed result carries: how good it is and what it came from."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ResultCard:
    """How a result was reached.

    Parameters
    ----------
    method : the method in words ("depot columns, linear programme then whole numbers").
    status : optimal | feasible (better may exist, see gap) | closed form | impossible.
    objective, bound : the figure minimised and its proven lower bound, in ``unit``.
    gap : (objective - bound) / max(1, |objective|).
    seconds : wall-clock time.
    seed : the seed of every random choice; None when there is none.
    inputs_hash : SHA-256 of the inputs, first 16 hex digits.
    """

    method: str
    status: str
    objective: float
    bound: float
    gap: float
    unit: str
    seconds: float
    seed: int | None = None
    inputs_hash: str = ""
