"""What ends a set of replications."""

from enum import StrEnum


class Stopped(StrEnum):
    """What ended the replications."""

    REPLICATIONS = "replications"
    PRECISION = "precision"
    LIMIT = "limit"
    INTERRUPTED = "interrupted"
