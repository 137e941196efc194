"""A photo as it came in, made into one that may be kept: by its bytes, never by its name."""

from pacewright.base.faults import CallError
from pacewright.files.photo_jpeg import START as JPEG_START
from pacewright.files.photo_jpeg import bare_jpeg
from pacewright.files.photo_parts import BrokenPhotoError, Found
from pacewright.files.photo_png import START as PNG_START
from pacewright.files.photo_png import bare_png

PHOTO_BYTES = 5_000_000
"""Largest photo taken; the page makes larger ones smaller before it sends them."""

PHOTO_PIXELS = 64_000_000
"""Most dots of a photo: a small file may claim so many that a browser dies of showing it."""

_WANTED = "A photo is a JPEG or PNG file"


class NoPhotoError(CallError):
    """What came is no photo that may be kept; says why and what to do."""


def bare_photo(came: bytes) -> bytes:
    """The picture of a photo and nothing else that came with it.

    Parameters
    ----------
    came : the bytes as they were sent.

    Returns
    -------
    The same picture, dot for dot, without place and time where it was taken, maker, remarks,
    thumbnails, and whatever was hung on behind its end. Nothing is decoded. How a JPEG is to be
    turned is kept, so that it does not lie on its side.

    Raises
    ------
    NoPhotoError : neither JPEG nor PNG, broken or cut short, too large.
    """
    if len(came) > PHOTO_BYTES:
        raise NoPhotoError(
            f"photo: {len(came):,} bytes found. The most is {PHOTO_BYTES:,}. "
            "Let the camera take a smaller one."
        )
    reader = {"image/jpeg": bare_jpeg, "image/png": bare_png}.get(sort_of(came))
    if reader is None:
        raise NoPhotoError(
            f"photo: it begins with {came[:8].hex(' ') or 'nothing'}. {_WANTED}, by its first "
            "bytes. Take one with the camera, or save it as JPEG."
        )
    try:
        found: Found = reader(came)
    except BrokenPhotoError as error:
        raise NoPhotoError(f"photo: {error}. {_WANTED} that is whole. Take it again.") from None
    if not 0 < found.wide * found.high <= PHOTO_PIXELS:
        raise NoPhotoError(
            f"photo: {found.wide:,} by {found.high:,} dots found. It has at least one and at most "
            f"{PHOTO_PIXELS:,}. Let the camera take a smaller one."
        )
    return found.bare


def sort_of(photo: bytes) -> str:
    """Media type by the first bytes; empty: neither JPEG nor PNG.

    Examples
    --------
    >>> sort_of(b"<html>"), sort_of(bytes.fromhex("ffd8ffe0"))
    ('', 'image/jpeg')
    """
    if photo.startswith(JPEG_START):
        return "image/jpeg"
    return "image/png" if photo.startswith(PNG_START) else ""
