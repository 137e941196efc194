"""Printed papers to download: ``/papers/vehicle-card.pdf?vehicle=1043``."""

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from pacewright.office.papers import has_sort, paper_of_desk
from pacewright.web.language import CHOSEN
from pacewright.web.who import OpenDesk, Seeing

router = APIRouter()


@router.get(
    "/papers/{sort}.pdf",
    summary="A printed paper",
    tags=["papers"],
    response_class=Response,
    responses={
        200: {"content": {"application/pdf": {}}, "description": "the paper as PDF"},
        404: {"description": "no such sort of paper"},
        409: {"description": "nothing to print, or no such vehicle, shop, kind"},
    },
)
def paper(request: Request, sort: str, person: Seeing, desk: OpenDesk) -> Response:
    """The paper, shown by the browser under the name it is to be kept by."""
    if not has_sort(sort):
        raise HTTPException(404, f"papers: there is no such sort as {sort[:40]}. See /papers.")
    file = paper_of_desk(desk, sort, dict(request.query_params), request.scope.get(CHOSEN))
    headers = {
        "content-disposition": f'inline; filename="{file.name}"',
        "cache-control": "no-store",
    }
    return Response(file.made, media_type="application/pdf", headers=headers)
