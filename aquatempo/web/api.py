"""Everything that the page can ask a desk for, as an ASGI application."""

from __future__ import annotations

from collections.abc import Callable

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse
from starlette.routing import Route
from starlette.types import ASGIApp

from aquatempo.web.description import description
from aquatempo.web.desk import Desk
from aquatempo.web.endpoints import routes
from aquatempo.web.tabs import ear, frame, music, plans, pool, water

__all__ = ["make_api"]


def make_api(desk: Desk, leave: Callable[[], None]) -> ASGIApp:
    """Return what answers the page's questions on a desk; leave: ends the program."""
    tabs = (music, ear, water, plans, pool)
    endpoints = (
        *frame.endpoints(desk, leave),
        *(one for tab in tabs for one in tab.endpoints(desk)),
    )

    def describe(_: Request) -> JSONResponse:
        return JSONResponse(description(endpoints))

    return Starlette(
        routes=[
            Route("/api/openapi.json", describe),
            pool.file_route(desk),
            *routes(endpoints),
        ]
    )
