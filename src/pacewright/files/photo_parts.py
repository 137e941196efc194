"""What reading a photo part by part finds."""

from typing import NamedTuple


class BrokenPhotoError(ValueError):
    """The file ends early, or its parts do not follow each other."""


class Found(NamedTuple):
    """A photo gone through.

    Parameters
    ----------
    bare : its picture alone.
    wide, high : dots.
    """

    bare: bytes
    wide: int
    high: int
