"""What can stop an office function besides faults in the files."""


class CallError(Exception):
    """The call itself is wrong: a path that cannot be written, a kind that does not exist."""


class NoPlanError(Exception):
    """The files are in order, but no plan at all can be made from them; says why and what to do."""
