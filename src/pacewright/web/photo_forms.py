"""Forms that photos come with, as they were sent."""

from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends
from starlette.datastructures import UploadFile
from starlette.requests import Request

from pacewright.office.photos import PHOTO_BYTES

MOST_FIELDS = 2000
"""Fields of one form; a strip inspection of a large vehicle has some hundreds."""


@dataclass(frozen=True, slots=True)
class Sent:
    """A form as it was sent: its texts, and its files by their fields."""

    cells: dict[str, str]
    files: dict[str, bytes]


async def sent(request: Request) -> Sent:
    """A form with photos; of each no more is read than a photo may have and one byte."""
    cells: dict[str, str] = {}
    files: dict[str, bytes] = {}
    async with request.form(max_fields=MOST_FIELDS, max_files=MOST_FIELDS) as form:
        for name, value in form.multi_items():
            if not isinstance(value, UploadFile):
                cells[name] = value
            elif value.filename:
                files[name] = await value.read(PHOTO_BYTES + 1)
    return Sent(cells, files)


WithPhotos = Annotated[Sent, Depends(sent)]
