"""News of the record by server-sent events; their ids are places in the record."""

import asyncio
import json
from collections.abc import AsyncIterator
from typing import Annotated

from fastapi import APIRouter, Header
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import StreamingResponse

from pacewright.office.access import Person
from pacewright.office.desk import Desk
from pacewright.web.news import LOOK_SECONDS
from pacewright.web.who import COOKIE, OpenDesk, Seeing

router = APIRouter(include_in_schema=False)

BEAT_SECONDS = 15.0
CHECK_SECONDS = 60.0


@router.get("/live")
def live(
    request: Request,
    desk: OpenDesk,
    person: Seeing,
    after: int = 0,
    last_event_id: Annotated[str, Header()] = "",
) -> StreamingResponse:
    """Say when events are recorded after place ``after``, or after the last one heard of.

    The places come from the record itself, so a browser that was cut off, or a server that was
    started anew, goes on where it was and misses nothing (WHATWG HTML, server-sent events).
    """
    digits = last_event_id.isascii() and last_event_id.isdigit() and len(last_event_id) < 19
    heard = int(last_event_id) if digits else after
    headers = {"cache-control": "no-store", "x-accel-buffering": "no"}
    news = _news(request, desk, heard)
    return StreamingResponse(news, media_type="text/event-stream", headers=headers)


async def _news(request: Request, desk: Desk, heard: int) -> AsyncIterator[str]:
    loop = asyncio.get_running_loop()
    beat = check = loop.time()
    yield "retry: 2000\n\n"
    async with request.app.state.news as news:
        while not await request.is_disconnected() and not desk.closing:
            head, now = news.place, loop.time()
            if head > heard:
                heard, beat = head, now
                yield f"id: {head}\nevent: recorded\ndata: {json.dumps({'place': head})}\n\n"
            elif now - beat > BEAT_SECONDS:
                beat = now
                yield ": still here\n\n"
            if now - check > CHECK_SECONDS:
                check = now
                key = request.cookies.get(COOKIE, "")
                if await run_in_threadpool(_still_there, desk, key) is None:
                    yield "event: over\ndata: {}\n\n"
                    return
            await asyncio.sleep(LOOK_SECONDS)


def _still_there(desk: Desk, key: str) -> Person | None:
    # A page left open on a tablet must not keep its session alive.
    return desk.access.person(key, at_work=False)
