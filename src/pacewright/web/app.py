"""The application: every route, and what each request passes before it."""

from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.middleware.trustedhost import TrustedHostMiddleware

from pacewright import __version__
from pacewright.office.desk import Desk
from pacewright.office.errors import CallError, NoPlanError
from pacewright.office.languages import languages_of
from pacewright.web import (
    account_pages,
    booking_pages,
    correction_pages,
    errors,
    import_pages,
    inspection_pages,
    learning_pages,
    live,
    paper_pages,
    photo_pages,
    programme_pages,
    scan_pages,
    shortage_pages,
    static,
    table_pages,
    token_pages,
    whatif_pages,
)
from pacewright.web.api import decisions as api_decisions
from pacewright.web.api import events as api_events
from pacewright.web.api import files as api_files
from pacewright.web.api import people as api_people
from pacewright.web.api import plan as api_plan
from pacewright.web.api import sheets_of_the_day as api_import
from pacewright.web.api.described import describe
from pacewright.web.guard.headers import Headers
from pacewright.web.guard.origin import OwnOrigin
from pacewright.web.guard.size import BodySize
from pacewright.web.language import InLanguage, Languages
from pacewright.web.news import News
from pacewright.web.sheet_pages import sheet_routes
from pacewright.web.steps import StrokesWithin
from pacewright.web.who import somebody_here

OWN_HOSTS = ("localhost", "127.0.0.1", "[::1]", "testserver")

UPLOADS = (
    "/works/replace",
    "/import",
    "/api/import",
    "/api/works/files",
    *photo_pages.TAKERS,
)
"""Paths at which files are taken."""

ROUTERS = (
    static.router,
    account_pages.router,
    live.router,
    booking_pages.router,
    inspection_pages.router,
    correction_pages.router,
    import_pages.router,
    token_pages.router,
    api_decisions.router,
    api_events.router,
    api_files.router,
    api_import.router,
    api_people.router,
    api_plan.router,
    paper_pages.router,
    photo_pages.router,
    learning_pages.router,
    scan_pages.router,
    programme_pages.router,
    shortage_pages.router,
    table_pages.router,
    whatif_pages.router,
)
"""Pages and REST calls of their own; every sheet has its routes besides."""

ANSWERS = (
    (HTTPException, errors.on_refusal),
    (RequestValidationError, errors.on_wrong_input),
    (CallError, errors.on_wrong_call),
    (NoPlanError, errors.on_wrong_call),
    (Exception, errors.on_failure),
)
"""Sort of error -> what answers it."""


def create_app(desk: Desk, hosts: Sequence[str] = (), language: str = "") -> FastAPI:
    """The application over one opened works.

    Parameters
    ----------
    desk : the works, its record and its plan; closed when the application ends.
    hosts : names under which the server is reached besides this machine's own.
    language : of every page; empty: of those that are there, the one the browser asks for.
    """

    @asynccontextmanager
    async def running(_: FastAPI) -> AsyncIterator[None]:
        yield
        desk.close()

    app = FastAPI(
        title="Pacewright",
        version=__version__,
        description="One overhaul works: its plan, its record, what stands for want of what.",
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
        lifespan=running,
        middleware=[
            Middleware(StrokesWithin),
            Middleware(Headers),
            Middleware(TrustedHostMiddleware, allowed_hosts=[*OWN_HOSTS, *hosts]),
            Middleware(GZipMiddleware, minimum_size=2000),
            Middleware(InLanguage, languages=Languages(desk, languages_of(desk.path), language)),
            Middleware(OwnOrigin),
            Middleware(BodySize, uploads=UPLOADS, known=somebody_here),
        ],
    )
    app.state.desk = desk
    app.state.news = News(desk)
    for router in (*ROUTERS, sheet_routes()):
        app.include_router(router)
    for sort, answer in ANSWERS:
        app.add_exception_handler(sort, answer)
    describe(app)
    return app
