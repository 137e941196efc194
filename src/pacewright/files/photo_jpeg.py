"""A JPEG gone through segment by segment; nothing of it is decoded.

Markers and segments: ITU-T T.81 (1992), annex B; Exif orientation: JEITA CP-3451, tag 0x0112 (both
from memory).
"""

from collections.abc import Iterator

from pacewright.files.photo_parts import BrokenPhotoError, Found

START = b"\xff\xd8\xff"

_END, _SCAN, _APP1 = 0xD9, 0xDA, 0xE1
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
"""Beginnings of the picture, which tell its size."""
_TABLES = frozenset((0xC4, 0xCC, 0xDB, 0xDC, 0xDD))
_COLOURS = ((0xE2, b"ICC_PROFILE\x00"), (0xEE, b"Adobe"))
"""Application segments without which colours would be wrong; all others are left out."""
_EXIF = b"Exif\x00\x00"
_TURN_TAG = 0x0112


def bare_jpeg(came: bytes) -> Found:
    """The picture of a JPEG and how it is to be turned, without all else that it tells.

    Raises
    ------
    BrokenPhotoError : it ends early, a segment is none, or the picture is missing.
    """
    kept, wide, high, scans, turn = [b""], 0, 0, 0, 1
    for marker, segment in _segments(came):
        if marker == _APP1:
            turn = _turn_of(segment[4:]) or turn
        if marker in _FRAMES:
            if wide:
                # A browser shows the first one, whatever size a second claims.
                raise BrokenPhotoError("it tells its size twice")
            high, wide = int.from_bytes(segment[5:7]), int.from_bytes(segment[7:9])
        scans += marker == _SCAN
        if _belongs(marker, segment):
            kept.append(segment)
    if not scans or not wide:
        raise BrokenPhotoError("it holds no picture")
    kept[0] = b"\xff\xd8" + (_turning(turn) if turn > 1 else b"")
    return Found(b"".join(kept), wide, high)


def _segments(came: bytes) -> Iterator[tuple[int, bytes]]:
    """Each marker with its whole segment, the coded picture behind a scan with it."""
    at = 2
    while True:
        if came[at : at + 1] != b"\xff":
            raise BrokenPhotoError(_ends(came, at))
        while came[at + 1 : at + 2] == b"\xff":  # filling before a marker
            at += 1
        marker = came[at + 1] if at + 1 < len(came) else 0
        if marker == _END:
            yield marker, b"\xff\xd9"
            return
        size = int.from_bytes(came[at + 2 : at + 4])
        end = at + 2 + size
        if marker < 0xC0 or 0xD0 <= marker <= 0xD8 or size < 2:
            raise BrokenPhotoError(_ends(came, at + 3))
        if end > len(came):
            raise BrokenPhotoError(_ends(came, end))
        if marker == _SCAN:
            end = _coded_until(came, end)
        yield marker, came[at:end]
        at = end


def _ends(came: bytes, at: int) -> str:
    if at >= len(came):
        return "the file ends before its picture does"
    return f"what stands at byte {at:,} is no part of a photo"


def _coded_until(came: bytes, at: int) -> int:
    """Where the coded picture ends: at a marker that is neither stuffing nor a restart."""
    while True:
        at = came.find(b"\xff", at)
        if at < 0 or at + 1 >= len(came):
            raise BrokenPhotoError("the file ends before its picture does")
        if came[at + 1] not in (0x00, 0xFF) and not 0xD0 <= came[at + 1] <= 0xD7:
            return at
        at += 1 if came[at + 1] == 0xFF else 2


def _belongs(marker: int, segment: bytes) -> bool:
    colours = any(marker == one and segment[4:].startswith(begins) for one, begins in _COLOURS)
    return colours or marker in _FRAMES | _TABLES | {_SCAN, _END}


def _turn_of(body: bytes) -> int:
    """How the picture is to be turned, 1 to 8; 0: not told."""
    if not body.startswith(_EXIF):
        return 0
    tiff = body[len(_EXIF) :]
    if tiff[:2] not in (b"II", b"MM"):
        return 0

    def whole(at: int, size: int) -> int:
        return int.from_bytes(tiff[at : at + size], "little" if tiff[:2] == b"II" else "big")

    first = whole(4, 4)
    for entry in range(first + 2, first + 2 + 12 * min(whole(first, 2), 100), 12):
        if whole(entry, 2) == _TURN_TAG:
            turn = whole(entry + 8, 2)
            return turn if 1 <= turn <= 8 else 0
    return 0


def _turning(turn: int) -> bytes:
    """A segment that tells how the picture is to be turned, and nothing else."""
    tiff = b"MM\x00\x2a\x00\x00\x00\x08" + b"\x00\x01" + b"\x01\x12\x00\x03\x00\x00\x00\x01"
    tiff += turn.to_bytes(2) + b"\x00\x00" + b"\x00\x00\x00\x00"
    size = 2 + len(_EXIF) + len(tiff)
    return b"\xff\xe1" + size.to_bytes(2) + _EXIF + tiff
