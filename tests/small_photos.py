"""Small photos made byte by byte by the rules of their formats, for tests.

JPEG segments and markers by ITU-T T.81, PNG chunks by the PNG specification, Exif by JEITA CP-3451
(all from memory). ``JPEG`` and ``PNG`` are shown by browsers; they were made with no other tool.
"""

import struct
import zlib
from base64 import b64decode

JPEG = b64decode(
    "/9j/4AAQSkZJRgABAQAAAQABAAD/2wBDAAgGBgcGBQgHBwcJCQgKDBQNDAsLDBkSEw8UHRofHh0aHBwgJC4nICIsIxwc"
    "KDcpLDAxNDQ0Hyc5PTgyPC4zNDL/wAALCAABAAEBAREA/8QAFAABAAAAAAAAAAAAAAAAAAAACf/EABQQAQAAAAAAAAAA"
    "AAAAAAAAAAD/2gAIAQEAAD8AVN//2Q=="
)
"""One grey dot."""

GPS = b"37 deg 46 N, 122 deg 25 W"
"""What a position might read as in a photo that tells one."""


def segment(marker: int, body: bytes) -> bytes:
    """A segment of a JPEG with its length."""
    return b"\xff" + bytes([marker]) + struct.pack(">H", len(body) + 2) + body


def exif(turn: int, order: str = ">") -> bytes:
    """An Exif segment that tells how to turn the picture, and a position."""
    name = {">": b"MM", "<": b"II"}[order]
    tiff = name + struct.pack(f"{order}HLH", 42, 8, 2)
    tiff += struct.pack(f"{order}HHLHH", 0x0112, 3, 1, turn, 0)
    tiff += struct.pack(f"{order}HHLL", 0x8825, 4, 1, 38) + bytes(4)
    return segment(0xE1, b"Exif\x00\x00" + tiff + GPS)


def jpeg(*segments: bytes, behind: bytes = b"") -> bytes:
    """The small JPEG with segments put in after its beginning, and something behind its end."""
    return JPEG[:2] + b"".join(segments) + JPEG[2:] + behind


def chunk(name: bytes, body: bytes) -> bytes:
    """A chunk of a PNG with its length and sum."""
    told = name + body
    return struct.pack(">L", len(body)) + told + struct.pack(">L", zlib.crc32(told))


def png(*chunks: bytes, wide: int = 1, high: int = 1, behind: bytes = b"") -> bytes:
    """A PNG of one red dot, whatever size it claims, with chunks put in before its picture."""
    head = chunk(b"IHDR", struct.pack(">LLBBBBB", wide, high, 8, 2, 0, 0, 0))
    data = chunk(b"IDAT", zlib.compress(b"\x00\xc8\x28\x28"))
    start = b"\x89PNG\r\n\x1a\n"
    return start + head + b"".join(chunks) + data + chunk(b"IEND", b"") + behind
