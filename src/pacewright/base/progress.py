"""How a long step tells whoever waits for it how far it is."""

from typing import Protocol


class Progress(Protocol):
    """Called now and then by a long step; what is shown, and where, is the caller's affair."""

    def __call__(self, step: str, share: float) -> None:
        """``step`` in words, ``share`` done from 0 to 1."""


def silent(step: str, share: float) -> None:
    """Show nothing."""
