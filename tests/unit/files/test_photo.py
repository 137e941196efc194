"""Photos that come in: what they truly are, what is left out of them, what is refused."""

import pytest

from pacewright.files.photo import PHOTO_BYTES, NoPhotoError, bare_photo, sort_of
from small_photos import GPS, JPEG, chunk, exif, jpeg, png, segment

ZIP = b"PK\x03\x04 a file within a file"
SCRIPT = b"<script>alert(1)</script>"

FRAME = JPEG[JPEG.index(b"\xff\xc0") :][:13]
HUGE = FRAME.replace(b"\x00\x01\x00\x01", b"\xff\xff\xff\xff")
"""The segment that tells the size of the small JPEG, and the same for 65,535 by 65,535 dots."""
ONE_DOT = b"\x00\x00\x00\x01" * 2


def turn_of(photo: bytes) -> int:
    """How a JPEG that keeps nothing else is to be turned: the one value of its one entry."""
    at = photo.find(b"Exif\x00\x00")
    return int.from_bytes(photo[at + 24 : at + 26]) if at >= 0 else 0


def test_the_picture_stays_as_it_came() -> None:
    """Nothing is decoded or packed anew: tables and coded picture are the same bytes."""
    bare = bare_photo(JPEG)
    tables = JPEG[JPEG.index(b"\xff\xdb") :]
    assert bare == b"\xff\xd8" + tables
    assert bare_photo(bare) == bare
    assert bare_photo(png()) == png()


@pytest.mark.parametrize("order", [">", "<"])
def test_where_it_was_taken_is_left_out_and_how_to_turn_it_stays(order: str) -> None:
    """A position in Exif is gone; a photo that lies on its side is still turned."""
    came = jpeg(exif(6, order))
    assert GPS in came
    bare = bare_photo(came)
    assert GPS not in bare
    assert b"\x88\x25" not in bare
    assert turn_of(bare) == 6
    assert turn_of(bare_photo(bare)) == 6


@pytest.mark.parametrize(
    "told",
    [
        segment(0xE1, b"http://ns.adobe.com/xap/1.0/\x00" + GPS),
        segment(0xE2, b"MPF\x00" + GPS),
        segment(0xED, b"Photoshop 3.0\x00" + GPS),
        segment(0xFE, GPS + SCRIPT),
        segment(0xE0, b"JFXX\x00\x10" + GPS),
        exif(99),
        segment(0xE1, b"Exif\x00\x00II*\x00\xff\xff\xff\xff" + GPS),
        segment(0xE1, b"Exif\x00\x00"),
    ],
)
def test_all_else_that_a_jpeg_tells_is_left_out(told: bytes) -> None:
    """Remarks, maker's parts, second pictures, thumbnails and broken Exif do not come in."""
    assert bare_photo(jpeg(told)) == bare_photo(JPEG)


def test_colours_are_kept() -> None:
    """Without its profile and the maker's word on colours a picture would look wrong."""
    told = segment(0xE2, b"ICC_PROFILE\x00\x01\x01 profile"), segment(0xEE, b"Adobe\x00d\x00")
    assert all(one in bare_photo(jpeg(*told)) for one in told)


@pytest.mark.parametrize("name", [b"tEXt", b"iTXt", b"zTXt", b"eXIf", b"tIME", b"acTL", b"fdAT"])
def test_all_else_that_a_png_tells_is_left_out(name: bytes) -> None:
    """Texts, position, time and moving pictures do not come in."""
    assert bare_photo(png(chunk(name, GPS))) == png()


@pytest.mark.parametrize("behind", [ZIP, SCRIPT, JPEG, b"\x00" * 100])
def test_what_hangs_on_behind_its_end_is_left_out(behind: bytes) -> None:
    """A file that is two things at once comes in as a photo and nothing else."""
    assert bare_photo(jpeg(behind=behind)) == bare_photo(JPEG)
    assert bare_photo(png(behind=behind)) == png()


@pytest.mark.parametrize(
    "came",
    [
        b"",
        b"\xff",
        SCRIPT,
        b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>",
        b"GIF89a" + JPEG,
        ZIP,
        b"%PDF-1.7",
        b" " + JPEG,
        b"\x00\x00\x00\x18ftypheic",
    ],
)
def test_what_is_no_photo_by_its_first_bytes_is_refused(came: bytes) -> None:
    """HTML, SVG and whatever else, by whatever name it comes; told what is wanted."""
    assert sort_of(came) == ""
    with pytest.raises(NoPhotoError, match="A photo is a JPEG or PNG file"):
        bare_photo(came)


@pytest.mark.parametrize("came", [jpeg(exif(6)), png(chunk(b"tEXt", GPS))])
def test_cut_short_anywhere_it_is_refused(came: bytes) -> None:
    """However many bytes of the end are missing."""
    for size in range(len(came)):
        with pytest.raises(NoPhotoError):
            bare_photo(came[:size])


@pytest.mark.parametrize(
    ("came", "said"),
    [
        (b"\xff\xd8" + JPEG[-2:], "is no part|no picture|first bytes"),
        (b"\xff\xd8\xff\xd9", "holds no picture"),
        (JPEG[:2] + JPEG, "is no part of a photo"),
        (JPEG.replace(b"\xff\xda", b"\xff\xd5"), "is no part of a photo"),
        (JPEG.replace(b"\xff\xc0", b"\xff\xfe"), "holds no picture"),
        (png()[:40] + b"\x07" + png()[41:], "is damaged"),
        (b"\x89PNG\r\n\x1a\n" + chunk(b"IDAT", b"x") + chunk(b"IEND", b""), "begin with its size"),
        (png(chunk(b"IHDR", bytes(13))), "begin with its size"),
        (png().replace(chunk(b"IEND", b""), b""), "ends before"),
        (png(wide=60_000, high=60_000), "dots found"),
        (png(wide=0), "dots found"),
        (JPEG.replace(FRAME, HUGE + FRAME), "size twice"),
        (
            png(chunk(b"IHDR", ONE_DOT + b"\x08\x02\x00\x00\x00\x00"), wide=60_000, high=60_000),
            "size",
        ),
        (png().replace(chunk(b"IEND", b""), chunk(b"IEND", GPS)), "another size"),
        (JPEG + b"\x00" * PHOTO_BYTES, "bytes found"),
    ],
)
def test_what_is_broken_or_too_large_is_refused(came: bytes, said: str) -> None:
    """With what was found, and what to do."""
    with pytest.raises(NoPhotoError, match=said):
        bare_photo(came)
