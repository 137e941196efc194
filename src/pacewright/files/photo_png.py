"""A PNG gone through chunk by chunk; nothing of it is unpacked.

Chunks, their order and their sums: PNG specification, third edition, W3C 2025 (from memory).
"""

from zlib import crc32

from pacewright.files.photo_parts import BrokenPhotoError, Found

START = b"\x89PNG\r\n\x1a\n"

_PICTURE = frozenset(
    (b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"sBIT")
)
"""Chunks that make the picture and its colours; texts, times and all others are left out."""
_SIZES = {b"IHDR": 13, b"IEND": 0}
"""Bytes in the parts that begin and end a picture."""


def bare_png(came: bytes) -> Found:
    """The picture of a PNG, without text, time and what stands behind its end.

    Raises
    ------
    BrokenPhotoError : it ends early, a chunk is damaged, or the picture is missing.
    """
    kept, at, wide, high, data = [START], len(START), 0, 0, False
    while True:
        size = int.from_bytes(came[at : at + 4])
        name, end = came[at + 4 : at + 8], at + 12 + size
        if len(name) < 4 or end > len(came):
            raise BrokenPhotoError("the file ends before its picture does")
        if crc32(came[at + 4 : end - 4]) != int.from_bytes(came[end - 4 : end]):
            raise BrokenPhotoError(f"its part at byte {at:,} is damaged")
        if (at == len(START)) != (name == b"IHDR"):
            raise BrokenPhotoError("it does not begin with its size")
        if name in (b"IHDR", b"IEND") and size != _SIZES[name]:
            raise BrokenPhotoError(f"its part at byte {at:,} has another size than it may have")
        if name == b"IHDR":
            wide = int.from_bytes(came[at + 8 : at + 12])
            high = int.from_bytes(came[at + 12 : at + 16])
        data = data or name == b"IDAT"
        if name in _PICTURE:
            kept.append(came[at:end])
        at = end
        if name == b"IEND":
            break
    if not data:
        raise BrokenPhotoError("it holds no picture")
    return Found(b"".join(kept), wide, high)
